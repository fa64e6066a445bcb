//! What the page does when a key or a button asks for it.

use egui::Ui;

use super::app::Open;
use super::bar::{Press, Two};
use super::compare::{OUTPUT_GAIN, Values};
use super::keys::{self, Act};
use super::propose::Listener;
use super::shell::Made;
use super::start;
use crate::params::Control;

impl Open {
    pub(super) fn obey_keys(&mut self, ui: &Ui, made: &Made, controls: &[Control<'_>]) {
        if self.typing.is_some() {
            return;
        }
        for act in keys::pressed(ui) {
            match act {
                Act::Listen => self.listen_to_next(controls),
                Act::Freeze => self.heard.stream.toggle(),
                Act::Setting(index) => self.press(Press::Setting(index), made, controls),
                Act::Propose => self.press(Press::Propose, made, controls),
            }
        }
    }

    fn listen_to_next(&self, controls: &[Control<'_>]) {
        for listen in controls.iter().filter(|control| control.id == "listen") {
            let steps = listen.knob.steps().unwrap_or(1) as f32;
            let next = ((listen.knob.base() * steps).round() + 1.0) % (steps + 1.0);
            self.hand.set(listen, next / steps);
        }
    }

    /// How the two settings stand.
    pub(super) fn two(&self, made: &Made, controls: &[Control<'_>]) -> Two {
        let compare = made.window.compare();
        let gain = controls.iter().find(|control| control.id == OUTPUT_GAIN);
        let comparable = gain.is_some_and(|gain| {
            compare
                .equal_gains(plain_db(gain, gain.knob.base()), |value| plain_db(gain, value))
                .is_some()
        });
        Two {
            heard: compare.heard(),
            differ: compare.differ(&values(controls)),
            comparable,
        }
    }

    /// Does what a button or a key asks for.
    pub(super) fn press(&mut self, press: Press, made: &Made, controls: &[Control<'_>]) {
        let now = values(controls);
        let mut compare = made.window.compare();
        match press {
            Press::Propose => {
                self.heard.listener = match self.heard.listener {
                    Some(_) => None,
                    None => Some(Listener::default()),
                };
            }
            Press::Setting(index) => {
                let values = compare.go_to(index, &now);
                start::apply(&self.hand, controls, values.into_iter().flatten());
            }
            Press::Copy => compare.copy(&now),
            Press::Equal => {
                for gain in controls.iter().filter(|control| control.id == OUTPUT_GAIN) {
                    let heard_db = plain_db(gain, gain.knob.base());
                    let equal = compare.equal_gains(heard_db, |value| plain_db(gain, value));
                    let normalized = |db: f32| gain.knob.read(&format!("{db:.2} dB"));
                    if let Some(equal) = equal {
                        normalized(equal.other_db)
                            .into_iter()
                            .for_each(|value| compare.set_other_gain(value));
                        normalized(equal.heard_db)
                            .into_iter()
                            .for_each(|value| self.hand.set(gain, value));
                    }
                }
            }
            Press::List => (self.list, self.typing) = (!self.list, None),
        }
    }
}

/// Where every control stands.
pub fn values(controls: &[Control<'_>]) -> Values {
    controls
        .iter()
        .map(|control| (control.id, control.knob.base()))
        .collect()
}

/// A gain in dB, as its own text has it.
fn plain_db(gain: &Control<'_>, normalized: f32) -> f32 {
    crate::readout::read_level(&gain.knob.text(normalized)).unwrap_or(0.0)
}
