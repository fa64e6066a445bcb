//! The sibilance stage: reduces a sibilant that exceeds the adaptive threshold.

mod edge;
mod event_level;
pub(crate) mod event_spectrum;
pub(crate) mod gain_computer;
pub(crate) mod reach;
pub(crate) mod shelf;
pub(crate) mod shelf_shape;
pub(crate) mod whole_event;

use self::edge::SibilantEdge;
use self::event_level::EventLevel;
use self::gain_computer::sibilance_reduction_db;
use self::reach::Reach;
use self::shelf::Shelf;
use self::shelf_shape::MovingShelf;
use crate::analysis::Band;
use crate::clock::timing::Timing;
use crate::control::ballistics::{Ballistics, BallisticsDecay};
use crate::primitives::decibels::{SILENCE_LUFS, lufs_from_power};
use crate::primitives::frame::Frame;
use crate::primitives::frame_history::FrameHistory;
use crate::primitives::powers_of_two::exp2;
use crate::report::Class;
use crate::settings::SibilanceSettings;
use crate::stages::hop_input::HopInput;

/// Attack and release settings are times to 99 %, which is this many time constants.
const TIME_CONSTANTS_TO_99_PERCENT: f32 = 4.605;

/// The target of the stage after a hop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SibilanceTarget {
    /// Level of the band above `Detect from` at the leveller's output, LUFS.
    pub level_lufs: f32,
    /// Requested reduction of the band, 0 or positive.
    pub requested_db: f32,
    /// Depth of the shelf that reduces the band by this much, 0 or positive.
    pub depth_db: f32,
    /// Excess of the sibilant over the threshold. While it sounds, a larger reduction is released fast.
    pub excess_db: f32,
}

/// The target outside sibilants.
const NO_SIBILANT: SibilanceTarget = SibilanceTarget {
    level_lufs: SILENCE_LUFS,
    requested_db: 0.0,
    depth_db: 0.0,
    excess_db: f32::INFINITY,
};

/// The level detector and the filter.
pub(crate) struct Sibilance {
    timing: Timing,
    level: EventLevel,
    edge: SibilantEdge,
    target: SibilanceTarget,
    band_share: f32,
    depth: Ballistics,
    shelf: MovingShelf,
    /// That of the settings when it was last needed: while they move, it is not computed where nothing is reduced.
    reach: Reach,
    current_shape: Option<ShapeInputs>,
    /// Set once a hop: while the shelf rests, its corner moves no more often.
    is_new_hop: bool,
    filter: Shelf,
}

/// The values from which the shelf's shape was last computed.
#[derive(Debug, Clone, Copy, PartialEq)]
struct ShapeInputs {
    reach: Reach,
    depth_db: f32,
    edge_octaves: f32,
}

/// Constants derived from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SibilancePlan {
    settings: SibilanceSettings,
    attack: f32,
    release: f32,
}

impl SibilancePlan {
    pub fn new(settings: &SibilanceSettings, timing: Timing) -> Self {
        Self {
            settings: *settings,
            attack: decay(settings.attack_ms, timing),
            release: decay(settings.release_ms, timing),
        }
    }

    /// Takes changed settings; recomputes only what follows from them.
    pub fn update(&mut self, settings: &SibilanceSettings, timing: Timing) {
        let last = std::mem::replace(&mut self.settings, *settings);
        if settings.attack_ms != last.attack_ms {
            self.attack = decay(settings.attack_ms, timing);
        }
        if settings.release_ms != last.release_ms {
            self.release = decay(settings.release_ms, timing);
        }
    }
}

/// The factor per step of a time to 99 %.
fn decay(time_ms: f32, timing: Timing) -> f32 {
    timing.step_decay(time_ms / TIME_CONSTANTS_TO_99_PERCENT)
}

impl Sibilance {
    pub fn new(timing: Timing, plan: &SibilancePlan) -> Self {
        let reach = Reach::new(&plan.settings, timing.sample_rate_hz);
        let resting = reach.resting_shape();
        Self {
            timing,
            level: EventLevel::new(timing),
            edge: SibilantEdge::new(timing),
            target: NO_SIBILANT,
            band_share: 1.0,
            depth: Ballistics::default(),
            shelf: MovingShelf {
                from: resting,
                to: resting,
                step_samples: timing.step_samples,
            },
            reach,
            current_shape: None,
            is_new_hop: true,
            filter: Shelf::new(timing.window_samples),
        }
    }

