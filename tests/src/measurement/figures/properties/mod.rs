//! What must hold of the sound, measured: the rows of the properties table on any labelled voice.
//!
//! A [`Voice`] is a labelled recording at 48 kHz as it arrives at the insert: through the hard leveller and the boost
//! of the demo, so that there is something to do. A [`Family`] of measures reads [`Quantity`] after quantity from
//! it, event by event, into [`Findings`]; a [`Row`] sums one quantity up and holds it against its goal. The test
//! `tests/tests/properties.rs` and the command `cargo xtask properties` call the same measures.
//!
//! - A sibilant counts from 0.5 s of labelled vowels on (start anywhere): what comes before rests on `Start level`.
//!   Clips under 3 s are played again and again until then.
//! - **Reduction** is measured from the sound: K-weighted level above `Detect from` over the label, before less after.
//! - A label of the corpus counts from where its sibilant begins to sound to where it ends (`sounding`); those of the singer
//!   are exact and stay whole.
//! - **From outside**: against the K-weighted level of the labelled vowels of the same section within 1 s either side.
//! - **Known labels**: the rule applied by a stage that knows every label, hop by hop: with 400 ms of vowels behind, and with
//!   300 ms of lookahead too. What a perfect detector would reach.
//! - Channels: mono, and stereo whose second channel is softer, or softer, late and in other noise. Every channel is read.
//! - Settings are a new insert's where nothing else is said.

mod defaults;
mod fallback;
mod families;
mod findings;
mod following;
mod known_labels;
mod lisp;
mod loops;
mod onset;
mod phrases;
mod play;
mod proportion;
mod quantity;
mod rates;
mod rows;
mod sections;
mod starts;
mod steady;
mod tracks;
mod treatment;
mod voice;

pub use defaults::{RATE_HZ, asked_db, asked_lu, from_hz};
pub use families::{FAMILIES, Family, STACK_FAMILIES, fixed_stack};
pub use findings::{Figure, Findings};
pub use following::{both_channels, errors_lu, sibilance_settings, sibilant_asked_db};
pub use known_labels::KnownLabels;
pub(crate) use known_labels::{BACK_S, last_of};
pub(crate) use play::reports_within;
pub use play::{Layout, Play, Played};
pub use proportion::{BeforeAfter, OwnRule, own_rule, proportions_lu};
pub use quantity::Quantity;
pub use rows::{ROWS, Row};
pub use tracks::{Track, breaths, double};
pub use treatment::Treatment;
pub use voice::{Passage, SINGERS, Voice, VoiceKind};
