//! What hard conditions do to a levelled voice, held against the rule and against what known labels could reach.
//!
//! A condition is applied to the voice as it arrives at the insert, after the leveller and the boost: its levels are
//! those that the insert meets. Settings are a new insert's.
//!
//! - **Error**: proportion of a sibilant from outside against what the rule asks, LU, as in the properties.
//! - **Known labels**: the same errors of a stage that knows the labels, hop by hop, as in the properties.
//! - **First sibilants**: those that follow a labelled rest of 1 s or more.
//! - **Pauses**: in each labelled rest of 0.25 s or more, how far the voice level comes from what it was at the end of the word
//!   before, LU.
//! - **Vowels**: hops of 10 ms of labelled vowels whose level changes by more than 0.5 dB.
//! - **False reductions**: as in the detector's figures, at a new insert's settings.

mod pair;
mod pauses;
mod tally;
mod trial;

pub use tally::Tally;
pub use trial::Trial;
