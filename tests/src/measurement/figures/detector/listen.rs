//! A recording run through the engine.

use std::ops::Range;

use siskin_dsp::{Class, HopReport, Settings};

use super::scene::samples;
use crate::measurement::figures::properties::{Play, reports_within};
use crate::measurement::voices::corpus::Recording;

/// Proportion during a score, LU: under the default, so that whatever is called sibilant is reduced too.
pub const PROPORTION_LU: f32 = -12.0;
/// Silence after the recording, ms: longer than any lookahead and window, so that every sample is spoken of.
const TAIL_MS: f64 = 100.0;

/// What the detector reported, hop by hop.
#[derive(Debug, Clone, PartialEq)]
pub struct Hearing {
    /// One report a hop, in order.
    pub reports: Vec<HopReport>,
    /// Samples from one hop's centre to the next.
    pub hop_samples: usize,
    /// The lookahead less half a window, samples: how long before the centre of its window the gain that a verdict
    /// asks for begins to move.
    pub lead_samples: usize,
}

impl Hearing {
    /// Plays the recording to a new engine.
    pub fn of(recording: &Recording) -> Self {
        let mut settings = Settings::default();
        settings.sibilance.proportion_lu = PROPORTION_LU;
        let mut audio = [recording.audio.clone()];
        audio[0].resize(
            recording.audio.len() + samples(TAIL_MS, recording.sample_rate_hz),
            0.0,
        );
        let play = Play::new(recording.sample_rate_hz, &audio, &settings);
        let mut engine = play.engine();
        let reports = play.run_on(&mut engine).reports;
        Self::from_reports(reports, engine.latency_samples())
    }

    /// What an engine reported since its reset. The first report is made when a hop of samples has come in: from that
    /// and its centre follows how long a verdict takes.
    pub(crate) fn from_reports(reports: Vec<HopReport>, latency_samples: usize) -> Self {
        let hop_samples = match reports[..] {
            [first, second, ..] => (second.centre_sample - first.centre_sample) as usize,
            _ => 1,
        };
        let first_centre = reports.first().map_or(0, |report| report.centre_sample);
        let lead = latency_samples as i64 - (hop_samples as i64 - first_centre);
        Self {
            reports,
            hop_samples,
            lead_samples: lead.max(0) as usize,
        }
    }

    /// The samples that a hop stands for: half a hop either side of its centre.
    pub(super) fn stretch(&self, report: &HopReport) -> Range<usize> {
        let start = report.centre_sample - (self.hop_samples / 2) as i64;
        let at = |sample: i64| sample.max(0) as usize;
        at(start)..at(start + self.hop_samples as i64)
    }

    /// The hops whose centres lie within a span.
    pub(super) fn within(&self, span: &Range<usize>) -> &[HopReport] {
        reports_within(&self.reports, span)
    }

    /// The hops whose stretches touch a span.
    pub(super) fn touching(&self, span: &Range<usize>) -> &[HopReport] {
        let start = self
            .reports
            .partition_point(|report| self.stretch(report).end <= span.start);
        let end = self
            .reports
            .partition_point(|report| self.stretch(report).start < span.end);
        &self.reports[start..end.max(start)]
    }

    /// Every run of hops of one class, in order.
    pub(super) fn runs(&self, class: Class) -> impl Iterator<Item = &[HopReport]> {
        self.reports
            .chunk_by(|one, two| one.class == two.class)
            .filter(move |run| run[0].class == class)
    }

    /// The samples that a run of hops stands for.
    pub(super) fn span(&self, run: &[HopReport]) -> Range<usize> {
        match run {
            [] => 0..0,
            [first, .., last] => self.stretch(first).start..self.stretch(last).end,
            [only] => self.stretch(only),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::corpus::from_song;
    use crate::measurement::voices::singer::sing;

    #[test]
    fn every_sample_is_spoken_of_once() {
        for rate_hz in [44_100.0, 48_000.0] {
            let recording = from_song(&sing(rate_hz, 1));
            let hearing = Hearing::of(&recording);
            let stretches = hearing.reports.iter().map(|report| hearing.stretch(report));
            let heard: usize = stretches.map(|stretch| stretch.len()).sum();
            assert!(heard >= recording.audio.len());
            for pair in hearing.reports.windows(2) {
                assert_eq!(hearing.stretch(&pair[0]).end, hearing.stretch(&pair[1]).start);
            }
        }
    }

    #[test]
    fn the_lead_is_the_lookahead_less_half_a_window() {
        let recording = from_song(&sing(48_000.0, 1));
        let hearing = Hearing::of(&recording);
        let latency_samples = 240;
        let half_a_window = hearing.hop_samples as i64 - hearing.reports[0].centre_sample;
        assert!(half_a_window > 0);
        assert_eq!(hearing.lead_samples as i64, latency_samples - half_a_window);
    }
}
