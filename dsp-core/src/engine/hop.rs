//! What happens once per hop: analysis, voice level, adaptive threshold, targets of the stages, report.

use super::Engine;
use super::ahead::NewestHop;
use super::side::reported_side;
use crate::primitives::decibels::lufs_from_power;
use crate::report::HopReport;

impl Engine {
    /// Analyses the hop that was just completed and sets the targets of every stage.
    pub(super) fn update_hop(&mut self) {
        let power_gain = self.leveller.power_gain();
        let report = self.analyse_hop(power_gain);
        self.class = report.class;
        let reference = self.reference_voice.as_ref();
        for (index, side) in self.sides.iter_mut().enumerate() {
            let newest = NewestHop {
                report: HopReport {
                    class: self.own_voice.class(index),
                    ..report
                },
                spectrum: self.own_voice.spectrum(index),
                periodicity: self.own_voice.periodicity(index),
                power_gain: power_gain * self.own_voice.side_power_gain(),
                glide_lu: self.voice_source.glide_lu(),
                own_power: self.own_voice.voiced_power(),
                reference_power: reference.map_or(0.0, |voice| voice.voiced_power()),
            };
            side.update_hop(&newest, &self.plan);
        }
        self.reported_side = reported_side(&self.sides, self.reported_side);
        self.report = HopReport {
            output_peak: self.output_peak.magnitude(),
            ..*self.sides[self.reported_side].report()
        };
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
}
