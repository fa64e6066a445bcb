//! What happens once per hop: analysis, voice level, adaptive threshold, targets of the stages, report.

use super::Engine;
use crate::primitives::decibels::lufs_from_power;
use crate::report::HopReport;
use crate::stages::hop_input::HopInput;
use crate::stages::sibilance::SibilanceTarget;
use crate::voice::adaptive_threshold::AdaptiveThreshold;

impl Engine {
    /// Analyses the hop that was just completed and sets the targets of every stage.
    pub(super) fn update_hop(&mut self) {
        let plan = &self.plan;
        let leveller_power_gain = self.leveller.power_gain();
        if let Some(reference) = &mut self.reference_voice {
            reference.update_hop(1.0, plan.follow_hops);
        }
        let reading = self
            .own_voice
            .update_hop(self.leveller.reduction_power_gain(), plan.follow_hops);
        self.class = reading.class;
        if self.own_voice.follower().hops_since_voice() == 0 {
            self.leveller.add_voiced_hop(reading.power);
        }
        let voice_lufs = self.voice_source.update_hop(
            &self.own_voice,
            self.leveller.makeup_db(),
            self.reference_voice.as_ref(),
            &plan.settings.follow,
        );
        let threshold_lufs = AdaptiveThreshold {
            voice_lufs,
            proportion_lu: plan.settings.sibilance.proportion_lu,
        }
        .lufs();
        let hop = HopInput {
            class: self.class,
            spectrum: self.own_voice.spectrum(),
            leveller_power_gain,
        };
        let target = self.sibilance.update_hop(hop, threshold_lufs, &plan.sibilance);
        self.breath.update_hop(hop, voice_lufs, &plan.breath);
        let level_lufs = lufs_from_power(reading.power * leveller_power_gain);
        self.report = self.hop_report(voice_lufs, threshold_lufs, level_lufs, target);
    }

    fn hop_report(
        &self,
        voice_lufs: f32,
        threshold_lufs: f32,
        level_lufs: f32,
        target: SibilanceTarget,
    ) -> HopReport {
        let follows_reference = self.voice_source.follows_reference();
        HopReport {
            centre_sample: self.processed_samples - self.timing.window_samples as i64 / 2,
            class: self.class,
            voice_lufs,
            threshold_lufs,
            sibilance_lufs: target.level_lufs,
            level_lufs,
            sibilance_gain_db: -self.sibilance.reduction_db(),
            edge_hz: self.sibilance.edge_hz(&self.plan.sibilance),
            sibilance_shelf_gain_db: -self.sibilance.depth_db(),
            breath_gain_db: -self.breath.reduction_db(),
            leveller_gain_db: -self.leveller.reduction_db(),
            leveller_makeup_db: self.leveller.makeup_db(),
            follows_reference,
            voice_detected: self.own_voice.follower().has_voice() || follows_reference,
            input_peak: self.input_peak,
            output_peak: self.output_peak,
        }
    }
}
