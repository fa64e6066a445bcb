//! What keys and toolbar buttons do.

use egui::Ui;
use nice_plug::prelude::PluginState;

use super::frame::Page;
use super::starting_point;
use super::toolbar::{Action, Comparison};
use crate::editor::model::chosen::Chosen;
use crate::editor::model::compare::{OUTPUT_GAIN, current_values};
use crate::editor::model::context::EditorContext;
use crate::editor::model::proposal::ProposalListener;
use crate::editor::widgets::shortcuts::{self, Shortcut};
use crate::params::{Parameter, own_settings};

impl Page {
    /// Runs the shortcuts that were pressed in this frame.
    pub(super) fn run_shortcuts(&mut self, ui: &Ui, editor: &EditorContext, controls: &[Parameter]) {
        if self.is_typing() {
            return;
        }
        shortcuts::leave_space_bar(ui);
        for shortcut in shortcuts::pressed(ui) {
            match shortcut {
                Shortcut::Listen => self.listen_to_next(controls),
                Shortcut::Freeze => self.monitor.timeline.toggle_freeze(),
                Shortcut::Setting(index) => self.run(Action::Setting(index), editor, controls),
                Shortcut::Propose => self.run(Action::Propose, editor, controls),
                Shortcut::Song => self.run(Action::Song, editor, controls),
                Shortcut::Undo => self.gestures.undo(),
                Shortcut::Redo => self.gestures.redo(),
            }
        }
    }

    fn listen_to_next(&self, controls: &[Parameter]) {
        for listen in controls.iter().filter(|control| control.id() == "listen") {
            let steps = listen.steps().unwrap_or(1) as f32;
            let next = ((listen.base() * steps).round() + 1.0) % (steps + 1.0);
            self.gestures.set(listen, next / steps);
        }
    }

    /// State of the comparison, for the toolbar.
    pub(super) fn comparison(&self, editor: &EditorContext, controls: &[Parameter]) -> Comparison {
        let compare = editor.session.compare();
        let gain = controls.iter().find(|control| control.id() == OUTPUT_GAIN);
        let louder_lu = gain
            .and_then(|gain| compare.louder_lu(plain_db(gain, gain.base()), |value| plain_db(gain, value)));
        Comparison {
            active: compare.active(),
            differs: compare.differs(&current_values(controls)),
            louder_lu,
        }
    }

    /// Runs the action of a button or key.
    pub(super) fn run(&mut self, action: Action, editor: &EditorContext, controls: &[Parameter]) {
        let current = current_values(controls);
        match action {
            Action::Propose => {
                self.monitor.proposal = match self.monitor.proposal {
                    Some(_) => None,
                    None => Some(ProposalListener::default()),
                };
            }
            Action::Setting(index) => {
                let values = editor.session.compare().switch_to(index, &current);
                starting_point::apply(&self.gestures, controls, values.into_iter().flatten());
            }
            Action::Copy => editor.session.compare().copy(&current),
            Action::EqualLoudness => self.equalize_loudness(editor, controls),
            Action::Scheme(scheme) => editor.params.window.choose_scheme(scheme),
            Action::Song => {
                self.shows_song = self.shows_list || !self.shows_song;
                (self.shows_list, self.text_entry) = (false, None);
            }
            Action::List => (self.shows_list, self.text_entry) = (!self.shows_list, None),
        }
    }

    /// Sets the values of a starting point, one gesture each.
    pub(super) fn begin_with(&mut self, name: &str, state: &PluginState, editor: &EditorContext) {
        let controls = editor.params.parameters();
        let values = starting_point::values(state, controls);
        starting_point::apply(&self.gestures, controls, values.clone());
        let name = name.to_owned();
        editor.session.choose(Chosen { name, values });
    }

    /// Sets the values of a person's own starting point, or says why it cannot be read.
    pub(super) fn begin_with_own(&mut self, index: usize, editor: &EditorContext) {
        let Some(own) = self.own_points.listed.get(index).cloned() else {
            return;
        };
        let json = siskin_presets::load(editor.name, &own.path);
        match json.and_then(|json| own_settings::from_json(&json, &editor.params)) {
            Some(state) => self.begin_with(&own.name, &state, editor),
            None => self
                .own_points
                .say(format!("{} is no preset of {}", own.name, editor.name)),
        }
    }

    /// Sets the Output gain of both settings so that they are equally loud, where both were measured.
    fn equalize_loudness(&self, editor: &EditorContext, controls: &[Parameter]) {
        let Some(gain) = controls.iter().find(|control| control.id() == OUTPUT_GAIN) else {
            return;
        };
        let mut compare = editor.session.compare();
        let active_db = plain_db(gain, gain.base());
        let Some(equal) = compare.equal_gains(active_db, |value| plain_db(gain, value)) else {
            return;
        };
        let normalized = |db: f32| gain.read(&format!("{db:.2} dB"));
        if let Some(value) = normalized(equal.other_db) {
            compare.set_other_gain(value);
        }
        if let Some(value) = normalized(equal.active_db) {
            self.gestures.set(gain, value);
        }
    }
}

/// A gain in dB, read from the parameter's own text.
fn plain_db(gain: &Parameter, normalized: f32) -> f32 {
    crate::params::readout::read_level(&gain.text(normalized)).unwrap_or(0.0)
}
