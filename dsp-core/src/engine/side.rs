//! The stages that treat one side: both channels where they are linked, else one of two.

use super::ahead::{Ahead, NewestHop};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::control::plan::Plan;
use crate::primitives::frame::{Frame, take_right};
use crate::primitives::frame_history::FrameHistory;
use crate::report::{Class, HopReport};
use crate::settings::Settings;
use crate::stages::breath::Breath;
use crate::stages::part::PartSplit;
use crate::stages::sibilance::{Sibilance, SibilanceTarget};
use crate::voice::adaptive_threshold::AdaptiveThreshold;

/// Sibilance, breath and Part of one side, and what is known of its hops to come.
pub(super) struct Side {
    sibilance: Sibilance,
    breath: Breath,
    part: PartSplit,
    /// `None` if hops are heard at once.
    ahead: Option<Box<Ahead>>,
    report: HopReport,
    rests: bool,
}

impl Side {
    pub fn new(timing: Timing, plan: &Plan, ahead: Option<Ahead>) -> Self {
        Self {
            sibilance: Sibilance::new(timing, &plan.sibilance),
            breath: Breath::new(timing),
            part: PartSplit::new(timing, plan.settings.output.part),
            ahead: ahead.map(Box::new),
            report: HopReport::default(),
            rests: false,
        }
    }

    pub fn reset(&mut self, plan: &Plan, leveller_gain: f64) {
        self.sibilance.reset(&plan.sibilance);
        self.breath.reset();
        self.part.reset(plan.settings.output.part);
        if let Some(ahead) = &mut self.ahead {
            ahead.reset(plan, leveller_gain);
        }
        self.report = HopReport::default();
        self.rests = false;
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        if let Some(ahead) = &mut self.ahead {
            ahead.align_grid(position);
        }
    }

    /// What is known of the hops to come, if they are kept.
    pub fn ahead(&self) -> Option<&Ahead> {
        self.ahead.as_deref()
    }

    /// Starts a step. `changed` are settings that begin with it, `leveller_gain` is what the leveller's gain moves towards.
    pub fn update_step(&mut self, newest: &Plan, changed: Option<&Settings>, leveller_gain: f64) {
        let plan = match &mut self.ahead {
            Some(ahead) => {
                ahead.update_step(changed, leveller_gain);
                ahead.plan()
            }
            None => newest,
        };
        self.sibilance.update_step(&plan.sibilance);
        self.breath.update_step(&plan.breath);
        self.part.update_step(plan.settings.output.part);
        self.rests = self.breath.rests() && self.part.rests() && self.sibilance.rests();
    }

    /// Takes the newest hop, and sets the targets for the one that is heard, which is an earlier one where hops are kept.
    pub fn update_hop(&mut self, newest: &NewestHop, newest_plan: &Plan) {
        if let Some(ahead) = &mut self.ahead {
            ahead.update_hop(newest);
        }
        let (report, plan, hop) = match &self.ahead {
            Some(ahead) => (ahead.heard().report, ahead.plan(), ahead.sibilance_input()),
            None => (newest.report, newest_plan, newest.input()),
        };
        let threshold_lufs = AdaptiveThreshold {
            voice_lufs: report.voice_lufs,
            proportion_lu: plan.settings.sibilance.proportion_lu,
        }
        .lufs();
        let target = self.sibilance.update_hop(hop, threshold_lufs, &plan.sibilance);
        match &self.ahead {
            Some(ahead) => {
                self.breath
                    .update_known(ahead.heard().breath, report.voice_lufs, &plan.breath);
            }
            None => self.breath.update_hop(hop, report.voice_lufs, &plan.breath),
        }
        self.part.update_hop(self.breath.is_breath());
        self.report = HopReport {
            threshold_lufs,
            edge_hz: self.sibilance.edge_hz(&plan.sibilance),
            ..self.with_reductions(report, target)
        };
    }

    /// Adds what the stages do to the hop.
    fn with_reductions(&self, hop: HopReport, target: SibilanceTarget) -> HopReport {
        HopReport {
            sibilance_lufs: target.level_lufs,
            sibilance_gain_db: -self.sibilance.reduction_db(),
            sibilance_shelf_gain_db: -self.sibilance.depth_db(),
            is_breath: self.breath.is_breath(),
            breath_gain_db: -self.breath.reduction_db(),
            ..hop
        }
    }

    /// The hop that is heard.
    pub fn report(&self) -> &HopReport {
        &self.report
    }

    /// True if every stage leaves frames as they are during the step. They need not be passed through then, but recorded in
    /// [`Self::history`].
    pub fn rests(&self) -> bool {
        self.rests
    }

    /// The frames before the stages, of late.
    pub fn history(&mut self) -> &mut FrameHistory {
        self.sibilance.history()
    }

    /// Reduces sibilance and breaths in frames; the first is sample `index` of the step.
    pub fn reduce(&mut self, frames: &mut [Frame], index: usize) {
        self.sibilance.process(frames, index);
        self.breath.process(frames, index);
    }

    /// Leaves what belongs to the part.
    pub fn split(&mut self, frames: &mut [Frame], index: usize) {
        self.part.process(frames, index);
    }
}

/// Passes frames through a stage of every side. Of two sides each treats its own channel of a copy: `copy` is room for one.
pub(super) fn process_sides(
    sides: &mut [Side],
    frames: &mut [Frame],
    copy: &mut [Frame],
    mut process: impl FnMut(&mut Side, &mut [Frame]),
) {
    match sides {
        [left, right] => {
            let copy = &mut copy[..frames.len()];
            copy.copy_from_slice(frames);
            process(left, frames);
            process(right, copy);
            take_right(frames, copy);
        }
        sides => sides.iter_mut().for_each(|side| process(side, frames)),
    }
}

/// Which of two sides the report is of: what sounds goes before rests, sibilants go before all; else it stays.
pub(super) fn reported_side(sides: &[Side], last: usize) -> usize {
    let rank = |side: usize| match sides[side].report.class {
        Class::Quiet => 0,
        Class::Breath => 1,
        Class::Voice => 2,
        Class::Sibilant => 3,
    };
    (0..sides.len()).fold(
        last,
        |best, side| if rank(side) > rank(best) { side } else { best },
    )
}
