//! What happens once per hop: analysis, voice level, adaptive threshold, targets of the stages, report.

use super::Engine;
use super::ahead::NewestHop;
use crate::analysis::AnalysedHop;
use crate::primitives::decibels::lufs_from_power;
use crate::report::{Class, HopReport};
use crate::stages::hop_input::HopInput;
use crate::stages::sibilance::SibilanceTarget;
use crate::voice::adaptive_threshold::AdaptiveThreshold;

impl Engine {
    /// Analyses the hop that was just completed and sets the targets of every stage.
    pub(super) fn update_hop(&mut self) {
        let leveller_power_gain = self.leveller.power_gain();
        let report = self.analyse_hop(leveller_power_gain);
        self.class = report.class;
        if self.ahead.is_some() {
            self.update_heard_hop(report, leveller_power_gain);
            return;
        }
        let plan = &self.plan;
        let threshold_lufs = threshold_lufs(report.voice_lufs, plan.settings.sibilance.proportion_lu);
        let hop = HopInput {
            class: report.class,
            spectrum: self.own_voice.spectrum(),
            leveller_power_gain,
        };
        let target = self.sibilance.update_hop(hop, threshold_lufs, &plan.sibilance);
        self.breath.update_hop(hop, report.voice_lufs, &plan.breath);
        self.part.update_hop(self.breath.is_breath());
        self.report = self.hop_report(report, threshold_lufs, target);
    }

    /// Analyses both voices; returns what is known of the hop before the late stages.
    fn analyse_hop(&mut self, leveller_power_gain: f64) -> HopReport {
        let plan = &self.plan;
        if let Some(reference) = &mut self.reference_voice {
            reference.update_hop(1.0, plan.follow_hops);
        }
        let reading = self
            .own_voice
            .update_hop(self.leveller.reduction_power_gain(), plan.follow_hops);
        if self.own_voice.follower().hops_since_voice() == 0 {
            self.leveller.add_voiced_hop(reading.power);
        }
        let voice_lufs = self.voice_source.update_hop(
            &self.own_voice,
            self.leveller.makeup_db(),
            self.reference_voice.as_ref(),
            &plan.settings.follow,
        );
        let follows_reference = self.voice_source.follows_reference();
        HopReport {
            centre_sample: self.processed_samples - self.timing.window_samples as i64 / 2,
            class: reading.class,
            voice_lufs,
            level_lufs: lufs_from_power(reading.power * leveller_power_gain),
            leveller_gain_db: -self.leveller.reduction_db(),
            leveller_makeup_db: self.leveller.makeup_db(),
            follows_reference,
            voice_detected: self.own_voice.follower().has_voice() || follows_reference,
            input_peak: self.input_peak.magnitude(),
            ..HopReport::default()
        }
    }

    /// Keeps the newest hop, and sets the targets of the late stages for the one that is heard.
    fn update_heard_hop(&mut self, newest: HopReport, leveller_power_gain: f64) {
        let ahead_samples = (self.ahead_hops() * self.timing.hop_samples) as i64;
        let Some(ahead) = &mut self.ahead else { return };
        let reference = self.reference_voice.as_ref();
        ahead.update_hop(NewestHop {
            hop: AnalysedHop {
                report: newest,
                glide_lu: self.voice_source.glide_lu(),
                power_gain: leveller_power_gain as f32,
                ..AnalysedHop::default()
            },
            spectrum: self.own_voice.spectrum(),
            own_power: self.own_voice.voiced_power(),
            reference_power: reference.map_or(0.0, |voice| voice.voiced_power()),
        });
        let (heard, plan) = (ahead.heard(), ahead.plan());
        let threshold_lufs = threshold_lufs(heard.report.voice_lufs, plan.settings.sibilance.proportion_lu);
        let hop = HopInput {
            class: if heard.is_sibilant {
                Class::Sibilant
            } else {
                Class::Quiet
            },
            spectrum: ahead.sibilant_spectrum(),
            leveller_power_gain: 1.0,
        };
        let target = self.sibilance.update_hop(hop, threshold_lufs, &plan.sibilance);
        self.breath
            .update_known(heard.breath, heard.report.voice_lufs, &plan.breath);
        self.part.update_hop(self.breath.is_breath());
        let report = HopReport {
            centre_sample: newest.centre_sample - ahead_samples,
            ..heard.report
        };
        self.report = self.hop_report(report, threshold_lufs, target);
    }

    /// Adds what the late stages do to the hop.
    fn hop_report(&self, hop: HopReport, threshold_lufs: f32, target: SibilanceTarget) -> HopReport {
        let plan = self.heard_plan();
        HopReport {
            threshold_lufs,
            sibilance_lufs: target.level_lufs,
            sibilance_gain_db: -self.sibilance.reduction_db(),
            edge_hz: self.sibilance.edge_hz(&plan.sibilance),
            sibilance_shelf_gain_db: -self.sibilance.depth_db(),
            is_breath: self.breath.is_breath(),
            breath_gain_db: -self.breath.reduction_db(),
            output_peak: self.output_peak.magnitude(),
            ..hop
        }
    }
}

fn threshold_lufs(voice_lufs: f32, proportion_lu: f32) -> f32 {
    AdaptiveThreshold {
        voice_lufs,
        proportion_lu,
    }
    .lufs()
}
