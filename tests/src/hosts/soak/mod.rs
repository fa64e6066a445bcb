//! Random hosts: inserts of both plug-ins in both formats, driven through whatever a host may do, from a seed.
//!
//! [`Soak::scene`] is one host's session of some hundred actions. The same seed is the same session, but for the moment at which one
//! thread saves while another one processes. [`states`] loads mutated states.

mod actions;
mod blocks;
mod mutation;
mod random;
pub mod states;
mod subject;
pub mod timing;

use std::path::Path;

use anyhow::{Context, Result};
use random::Random;
use subject::{Bundles, Subject};

use crate::hosts::clap::Bundle;
use crate::hosts::vst3::Module;

/// Actions of a scene.
pub const ACTIONS: usize = 300;
/// Inserts that live at one time.
const MOST_INSERTS: usize = 4;

/// The bundles, loaded once.
pub struct Soak(Bundles);

impl Soak {
    /// Loads the bundles that lie in `folder`.
    pub fn load(folder: &Path) -> Result<Self> {
        Ok(Self(Bundles {
            clap: Bundle::load_strict(&folder.join("Siskin.clap"))?,
            vst3: Module::load(&folder.join("Siskin.vst3")),
        }))
    }

    /// Plays the scene of a seed; `watch` gets each action before it happens. Returns the kinds of the actions; an error
    /// says what went wrong, and where to find it again.
    pub fn scene(&self, seed: u64, mut watch: impl FnMut(usize)) -> Result<Vec<&'static str>> {
        let mut random = Random::new(seed);
        let mut inserts: Vec<Subject> = Vec::new();
        let mut done = Vec::new();
        for action in 0..ACTIONS {
            watch(action);
            let what = self.act(&mut inserts, &mut random);
            done.push(what.with_context(|| format!("seed {seed}, action {action}"))?);
        }
        Ok(done)
    }

    fn act(&self, inserts: &mut Vec<Subject>, random: &mut Random) -> Result<&'static str> {
        if inserts.is_empty() || (inserts.len() < MOST_INSERTS && random.once_in(20)) {
            inserts.push(Subject::new(&self.0, random)?);
            return Ok("make");
        }
        let index = random.below(inserts.len());
        if random.once_in(60) {
            // While it is active, too, as a host that is closed in a hurry does.
            let mut gone = inserts.swap_remove(index);
            if random.once_in(2) {
                gone.deactivate();
            }
            return Ok("destroy");
        }
        let subject = &mut inserts[index];
        actions::act(subject, random).with_context(|| format!("{} {}", subject.insert.format(), subject.name))
    }
}
