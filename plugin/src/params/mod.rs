//! Every parameter, in groups in the order of the signal. The ids are saved in people's songs: they never change.

pub mod build;
mod control;
mod groups;
mod remembered;
#[cfg(test)]
mod tests;

pub use control::{Control, Group, Knob};
pub use groups::{
    BreathParams, FollowGroup, FollowParams, FollowParamsWithSource, LevellerParams, OutputParams,
    SibilanceParams,
};

pub use remembered::RememberedWindow;

use nice_plug::prelude::*;
use siskin_dsp::Settings;

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
    /// The window's size and zoom, saved with the song.
    #[persist = "window"]
    pub window: RememberedWindow,
}

impl<F: FollowGroup> Default for InsertParams<F> {
    fn default() -> Self {
        Self {
            leveller: LevellerParams::default(),
            sibilance: SibilanceParams::default(),
            follow: F::default(),
            breath: BreathParams::default(),
            output: OutputParams::default(),
            window: RememberedWindow::default(),
        }
    }
}

/// The parameters of an insert of either kind, as the editor sees them.
pub trait Controls: Send + Sync {
    /// Every control in the order of the signal.
    fn controls(&self) -> Vec<Control<'_>>;
    /// What they set.
    fn settings(&self) -> Settings;
    /// Whether there is a reference voice to follow.
    fn has_source(&self) -> bool;
    /// The window's size and zoom.
    fn window(&self) -> &RememberedWindow;
}

impl<F: FollowGroup> Controls for InsertParams<F> {
    fn controls(&self) -> Vec<Control<'_>> {
        self.groups()
            .into_iter()
            .flat_map(|group| group.controls)
            .collect()
    }

    fn settings(&self) -> Settings {
        crate::settings::settings(self)
    }

    fn has_source(&self) -> bool {
        self.follow.source().is_some()
    }

    fn window(&self) -> &RememberedWindow {
        &self.window
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
