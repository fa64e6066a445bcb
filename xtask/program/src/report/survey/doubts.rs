//! What a survey doubts: where its figures, or the track itself, should be looked at by a person.

use siskin_dsp::SongSection;
use siskin_host::audio_file::Audio;

use super::listen::Heard;
use super::propose::Role;

/// Full scale, and so many samples at it in a row, are a clipped peak: common practice, no source.
const CLIPPED: f32 = 0.999;
const CLIPPED_SAMPLES: usize = 3;
/// Noise that is no further under the voice than this is told, LU.
const NOISE_UNDER_LU: f32 = 20.0;
/// The noise is found at this share of the cells without a voice, the quietest first: the others hold breaths and sibilants.
const NOISE_QUANTILE: f32 = 0.1;
/// Sibilants that end below this lack their treble, Hz.
const BANDWIDTH_HZ: f32 = 10_000.0;
/// A spectrum ends where it stays under this share of its largest bin: 40 dB.
const END_SHARE: f32 = 1e-4;
/// A reference that is further off is told, s: 50 ms move a sibilant of a double by half a LU (README).
const ALIGNED_S: f32 = 0.05;
/// Cell of the envelopes that are laid on one another, s, and how far they are moved.
const ENVELOPE_S: f32 = 0.01;
const MOVED_S: f32 = 5.0;
/// A correlation that tells two tracks of one song from two that have nothing in common: tried on the demo song's lead and
/// double (above 0.6) and on two songs of the singer (below 0.3).
const ALIKE: f32 = 0.4;
/// The envelope's floor under its peak, dB: pauses are alike, whatever the room.
const FLOOR_DB: f32 = -50.0;
/// Tracks whose lengths differ by more are told, s.
const LENGTH_S: f64 = 0.5;

/// A track, and the lead at the same rate where it has one.
pub struct Doubted<'a> {
    pub role: Role,
    pub voice: &'a Audio,
    pub heard: &'a Heard,
    pub sections: &'a [SongSection],
    pub is_natural: bool,
    /// The lead, and the rate that its file has, Hz.
    pub reference: Option<(&'a Audio, u32)>,
}

impl Doubted<'_> {
    /// What is doubted, a sentence each.
    pub fn doubts(&self) -> Vec<String> {
        let is_missing = self.role != Role::Breaths && self.heard.levels.sections().is_empty();
        let of_track = [
            is_missing.then(|| "No voice was found.".to_owned()),
            self.is_natural
                .then(|| "The sibilants are natural already: there is nothing to do.".to_owned()),
            self.clipped(),
            self.noise(),
            self.bandwidth(),
        ];
        let of_reference = [self.rates(), self.lengths(), self.alignment()];
        of_track.into_iter().chain(of_reference).flatten().collect()
    }

    fn clipped(&self) -> Option<String> {
        let is_full = |sample: &f32| sample.abs() >= CLIPPED;
        let places = |channel: &Vec<f32>| {
            let runs = channel.chunk_by(|a, b| is_full(a) && is_full(b));
            runs.filter(|run| run.len() >= CLIPPED_SAMPLES).count()
        };
        let places = self.voice.channels.iter().map(places).max()?;
        (places > 0).then(|| format!("The input is clipped in {places} places."))
    }

    fn noise(&self) -> Option<String> {
        let sections = self.sections.iter();
        let loudest_lufs = sections.map(|section| section.voice_lufs).reduce(f32::max)?;
        let mut quiet: Vec<f32> = self
            .heard
            .cells
            .iter()
            .filter(|cell| cell.is_quiet)
            .map(|cell| cell.level_lufs)
            .collect();
        quiet.sort_by(f32::total_cmp);
        let noise_lufs = *quiet.get((NOISE_QUANTILE * quiet.len() as f32) as usize)?;
        let under_lu = loudest_lufs - noise_lufs;
        (self.role == Role::Lead && under_lu < NOISE_UNDER_LU)
            .then(|| format!("The noise is only {under_lu:.0} LU under the voice."))
    }

    fn bandwidth(&self) -> Option<String> {
        let powers = &self.heard.spectrum;
        let most = powers.iter().copied().fold(0.0, f32::max);
        let last = powers.iter().rposition(|&power| power > END_SHARE * most)?;
        let end_hz = (last + 1) as f32 * self.heard.bin_hz;
        (end_hz < BANDWIDTH_HZ).then(|| {
            format!(
                "The sibilants end at {:.1} kHz: a treble is missing.",
                end_hz / 1000.0
            )
        })
    }

    fn rates(&self) -> Option<String> {
        let (reference, file_hz) = self.reference?;
        let rate_hz = reference.sample_rate_hz;
        (rate_hz != file_hz).then(|| {
            format!("The lead runs at {file_hz} Hz and this track at {rate_hz} Hz: the lead was resampled.")
        })
    }

    fn lengths(&self) -> Option<String> {
        let (reference, _) = self.reference?;
        let samples = self.voice.length() as f64 - reference.length() as f64;
        let longer_s = samples / f64::from(self.voice.sample_rate_hz);
        let side = if longer_s > 0.0 { "longer" } else { "shorter" };
        (longer_s.abs() > LENGTH_S)
            .then(|| format!("The track is {:.1} s {side} than the lead.", longer_s.abs()))
    }

    fn alignment(&self) -> Option<String> {
        let (reference, _) = self.reference.filter(|_| self.role != Role::Breaths)?;
        let late_s = lag_s(&envelope(self.voice), &envelope(reference))?;
        let side = if late_s > 0.0 { "later" } else { "earlier" };
        (late_s.abs() > ALIGNED_S).then(|| {
            format!(
                "The track seems to be {:.2} s {side} than the lead: align them.",
                late_s.abs()
            )
        })
    }
}

/// Level of the first channel in cells, dB, less its mean.
fn envelope(audio: &Audio) -> Vec<f32> {
    let cell = (ENVELOPE_S * audio.sample_rate_hz as f32) as usize;
    let channel = audio.channels.first().map_or(&[][..], Vec::as_slice);
    let power = |cell: &[f32]| cell.iter().map(|sample| sample * sample).sum::<f32>() / cell.len() as f32;
    let powers: Vec<f32> = channel.chunks(cell.max(1)).map(power).collect();
    let most = powers.iter().copied().fold(f32::MIN_POSITIVE, f32::max);
    let levels: Vec<f32> = powers
        .iter()
        .map(|power| (10.0 * (power / most).log10()).max(FLOOR_DB))
        .collect();
    let mean = levels.iter().sum::<f32>() / levels.len().max(1) as f32;
    levels.into_iter().map(|level| level - mean).collect()
}

/// By how much the first of two envelopes is late, s; `None` where they have nothing in common.
fn lag_s(track: &[f32], reference: &[f32]) -> Option<f32> {
    let most = (MOVED_S / ENVELOPE_S) as isize;
    let correlation = |lag: isize| {
        let (a, b) = (
            track.get(lag.max(0) as usize..)?,
            reference.get((-lag).max(0) as usize..)?,
        );
        let pairs = || a.iter().zip(b);
        let product: f32 = pairs().map(|(a, b)| a * b).sum();
        let norm =
            |pick: fn((&f32, &f32)) -> f32| pairs().map(pick).map(|level| level * level).sum::<f32>().sqrt();
        let norms = norm(|(a, _)| *a) * norm(|(_, b)| *b);
        (norms > 0.0).then(|| (lag, product / norms))
    };
    let best = (-most..=most)
        .filter_map(correlation)
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    (best.1 > ALIKE).then_some(best.0 as f32 * ENVELOPE_S)
}
