//! The lookahead for mixing: hops are kept from their analysis until they are heard, and decided from both sides.
//!
//! Analysis, leveller and follower run as with the long lookahead. The delay is longer than that by whole hops. What is decided
//! late (sibilance, breath, Listen, output gain, bypass) is decided for the hop that is heard, with the settings that were set
//! when it came in.

use crate::analysis::{AnalysedHop, AnalysedHops, Spectrum};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::{STEPS_PER_HOP, Timing};
use crate::control::delayed_gain::DelayedGain;
use crate::control::delayed_plan::DelayedPlan;
use crate::control::plan::Plan;
use crate::loudness::input_level::READING_LAG_HOPS;
use crate::primitives::decibels::lufs_from_power;
use crate::report::{Class, HopReport};
use crate::settings::Settings;
use crate::stages::breath::whole_breath::{KnownBreath, WholeBreaths};
use crate::stages::hop_input::HopInput;
use crate::stages::sibilance::event_spectrum::EventSpectrum;
use crate::stages::sibilance::whole_event::{WholeEvent, WholeEvents};
use crate::voice::two_sided_level::TwoSidedLevel;

/// An attack of this length is through before its sibilant even if it starts with the sibilant's first hop, ms: half a window
/// and half a hop lie between the two.
const SPARE_MS: f32 = 1.0;
/// The voice level is read anew where a sibilant or a breath begins, and in every fourth hop.
const READ_EVERY_HOPS: i64 = 4;
/// A sibilant's spectrum is the mean over so much of what comes of it: one window of noise reads its level only to within some
/// decibels, and a longer mean mixes two sibilants in a row. What has passed does not count: on the real tuning voices a mean
/// over 20 ms to either side changes twice as many vowels, those into which a sibilant fades.
const COMING_MS: f32 = 30.0;

/// The hop that was analysed just now.
pub(super) struct NewestHop<'a> {
    /// What is known of it before the late stages.
    pub report: HopReport,
    pub spectrum: &'a Spectrum,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
    /// Power gain from the spectrum to where levels are compared: the leveller's output, of all sides.
    pub power_gain: f64,
    /// What the glide between two voices adds to the voice level, LU.
    pub glide_lu: f32,
    /// Powers of the two voices as their followers take them; 0 where there is no voice.
    pub own_power: f64,
    pub reference_power: f64,
}

impl NewestHop<'_> {
    /// What the stages receive of it where it is heard at once.
    pub fn input(&self) -> HopInput<'_> {
        HopInput {
            class: self.report.class,
            spectrum: self.spectrum,
            power_gain: self.power_gain,
        }
    }

    fn analysed(&self) -> AnalysedHop {
        AnalysedHop {
            report: self.report,
            glide_lu: self.glide_lu,
            periodicity: self.periodicity,
            power_gain: self.power_gain as f32,
            ..AnalysedHop::default()
        }
    }
}

/// The hop that is heard.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct HeardHop {
    /// What is known of it before the late stages.
    pub report: HopReport,
    /// True if it belongs to a sibilant or is about to.
    pub is_sibilant: bool,
    pub breath: KnownBreath,
}

/// Everything that is known of what is still to be heard.
pub(super) struct Ahead {
    timing: Timing,
    ahead_hops: i64,
    hops: AnalysedHops,
    plan: DelayedPlan,
    leveller_gain: DelayedGain,
    own_level: TwoSidedLevel,
    reference_level: TwoSidedLevel,
    events: WholeEvents,
    /// The first hop of the sibilant that was active in the last hop.
    active_start: Option<i64>,
    event_spectrum: EventSpectrum,
    breaths: WholeBreaths,
    coming_hops: i64,
    heard: HeardHop,
}

impl Ahead {
    /// For a delay of `latency_samples`, `ahead_hops` longer than between analysis and output. `spectrum` gives the bins.
    pub fn new(
        timing: Timing,
        plan: &Plan,
        latency_samples: usize,
        ahead_hops: usize,
        spectrum: &Spectrum,
    ) -> Self {
        Self {
            timing,
            ahead_hops: ahead_hops as i64,
            hops: AnalysedHops::new(timing, ahead_hops + 1),
            plan: DelayedPlan::new(plan, latency_samples / timing.step_samples),
            leveller_gain: DelayedGain::new(ahead_hops * STEPS_PER_HOP),
            own_level: TwoSidedLevel::new(timing, ahead_hops),
            reference_level: TwoSidedLevel::new(timing, ahead_hops),
            events: WholeEvents::new(timing),
            active_start: None,
            event_spectrum: EventSpectrum::new(spectrum),
            breaths: WholeBreaths::new(timing),
            coming_hops: timing.hops(COMING_MS) as i64,
            heard: HeardHop::default(),
        }
    }

