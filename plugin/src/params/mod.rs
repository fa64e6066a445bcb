//! Every parameter, in groups in the order of the signal. The ids are saved in people's songs: they never change.

pub mod build;
mod control;
mod groups;
#[cfg(test)]
mod tests;

pub use control::{Control, Group, Knob};
pub use groups::{
    BreathParams, FollowGroup, FollowParams, FollowParamsWithSource, LevellerParams, OutputParams,
    SibilanceParams,
};

use nice_plug::prelude::*;

/// The parameters of one insert; `F` is the Follow group, which has a source in Siskin Follow only.
#[derive(Params)]
pub struct InsertParams<F: FollowGroup> {
    /// Levels the voice.
    #[nested(group = "Leveller")]
    pub leveller: LevellerParams,
    /// Keeps sibilants in proportion.
    #[nested(group = "Sibilance")]
    pub sibilance: SibilanceParams,
    /// Knows the voice level.
    #[nested(group = "Follow")]
    pub follow: F,
    /// Keeps breaths in proportion.
    #[nested(group = "Breath")]
    pub breath: BreathParams,
    /// The end of the path.
    #[nested(group = "Output")]
    pub output: OutputParams,
}

impl<F: FollowGroup> Default for InsertParams<F> {
    fn default() -> Self {
        Self {
            leveller: LevellerParams::default(),
            sibilance: SibilanceParams::default(),
            follow: F::default(),
            breath: BreathParams::default(),
            output: OutputParams::default(),
        }
    }
}

impl<F: FollowGroup> InsertParams<F> {
    /// The groups in the order of the signal, each with its controls.
    #[must_use]
    pub fn groups(&self) -> [Group<'_>; 5] {
        [
            Group {
                name: "Leveller",
                controls: self.leveller.controls(),
            },
            Group {
                name: "Sibilance",
                controls: self.sibilance.controls(),
            },
            Group {
                name: "Follow",
                controls: self.follow.controls(),
            },
            Group {
                name: "Breath",
                controls: self.breath.controls(),
            },
            Group {
                name: "Output",
                controls: self.output.controls(),
            },
        ]
    }
}
