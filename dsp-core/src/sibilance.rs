//! The sibilance stage: a sibilant that stands out of proportion to the voice is brought back to it.

use crate::analysis::Spectrum;
use crate::ballistics::{Ballistics, BallisticsDecay};
use crate::decibels::{SILENCE_LUFS, lufs_from_power};
use crate::edge::SibilantEdge;
use crate::event_level::EventLevel;
use crate::gain_computer::sibilance_reduction_db;
use crate::reach::Reach;
use crate::report::Class;
use crate::settings::SibilanceSettings;
use crate::shelf::{Shelf, ShelfShape};
use crate::timing::Timing;

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
    timing: Timing,
    level: EventLevel,
    edge: SibilantEdge,
    decision: SibilanceDecision,
    arriving_share: f32,
    depth: Ballistics,
    from: ShelfShape,
    to: ShelfShape,
    shelves: Vec<Shelf>,
}

impl Sibilance {
    pub fn new(channels: usize, timing: Timing, settings: &SibilanceSettings) -> Self {
        let resting = Reach::new(settings, timing.sample_rate_hz).shape(0.0, settings.from_hz);
        Self {
            timing,
            level: EventLevel::new(timing),
            edge: SibilantEdge::new(timing),
            decision: NOTHING,
            arriving_share: 1.0,
            depth: Ballistics::default(),
            from: resting,
            to: resting,
            shelves: vec![Shelf::default(); channels],
        }
    }

    pub fn reset(&mut self, settings: &SibilanceSettings) {
        self.level.reset();
        self.edge.reset();
        self.decision = NOTHING;
        self.arriving_share = 1.0;
        self.depth.reset();
        self.to = Reach::new(settings, self.timing.sample_rate_hz).shape(0.0, settings.from_hz);
        self.from = self.to;
        self.shelves.fill(Shelf::default());
    }

    /// Decides once a hop: the input's spectrum and class, the leveller's power gain, the threshold.
    pub fn decide(
        &mut self,
        (class, spectrum): (Class, &Spectrum),
        leveller_power_gain: f64,
        threshold_lufs: f32,
        settings: &SibilanceSettings,
    ) -> SibilanceDecision {
        self.decision = if class == Class::Sibilant {
            let band_power = spectrum.band_power(f64::from(settings.from_hz), f64::INFINITY);
            let level_lufs = lufs_from_power(self.level.push(band_power * leveller_power_gain));
            let excess_db = level_lufs - threshold_lufs;
            let asked_db = sibilance_reduction_db(excess_db, settings.ratio, settings.range_db);
            let asked_db = if settings.on { asked_db } else { 0.0 };
            let edge_hz = self.edge.hear(spectrum, settings.from_hz, asked_db);
            let reach = Reach::new(settings, self.timing.sample_rate_hz);
            let depth_db = reach.depth_db(asked_db, edge_hz, spectrum, settings);
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
        self.shelves.iter_mut().for_each(Shelf::flush_denormals);
        self.decision
    }

    /// Moves the filter towards the last decision, to the end of the coming step.
    pub fn step(&mut self, settings: &SibilanceSettings) {
        let decay = |time_ms: f32| self.timing.step_decay(time_ms / TIME_CONSTANTS_TO_99_PERCENT);
        // A slow release must not hold a fading sibilant under the threshold.
        let too_deep = self.reduction_db() > self.decision.excess_db.max(0.0);
        let release_ms = if too_deep {
            settings.attack_ms
        } else {
            settings.release_ms
        };
        let decay = BallisticsDecay {
            attack: decay(settings.attack_ms),
            release: decay(release_ms),
        };
        let idle = self.depth.reduction_db() == 0.0;
        let depth_db = self.depth.process(self.decision.depth_db, decay);
        let edge_hz = self.edge.step(idle, settings.from_hz);
        self.from = self.to;
        self.to = Reach::new(settings, self.timing.sample_rate_hz).shape(depth_db, edge_hz);
        if idle {
            // At 0 dB no corner can be heard: the shelf begins where its sibilant does.
            self.from.warped_corner = self.to.warped_corner;
        }
    }

    /// Where the own band of the sibilant begins that sounds, or of the last one, Hz.
    pub fn edge_hz(&self, settings: &SibilanceSettings) -> f32 {
        self.edge.edge_hz(settings.from_hz)
    }

    /// Reduction that arrives in the band at the end of the step, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.depth.reduction_db() * self.arriving_share
    }

    /// Reduction far above the edge at the end of the step, positive decibels.
    pub fn depth_db(&self) -> f32 {
        self.depth.reduction_db()
    }

    /// Applies the shelf to samples that start at `index` within the step.
    pub fn process(&mut self, audio: &mut [&mut [f32]], index: usize) {
        let shapes = (&self.from, &self.to);
        for (shelf, channel) in self.shelves.iter_mut().zip(audio) {
            shelf.process(channel, shapes, index, self.timing.step_samples);
        }
    }
}
