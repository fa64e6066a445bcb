//! Random hosts: inserts of both plug-ins in both formats, driven through whatever a host may do, from a seed.
//!
//! [`Soak::scene`] is one host's session of some hundred acts. The same seed is the same session, but for the moment at which one
//! thread saves while another one processes.

mod acts;
mod blocks;
mod dice;
mod sounds;
pub mod timing;
mod world;

use std::path::Path;

use dice::Dice;
use world::{Subject, World};

use crate::hosts::clap::{Bundle, HostError};
use crate::hosts::vst3::Module;

/// Acts of a scene.
pub const ACTS: usize = 300;
/// Inserts that live at one time.
const MOST_INSERTS: usize = 4;

/// The bundles, loaded once.
pub struct Soak(World);

/// What went wrong, and where to find it again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The seed of the scene.
    pub seed: u64,
    /// The act.
    pub act: usize,
    /// What did not hold.
    pub what: String,
}

impl std::fmt::Display for Finding {
    fn fmt(&self, form: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(form, "seed {}, act {}: {}", self.seed, self.act, self.what)
    }
}

impl Soak {
    /// Loads the bundles that lie in `folder`.
    ///
    /// # Errors
    ///
    /// [`HostError::Load`] where there are none.
    pub fn load(folder: &Path) -> Result<Self, HostError> {
        Ok(Self(World {
            clap: Bundle::load(&folder.join("Siskin.clap"))?,
            vst3: Module::load(&folder.join("Siskin.vst3")),
        }))
    }

    /// Plays the scene of a seed; `watch` hears of each act before it happens. Returns how many acts there were of each
    /// kind.
    ///
    /// # Errors
    ///
    /// What went wrong.
    pub fn scene(&self, seed: u64, mut watch: impl FnMut(usize)) -> Result<Vec<&'static str>, Finding> {
        let mut dice = Dice::new(seed);
        let mut inserts: Vec<Subject> = Vec::new();
        let mut done = Vec::new();
        for act in 0..ACTS {
            watch(act);
            let what = self.act(&mut inserts, &mut dice);
            done.push(what.map_err(|what| Finding { seed, act, what })?);
        }
        Ok(done)
    }

    fn act(&self, inserts: &mut Vec<Subject>, dice: &mut Dice) -> Result<&'static str, String> {
        if inserts.is_empty() || (inserts.len() < MOST_INSERTS && dice.once_in(20)) {
            inserts.push(Subject::new(&self.0, dice).map_err(world::told)?);
            return Ok("make");
        }
        let index = dice.below(inserts.len());
        if dice.once_in(60) {
            // While it is active, too, as a host that is closed in a hurry does.
            let mut gone = inserts.swap_remove(index);
            if dice.once_in(2) {
                gone.deactivate();
            }
            return Ok("destroy");
        }
        let subject = &mut inserts[index];
        acts::act(subject, dice).map_err(|what| format!("{} {}: {what}", subject.format_name(), subject.name))
    }
}

impl Subject {
    fn format_name(&self) -> &'static str {
        match self.format {
            world::Format::Clap(_) => "CLAP",
            world::Format::Vst3(_) => "VST3",
        }
    }
}
