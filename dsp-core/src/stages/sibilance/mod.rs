//! The sibilance stage: a sibilant that stands out of proportion to the voice is brought back to it.

mod edge;
mod event_level;
pub(crate) mod gain_computer;
pub(crate) mod reach;
pub(crate) mod shelf;

use self::edge::SibilantEdge;
use self::event_level::EventLevel;
use self::gain_computer::sibilance_reduction_db;
use self::reach::Reach;
use self::shelf::{MovingShelf, Shelf, ShelfShape};
use crate::analysis::{Band, Spectrum};
use crate::clock::timing::Timing;
use crate::control::ballistics::{Ballistics, BallisticsDecay};
use crate::primitives::decibels::{SILENCE_LUFS, lufs_from_power};
use crate::primitives::frame::Frame;
use crate::report::Class;
use crate::settings::SibilanceSettings;

/// Attack and release are set as the time to 99 %, that is this many time constants.
const TIME_CONSTANTS_TO_99_PERCENT: f32 = 4.605;

/// What one hop asks of the stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SibilanceDecision {
    /// Level of the band above `Detect from` at the leveller's output, LUFS.
    pub level_lufs: f32,
    /// Reduction that must arrive in the band, positive decibels.
    pub asked_db: f32,
    /// Depth of the shelf that makes it arrive, positive decibels.
    pub depth_db: f32,
    /// Excess of the sibilant over the threshold: more than this is never kept up while it sounds.
    pub excess_db: f32,
}

const NOTHING: SibilanceDecision = SibilanceDecision {
    level_lufs: SILENCE_LUFS,
    asked_db: 0.0,
    depth_db: 0.0,
    excess_db: f32::INFINITY,
};

/// The detector and the gain.
pub(crate) struct Sibilance {
    level: EventLevel,
    edge: SibilantEdge,
    decision: SibilanceDecision,
    arriving_share: f32,
    depth: Ballistics,
    shelf: MovingShelf,
    shaped: Option<Shaped>,
    filter: Shelf,
}

/// What the shelf's shape was last made of.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shaped {
    reach: Reach,
    depth_db: f32,
    from_hz: f32,
    edge_octaves: f32,
}

/// What follows from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SibilancePlan {
    settings: SibilanceSettings,
    band: Band,
    reach: Reach,
    attack: f32,
    release: f32,
}

impl SibilancePlan {
    pub fn new(settings: &SibilanceSettings, timing: Timing) -> Self {
        let decay = |time_ms: f32| timing.step_decay(time_ms / TIME_CONSTANTS_TO_99_PERCENT);
        Self {
            settings: *settings,
            band: Band::new(timing, (f64::from(settings.from_hz), f64::INFINITY)),
            reach: Reach::new(settings, timing.sample_rate_hz),
            attack: decay(settings.attack_ms),
            release: decay(settings.release_ms),
        }
    }

    fn resting_shape(&self) -> ShelfShape {
        self.reach.shape(0.0, self.settings.from_hz)
    }
}

impl Sibilance {
    pub fn new(timing: Timing, plan: &SibilancePlan) -> Self {
        Self {
            level: EventLevel::new(timing),
            edge: SibilantEdge::new(timing),
            decision: NOTHING,
            arriving_share: 1.0,
            depth: Ballistics::default(),
            shelf: MovingShelf {
                from: plan.resting_shape(),
                to: plan.resting_shape(),
                step_samples: timing.step_samples,
            },
            shaped: None,
            filter: Shelf::new(timing.window_samples),
        }
    }

    pub fn reset(&mut self, plan: &SibilancePlan) {
        self.level.reset();
        self.edge.reset();
        self.decision = NOTHING;
        self.arriving_share = 1.0;
        self.depth.reset();
        (self.shelf.from, self.shelf.to) = (plan.resting_shape(), plan.resting_shape());
        self.shaped = None;
        self.filter.reset();
    }

    /// Decides once a hop: the input's spectrum and class, the leveller's power gain, the threshold.
    pub fn decide(
        &mut self,
        (class, spectrum): (Class, &Spectrum),
        leveller_power_gain: f64,
        threshold_lufs: f32,
        plan: &SibilancePlan,
    ) -> SibilanceDecision {
        let settings = &plan.settings;
        self.decision = if class == Class::Sibilant {
            let band_power = spectrum.power(&plan.band) * leveller_power_gain;
            let level_lufs = lufs_from_power(self.level.push(band_power));
            let excess_db = level_lufs - threshold_lufs;
            let asked_db = sibilance_reduction_db(excess_db, settings.ratio, settings.range_db);
            let asked_db = if settings.on { asked_db } else { 0.0 };
            let edge_hz = self.edge.hear(spectrum, settings.from_hz, asked_db);
            let depth_db = plan.reach.depth_db(asked_db, edge_hz, spectrum, settings);
            SibilanceDecision {
                level_lufs,
                asked_db,
                depth_db,
                excess_db,
            }
        } else {
            self.level.reset();
            self.edge.end_event();
            NOTHING
        };
        if self.decision.depth_db > 0.0 {
            self.arriving_share = self.decision.asked_db / self.decision.depth_db;
        }
        self.filter.flush_denormals();
        self.decision
    }

    /// Moves the filter towards the last decision, to the end of the coming step.
    pub fn step(&mut self, plan: &SibilancePlan) {
        // A slow release must not hold a fading sibilant under the threshold.
        let too_deep = self.reduction_db() > self.decision.excess_db.max(0.0);
        let decay = BallisticsDecay {
            attack: plan.attack,
            release: if too_deep { plan.attack } else { plan.release },
        };
        let idle = self.depth.reduction_db() == 0.0;
        let depth_db = self.depth.process(self.decision.depth_db, decay);
        let edge_octaves = self.edge.step(idle);
        self.shelf.from = self.shelf.to;
        self.shape(Shaped {
            reach: plan.reach,
            depth_db,
            from_hz: plan.settings.from_hz,
            edge_octaves,
        });
        if idle {
            // At 0 dB no corner can be heard: the shelf begins where its sibilant does.
            self.shelf.from.warped_corner = self.shelf.to.warped_corner;
        }
    }

    /// Gives the shelf its shape for the end of the step; while nothing moves it has it already.
    fn shape(&mut self, wanted: Shaped) {
        if self.shaped != Some(wanted) {
            let edge_hz = wanted.from_hz * wanted.edge_octaves.exp2();
            self.shelf.to = wanted.reach.shape(wanted.depth_db, edge_hz);
            self.shaped = Some(wanted);
        }
    }

    /// Where the own band of the sibilant begins that sounds, or of the last one, Hz.
    pub fn edge_hz(&self, plan: &SibilancePlan) -> f32 {
        self.edge.edge_hz(plan.settings.from_hz)
    }

    /// Reduction that arrives in the band at the end of the step, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.depth.reduction_db() * self.arriving_share
    }

    /// Reduction far above the edge at the end of the step, positive decibels.
    pub fn depth_db(&self) -> f32 {
        self.depth.reduction_db()
    }

    /// Applies the shelf to frames that start at `index` within the step.
    pub fn process(&mut self, frames: &mut [Frame], index: usize) {
        self.filter.process(frames, &self.shelf, index);
    }
}
