//! The signal processing of Siskin: an optional leveller, and stages that keep sibilants and breaths in proportion to the
//! levelled voice. No I/O, no plug-in types, no allocation after [`Engine::new`].

mod analysis;
mod clock;
mod control;
mod engine;
mod loudness;
mod parameters;
mod primitives;
mod proposal;
mod report;
mod sections;
mod settings;
mod sibilant_levels;
mod stages;
#[cfg(feature = "stages-alone")]
pub mod stages_alone;
#[cfg(test)]
mod test_signals;
mod voice;

pub use engine::{Engine, EngineConfig};
pub use parameters::{GlideKind, PARAMETERS, ParamKind, ParamSpec, Stage};
pub use proposal::{
    COUNTED_SIBILANT_S, DetectFromListener, DetectFromProposal, ProportionListener, ProportionProposal,
};
pub use report::{Class, HopReport, SpectrumView};
pub use sections::{SongSection, VOICE_CELL_S, VoiceCell, VoiceLevels, find_sections, section_of};
pub use settings::{
    BreathSettings, Channels, FollowSettings, FollowSource, LevellerSettings, Listen, Lookahead,
    OutputSettings, Part, Settings, SibilanceSettings,
};
pub use sibilant_levels::{SibilantLevels, SibilantSums};
pub use stages::sibilance::gain_computer::{SIBILANCE_KNEE_DB, sibilance_reduction_db};
pub use stages::sibilance::reach::{SibilanceShelf, sibilance_gain_db};
