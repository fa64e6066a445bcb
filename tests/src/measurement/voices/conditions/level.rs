//! How loud a recording's voice is, sounds at a level, one part of a sound for another, and sibilants made softer.

use std::ops::Range;

use crate::measurement::levels::{k_weighted, lufs};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::signals::parts;
use crate::measurement::voices::singer::fricatives::raised_cosine;

/// Blocks among which the louder half is the voice where no vowel is labelled, s: about a syllable's half.
const BLOCK_S: f64 = 0.1;
/// How far from a place the voice counts as that of the place, s: a line of a song.
const NEAR_S: f64 = 2.0;

/// The voice of a recording.
pub struct Voice {
    weighted: Vec<f32>,
    vowels: Vec<Range<usize>>,
    near_samples: usize,
}

impl Voice {
    /// Of this recording.
    pub fn of(recording: &Recording) -> Self {
        let rate_hz = recording.sample_rate_hz;
        let weighted = k_weighted(&recording.audio, rate_hz);
        let labelled = recording.vowels();
        let vowels = if labelled.is_empty() {
            louder_half(&weighted, (BLOCK_S * rate_hz) as usize)
        } else {
            labelled
        };
        Self {
            weighted,
            vowels,
            near_samples: (NEAR_S * rate_hz) as usize,
        }
    }

    /// Level over the whole recording, LUFS.
    pub fn lufs(&self) -> f64 {
        self.lufs_within(0..self.weighted.len())
    }

    /// Level of what begins within 2 s either side of a sample, or over the whole where nothing does, LUFS.
    pub fn lufs_near(&self, sample: usize) -> f64 {
        let near = sample.saturating_sub(self.near_samples)..sample + self.near_samples;
        let level = self.lufs_within(near);
        if level.is_finite() { level } else { self.lufs() }
    }

    fn lufs_within(&self, bounds: Range<usize>) -> f64 {
        let heard = self.vowels.iter().filter(|vowel| bounds.contains(&vowel.start));
        f64::from(lufs(&parts(&self.weighted, heard.cloned())))
    }
}

/// The louder half of all blocks.
fn louder_half(weighted: &[f32], block_samples: usize) -> Vec<Range<usize>> {
    let mut blocks: Vec<Range<usize>> = (0..weighted.len())
        .step_by(block_samples)
        .map(|start| start..(start + block_samples).min(weighted.len()))
        .collect();
    blocks.sort_by(|one, other| lufs(&weighted[other.clone()]).total_cmp(&lufs(&weighted[one.clone()])));
    blocks.truncate(blocks.len().div_ceil(2));
    blocks
}

/// The sound brought to a K-weighted level, LUFS, over `span`, where it must not be silent.
pub fn at_level(sound: &[f32], sample_rate_hz: f64, span: Range<usize>, level_lufs: f64) -> Vec<f32> {
    let own_lufs = f64::from(lufs(&k_weighted(sound, sample_rate_hz)[span]));
    scaled(sound, level_lufs - own_lufs)
}

/// The recording with another sound in place of its own, at the level at which its voice was.
pub fn at_voice_level(recording: &Recording, audio: Vec<f32>) -> Recording {
    let changed = recording.with_audio(audio);
    let [before_lufs, after_lufs] = [recording, &changed].map(|recording| Voice::of(recording).lufs());
    let audio = if before_lufs.is_finite() && after_lufs.is_finite() {
        scaled(&changed.audio, before_lufs - after_lufs)
    } else {
        changed.audio
    };
    recording.with_audio(audio)
}

/// The recording with a sound added from its first sample on.
pub fn mixed(recording: &Recording, added: &[f32]) -> Recording {
    let sum = recording.audio.iter().zip(added).map(|(one, other)| one + other);
    recording.with_audio(sum.collect())
}

/// The sound with a gain, dB.
pub fn scaled(sound: &[f32], gain_db: f64) -> Vec<f32> {
    let gain = 10_f64.powf(gain_db / 20.0) as f32;
    sound.iter().map(|sample| gain * sample).collect()
}

