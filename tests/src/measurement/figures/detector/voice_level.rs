//! How near the voice level that the threshold follows comes to one measured from outside.

use siskin_dsp::HopReport;

use super::recall::SibilantEvent;
use super::scene::{Scene, middle, widened};
use crate::measurement::levels::integrated_lufs;
use crate::measurement::voices::corpus::Sound;
use crate::measurement::voices::signals::parts;

/// Voiced material that a recording needs, s: five gating blocks of BS.1770-5.
const ENOUGH_S: f64 = 2.0;
/// Voiced material at the start that is left out, s: the follower settles.
const SETTLING_S: f64 = 0.5;

/// The relative gate, as a factor of power: 10 LU under the mean (BS.1770-5).
const RELATIVE_GATE: f32 = 0.1;

/// Errors of the voice level.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct VoiceLevelFigures {
    /// Against `ebur128`, LU, one a recording.
    pub of_recordings_lu: Vec<f32>,
    /// Against the vowels around, LU, one a labelled sibilant.
    pub at_sibilants_lu: Vec<f32>,
}

impl VoiceLevelFigures {
    pub(super) fn of(scene: &Scene<'_>, sibilants: &[SibilantEvent<'_>]) -> Self {
        Self {
            of_recordings_lu: of_recording_lu(scene).into_iter().collect(),
            at_sibilants_lu: sibilants
                .iter()
                .filter_map(|event| at_sibilant_lu(scene, event))
                .collect(),
        }
    }

    /// Mean size of the error against `ebur128`, LU; none where no recording is long enough.
    pub fn mean_of_recordings_lu(&self) -> Option<f32> {
        let sizes: Vec<f32> = self.of_recordings_lu.iter().map(|error| error.abs()).collect();
        mean(&sizes)
    }

    /// Mean error against `ebur128`, LU, positive where the voice is followed too loud; none where no recording is long
    /// enough.
    pub fn signed_mean_of_recordings_lu(&self) -> Option<f32> {
        mean(&self.of_recordings_lu)
    }

    /// Greatest size of the error against `ebur128`, LU; none where no recording is long enough.
    pub fn worst_of_recordings_lu(&self) -> Option<f32> {
        let sizes = self.of_recordings_lu.iter().map(|error| error.abs());
        sizes.reduce(f32::max)
    }

    /// Mean and standard deviation of the error at sibilants, LU; none where there are none.
    pub fn at_sibilants_lu(&self) -> Option<(f32, f32)> {
        let mean_lu = mean(&self.at_sibilants_lu)?;
        let squares: Vec<f32> = self
            .at_sibilants_lu
            .iter()
            .map(|error| (error - mean_lu).powi(2))
            .collect();
        Some((mean_lu, mean(&squares)?.sqrt()))
    }
}

summed!(VoiceLevelFigures {} joined { of_recordings_lu, at_sibilants_lu });

fn mean(values: &[f32]) -> Option<f32> {
    (!values.is_empty()).then(|| crate::measurement::levels::mean(values))
}

/// Mean of those powers that are not far under the mean of all, so that quiet sections weigh as they do in gated
/// loudness.
fn gated_mean(mut powers: Vec<f32>) -> Option<f32> {
    let gate = RELATIVE_GATE * mean(&powers)?;
    powers.retain(|power| *power >= gate);
    mean(&powers)
}

/// Followed minus gated level of a recording, LU.
fn of_recording_lu(scene: &Scene<'_>) -> Option<f32> {
    let recording = scene.recording;
    let rate_hz = recording.sample_rate_hz;
    let voiced = recording.spans(Sound::is_voice);
    let settling_hops = (SETTLING_S * rate_hz) as usize / scene.hearing.hop_samples.max(1);
    let hops = voiced.iter().flat_map(|span| scene.hearing.within(span));
    let powers: Vec<f32> = hops
        .skip(settling_hops)
        .map(|report: &HopReport| 10_f32.powf(report.voice_lufs / 10.0))
        .collect();
    let joined = parts(&recording.audio, voiced);
    let gated_lufs = integrated_lufs(&joined, rate_hz);
    if joined.len() < (ENOUGH_S * rate_hz) as usize || !gated_lufs.is_finite() {
        return None;
    }
    Some(10.0 * gated_mean(powers)?.log10() - gated_lufs)
}

/// Followed minus independent level at a sibilant's middle, LU; none before any voice was heard.
fn at_sibilant_lu(scene: &Scene<'_>, event: &SibilantEvent<'_>) -> Option<f32> {
    let at = middle(&event.phone.span);
    let here = widened(&(at..at), scene.hearing.hop_samples);
    let report = scene.hearing.within(&here).first()?;
    let voice_lufs = event.voice_lufs.filter(|voice_lufs| voice_lufs.is_finite())?;
    report.voice_detected.then_some(report.voice_lufs - voice_lufs)
}