    pub fn reset(&mut self, plan: &Plan, leveller_gain: f64) {
        let start_lufs = plan.settings.follow.start_lufs;
        let report = HopReport {
            voice_lufs: start_lufs,
            ..HopReport::default()
        };
        self.hops.reset(AnalysedHop {
            report,
            power_gain: 1.0,
            ..AnalysedHop::default()
        });
        self.plan.reset(plan);
        self.leveller_gain.reset(leveller_gain);
        self.own_level.reset();
        self.reference_level.reset();
        self.events.reset();
        self.active_start = None;
        self.breaths.reset();
        self.heard = HeardHop {
            report,
            ..HeardHop::default()
        };
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        self.breaths.align_spans(position.hop);
    }

    /// The plan of what is heard.
    pub fn plan(&self) -> &Plan {
        self.plan.heard()
    }

    /// The leveller's gain of what is heard.
    pub fn leveller_gain(&self) -> &DelayedGain {
        &self.leveller_gain
    }

    /// Starts a step. `changed` are settings that begin with it, `leveller_gain` is what the leveller's gain moves towards.
    pub fn update_step(&mut self, changed: Option<&Settings>, leveller_gain: f64) {
        self.plan.update_step(changed, self.timing);
        self.leveller_gain
            .update_step(leveller_gain, self.timing.step_samples);
    }

    /// Takes the newest hop, and decides the one that is heard.
    pub fn update_hop(&mut self, newest: &NewestHop) {
        self.hops.push(newest.analysed(), newest.spectrum);
        let heard = self.hops.newest() - self.ahead_hops;
        self.breaths.push(&mut self.hops, newest.spectrum, heard);
        let voiced_hop = self.hops.newest() - READING_LAG_HOPS as i64;
        for (level, power) in [
            (&mut self.own_level, newest.own_power),
            (&mut self.reference_level, newest.reference_power),
        ] {
            if power > 0.0 {
                level.push(voiced_hop, power);
            }
        }
        self.events.update_hop(&self.hops, heard);
        let hop = *self.hops.at(heard);
        let active = self.events.active(heard, self.lead_hops()).copied();
        let sound = self
            .is_read(heard, hop.report.class, active)
            .then(|| active.map_or(heard..heard + 1, |event| event.hops()));
        self.active_start = active.map(|event| event.start);
        let held_lufs = self.heard.report.voice_lufs;
        let voice_lufs = sound.map_or(held_lufs, |sound| self.voice_lufs_around(&sound, &hop));
        if let Some(event) = &active {
            let coming = event.coming(heard, self.coming_hops);
            self.event_spectrum.update_hop(&self.hops, coming);
        }
        let is_within = active.is_some_and(|event| event.start <= heard);
        let ahead_samples = self.ahead_hops * self.timing.hop_samples as i64;
        let class = match hop.report.class {
            _ if is_within => Class::Sibilant,
            Class::Sibilant => Class::Voice,
            other => other,
        };
        self.heard = HeardHop {
            report: HopReport {
                class,
                voice_lufs,
                centre_sample: newest.report.centre_sample - ahead_samples,
                ..hop.report
            },
            is_sibilant: active.is_some(),
            breath: self.breaths.known(&self.hops, heard),
        };
    }

    /// The hop that is heard.
    pub fn heard(&self) -> &HeardHop {
        &self.heard
    }

    /// What the sibilance stage receives of it: the mean spectrum of the sibilant that is heard, or was last, at the leveller's
    /// output.
    pub fn sibilance_input(&self) -> HopInput<'_> {
        HopInput {
            class: if self.heard.is_sibilant {
                Class::Sibilant
            } else {
                Class::Quiet
            },
            spectrum: self.event_spectrum.spectrum(),
            power_gain: 1.0,
        }
    }

    /// The spectrum of the hop that is heard.
    pub fn spectrum(&self) -> &[f32] {
        self.hops.spectrum(self.hops.newest() - self.ahead_hops)
    }

    /// How long before its first hop a sibilant's reduction begins.
    fn lead_hops(&self) -> i64 {
        let attack_ms = self.plan.heard().settings.sibilance.attack_ms;
        let hop_ms = 1e3 * self.timing.hop_samples as f64 / self.timing.sample_rate_hz;
        (f64::from((attack_ms - SPARE_MS).max(0.0)) / hop_ms).ceil() as i64
    }

    /// True if the voice level is read in this hop; in rests it is held.
    fn is_read(&self, heard: i64, class: Class, active: Option<WholeEvent>) -> bool {
        let is_new = match (active, class) {
            (Some(event), _) => self.active_start != Some(event.start),
            (None, Class::Breath) => self.heard.report.class != Class::Breath,
            (None, Class::Voice | Class::Sibilant) => false,
            (None, Class::Quiet) => return false,
        };
        is_new || heard % READ_EVERY_HOPS == 0
    }

    /// The voice level around a sound; what the follower said when `hop` came in if there is no voice near.
    fn voice_lufs_around(&self, sound: &std::ops::Range<i64>, hop: &AnalysedHop) -> f32 {
        let (level, makeup_db) = if hop.report.follows_reference {
            (&self.reference_level, 0.0)
        } else {
            (&self.own_level, hop.report.leveller_makeup_db)
        };
        level
            .around(sound, self.plan.heard().follow_hops)
            .map_or(hop.report.voice_lufs, |power| {
                lufs_from_power(power) + makeup_db + hop.glide_lu
            })
    }
}