/// Puts `new` in place of `old`, which is part of the stretch, fading over inside both ends; all three are of one
/// length.
pub fn exchange(stretch: &mut [f32], old: &[f32], new: &[f32], fade_samples: f64) {
    let length = stretch.len();
    let change = old.iter().zip(new).map(|(old, new)| new - old);
    for (index, (sample, change)) in stretch.iter_mut().zip(change).enumerate() {
        let from_edge = index.min(length - 1 - index) as f64 + 0.5;
        *sample += raised_cosine(from_edge / fade_samples) as f32 * change;
    }
}

/// So much softer, dB: what another stage before this one can take away at most (common practice, no source).
const LOWERED_DB: f64 = -15.0;
/// From the sound before and to the one after, s.
const CROSSFADE_S: f64 = 0.005;

/// Every labelled sibilant 15 dB softer: a voice level that follows the voice alone does not move.
pub fn lowered(recording: &Recording) -> Recording {
    let mut audio = recording.audio.clone();
    for phone in recording.phones.iter().filter(|phone| phone.sound.is_sibilant()) {
        let old = &recording.audio[phone.span.clone()];
        let fade_samples = CROSSFADE_S * recording.sample_rate_hz;
        exchange(
            &mut audio[phone.span.clone()],
            old,
            &scaled(old, LOWERED_DB),
            fade_samples,
        );
    }
    recording.with_audio(audio)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::conditions::tests::{joined, level_lufs, songs, tone};
    use crate::measurement::voices::corpus::{Phone, Sound};

    /// A second of a tone, and one of it 20 dB softer.
    fn loud_and_soft() -> Recording {
        let mut recording = tone(997.0, 48_000.0);
        recording.audio[48_000..]
            .iter_mut()
            .for_each(|sample| *sample *= 0.1);
        recording
    }

    /// Half of full scale and of one channel: -3.01 LUFS less 6.02.
    const LOUD_LUFS: f64 = -9.03;

    #[test]
    fn the_voice_is_the_louder_half_where_nothing_is_labelled() {
        let lufs = Voice::of(&loud_and_soft()).lufs();
        assert!((lufs - LOUD_LUFS).abs() < 0.05, "{lufs} LUFS");
    }

    #[test]
    fn the_voice_is_its_vowels_where_they_are_labelled() {
        let mut recording = loud_and_soft();
        recording.phones = vec![Phone::new("a", Sound::Vowel, 50_000..90_000)];
        let lufs = Voice::of(&recording).lufs();
        assert!((lufs - LOUD_LUFS + 20.0).abs() < 0.05, "{lufs} LUFS");
    }

    #[test]
    fn the_voice_near_a_soft_place_is_softer() {
        let [song, _] = songs();
        let voice = Voice::of(song);
        let [verse, chorus] = [5, song.audio.len() / 16_000 - 5].map(|s| voice.lufs_near(s * 16_000));
        near(chorus - verse, 18.0, 2.0, "dB");
    }

    #[test]
    fn sounds_come_to_a_level() {
        let sound = at_level(&tone(300.0, 16_000.0).audio, 16_000.0, 0..32_000, -31.0);
        assert!((level_lufs(&sound, 16_000.0) + 31.0).abs() < 0.01);
    }

    #[test]
    fn a_part_gives_way_to_another_and_the_rest_stays() {
        let mut stretch = [1.5; 100];
        exchange(&mut stretch, &[1.0; 100], &[-2.0; 100], 10.0);
        assert!((stretch[0] - 1.5).abs() < 0.1 && (stretch[99] - 1.5).abs() < 0.1);
        assert_eq!(stretch[10..90], [-1.5; 80]);
        assert!(stretch[..10].windows(2).all(|pair| pair[1] < pair[0]));
        assert!(stretch[90..].windows(2).all(|pair| pair[1] > pair[0]));
    }

    #[test]
    fn sibilants_are_15_db_softer_and_vowels_as_they_were() {
        for song in songs() {
            let after = lowered(song);
            assert_eq!(joined(&after, Sound::Vowel), joined(song, Sound::Vowel));
            let [before, after] =
                [song, &after].map(|one| level_lufs(&joined(one, Sound::Sibilant), one.sample_rate_hz));
            let change_lu = after - before;
            // Less than all of it: the edges fade.
            assert!((-15.0..-13.0).contains(&change_lu), "{change_lu:.1} LU");
        }
    }
}