    pub fn reset(&mut self, plan: &SibilancePlan) {
        self.level.reset();
        self.edge.reset();
        self.target = NO_SIBILANT;
        self.band_share = 1.0;
        self.depth.reset();
        self.reach.follow(&plan.settings);
        let resting = self.reach.resting_shape();
        (self.shelf.from, self.shelf.to) = (resting, resting);
        (self.current_shape, self.is_new_hop) = (None, true);
        self.filter.reset();
    }

    /// Updates the target once per hop.
    pub fn update_hop(
        &mut self,
        hop: HopInput,
        threshold_lufs: f32,
        plan: &SibilancePlan,
    ) -> SibilanceTarget {
        let settings = &plan.settings;
        self.target = if hop.class == Class::Sibilant {
            let band = Band::new(self.timing, f64::from(settings.from_hz)..f64::INFINITY);
            let band_power = hop.spectrum.power(&band) * hop.power_gain;
            let level_lufs = lufs_from_power(self.level.push(band_power));
            let excess_db = level_lufs - threshold_lufs;
            let requested_db = sibilance_reduction_db(excess_db, settings.ratio, settings.range_db);
            let requested_db = if settings.on { requested_db } else { 0.0 };
            let edge_hz = self.edge.update_hop(hop.spectrum, settings.from_hz, requested_db);
            self.reach.follow(settings);
            let depth_db = self.reach.depth_db(requested_db, edge_hz, hop.spectrum, settings);
            SibilanceTarget {
                level_lufs,
                requested_db,
                depth_db,
                excess_db,
            }
        } else {
            self.level.reset();
            self.edge.end_event();
            NO_SIBILANT
        };
        if self.target.depth_db > 0.0 {
            self.band_share = self.target.requested_db / self.target.depth_db;
        }
        self.filter.flush_denormals();
        self.is_new_hop = true;
        self.target
    }

    /// Moves the filter towards the target for the next step.
    pub fn update_step(&mut self, plan: &SibilancePlan) {
        // A slow release must not keep a fading sibilant below the threshold.
        let too_deep = self.reduction_db() > self.target.excess_db.max(0.0);
        let decay = BallisticsDecay {
            attack: plan.attack,
            release: if too_deep { plan.attack } else { plan.release },
        };
        let idle = self.depth.reduction_db() == 0.0;
        let depth_db = self.depth.update_step(self.target.depth_db, decay);
        self.shelf.from = self.shelf.to;
        if idle && depth_db == 0.0 && !std::mem::take(&mut self.is_new_hop) {
            return;
        }
        let edge_octaves = self.edge.update_step(idle);
        self.reach.follow(&plan.settings);
        self.set_shape(ShapeInputs {
            reach: self.reach,
            depth_db,
            edge_octaves,
        });
        if idle {
            // At 0 dB the corner is inaudible: the shelf starts at the corner of its sibilant.
            self.shelf.from.warped_corner = self.shelf.to.warped_corner;
        }
    }

    /// Sets the shelf's shape for the end of the step. Nothing is computed while nothing moves.
    fn set_shape(&mut self, wanted: ShapeInputs) {
        if self.current_shape != Some(wanted) {
            let edge_hz = wanted.reach.detect_from_hz() * exp2(f64::from(wanted.edge_octaves)) as f32;
            self.shelf.to = wanted.reach.shape(wanted.depth_db, edge_hz);
            self.current_shape = Some(wanted);
        }
    }

    /// Lower edge of the current or the last sibilant, Hz.
    pub fn edge_hz(&self, plan: &SibilancePlan) -> f32 {
        self.edge.edge_hz(plan.settings.from_hz)
    }

    /// Reduction of the band at the end of the step, 0 or positive.
    pub fn reduction_db(&self) -> f32 {
        self.depth.reduction_db() * self.band_share
    }

    /// Reduction far above the edge at the end of the step, 0 or positive.
    pub fn depth_db(&self) -> f32 {
        self.depth.reduction_db()
    }

    /// True if the shelf need only record frames during the step.
    pub fn rests(&mut self) -> bool {
        self.filter.sleeps(&self.shelf)
    }

    /// The frames before the shelf, of late.
    pub fn history(&mut self) -> &mut FrameHistory {
        self.filter.history()
    }

    /// Applies the shelf to frames; the first is sample `index` of the step.
    pub fn process(&mut self, frames: &mut [Frame], index: usize) {
        self.filter.process(frames, &self.shelf, index);
    }
}
