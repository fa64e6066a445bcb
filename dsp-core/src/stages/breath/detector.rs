//! What tells a breath from the other noises of a voice: rough vowels, f, th and h, the starts of words.
//!
//! A breath has next to no power where a voice has its pitch and first formant (Nakano et al. 2008: breaths peak near 1.6
//! to 1.7 kHz; Werner et al. 2023), it lasts longer than a consonant, and it seldom follows a voice without a gap.

use crate::analysis::{Band, Spectrum};
use crate::clock::timing::Timing;
use crate::report::Class;

/// Where a voice has its pitch and first formant, and where a breath has its power.
const VOICE_HZ: (f64, f64) = (100.0, 500.0);
const BREATH_HZ: (f64, f64) = (500.0, 2800.0);
/// The most of the one that a breath has beside the other, as a ratio of powers (-10 dB): rough vowels of real voices
/// have about as much of both, synthetic breaths a hundredth.
const VOICE_SHARE: f64 = 0.1;
/// A single hop with more than this (-5 dB) is the start of a word, whatever the mean of the breath before it says: the
/// low end of a voice is there before its period is found.
const WORD_SHARE: f64 = 0.3;
/// Noise that has lasted this long is a breath; where it follows a voice at once, as f and th do, it must last longer.
const PROOF_MS: f32 = 20.0;
const PROOF_AFTER_VOICE_MS: f32 = 60.0;
/// A gap shorter than this is none.
const GAP_MS: f32 = 30.0;
/// A breath may pass for silence for this long. Narrow noise is periodic or sharp now and then: it may pass for a voice
/// without a low end or for a sibilant too, but for less, since a word must not lose its start.
const QUIET_DOUBT_MS: f32 = 15.0;
const WORD_DOUBT_MS: f32 = 12.0;
/// What was a breath so short a while ago needs no new proof, unless a voice lies between.
const REMEMBERED_MS: f32 = 150.0;
/// Memory of the powers: breaths swell and fade over tens of milliseconds.
const MEMORY_MS: f32 = 25.0;

/// Times in hops.
struct Times {
    proof: usize,
    proof_after_voice: usize,
    gap: usize,
    quiet_doubt: usize,
    word_doubt: usize,
    remembered: usize,
    memory: usize,
}

/// The noise that sounds, as far as it has shown itself.
pub(crate) struct BreathDetector {
    bands: Bands,
    times: Times,
    hops: usize,
    needed_hops: usize,
    doubtful_hops: usize,
    hops_since_voice: usize,
    hops_since_breath: usize,
    powers: Powers,
}

/// Mean powers of the noise.
#[derive(Clone, Copy, Default)]
struct Powers {
    voice: f64,
    breath: f64,
    all: f64,
}

/// The bins of each band.
struct Bands {
    voice: Band,
    breath: Band,
    all: Band,
}

impl Bands {
    fn new(timing: Timing) -> Self {
        Self {
            voice: Band::new(timing, VOICE_HZ),
            breath: Band::new(timing, BREATH_HZ),
            all: Band::new(timing, (VOICE_HZ.0, f64::INFINITY)),
        }
    }

    fn powers(&self, spectrum: &Spectrum) -> Powers {
        Powers {
            voice: spectrum.power(&self.voice),
            breath: spectrum.power(&self.breath),
            all: spectrum.power(&self.all),
        }
    }
}

impl Powers {
    fn lack_voice(&self) -> bool {
        self.voice < VOICE_SHARE * self.breath
    }

    fn start_a_word(&self) -> bool {
        self.voice > WORD_SHARE * self.breath
    }

    fn move_towards(&mut self, now: &Self, share: f64) {
        self.voice += (now.voice - self.voice) * share;
        self.breath += (now.breath - self.breath) * share;
        self.all += (now.all - self.all) * share;
    }
}

impl BreathDetector {
    pub fn new(timing: Timing) -> Self {
        let times = Times {
            proof: timing.hops(PROOF_MS),
            proof_after_voice: timing.hops(PROOF_AFTER_VOICE_MS),
            gap: timing.hops(GAP_MS),
            quiet_doubt: timing.hops(QUIET_DOUBT_MS),
            word_doubt: timing.hops(WORD_DOUBT_MS),
            remembered: timing.hops(REMEMBERED_MS),
            memory: timing.hops(MEMORY_MS),
        };
        Self {
            bands: Bands::new(timing),
            hops: 0,
            needed_hops: 0,
            doubtful_hops: 0,
            hops_since_voice: 0,
            hops_since_breath: times.remembered,
            powers: Powers::default(),
            times,
        }
    }

    pub fn reset(&mut self) {
        (self.hops, self.needed_hops, self.doubtful_hops) = (0, 0, 0);
        self.hops_since_voice = 0;
        self.hops_since_breath = self.times.remembered;
        self.powers = Powers::default();
    }

    /// Takes the class and the spectrum of a hop; gives the mean power of the breath that sounds, if one does.
    pub fn hear(&mut self, class: Class, spectrum: &Spectrum) -> Option<f64> {
        self.hops_since_voice = self.hops_since_voice.saturating_add(1);
        self.hops_since_breath = self.hops_since_breath.saturating_add(1);
        let Some(now) = self.powers_of_breath(class, spectrum) else {
            self.hops = 0;
            if class == Class::Voice {
                self.hops_since_voice = 0;
                self.hops_since_breath = self.times.remembered;
            }
            return None;
        };
        if self.hops == 0 {
            self.needed_hops = self.proof_hops();
        }
        self.hops = self.hops.saturating_add(1);
        self.powers
            .move_towards(&now, 1.0 / self.hops.min(self.times.memory) as f64);
        let proven = self.hops >= self.needed_hops && self.powers.lack_voice() && !now.start_a_word();
        if proven {
            self.hops_since_breath = 0;
        }
        proven.then_some(self.powers.all)
    }

    /// The powers of a hop with which a breath begins or goes on.
    fn powers_of_breath(&mut self, class: Class, spectrum: &Spectrum) -> Option<Powers> {
        if self.hops == 0 && class != Class::Breath {
            return None;
        }
        let now = self.bands.powers(spectrum);
        self.goes_on(class, now.lack_voice()).then_some(now)
    }

    /// Whether a breath begins or goes on; `lacks_voice` is that the hop has no low end.
    fn goes_on(&mut self, class: Class, lacks_voice: bool) -> bool {
        if class == Class::Breath {
            self.doubtful_hops = 0;
            return true;
        }
        self.doubtful_hops = self.doubtful_hops.saturating_add(1);
        let allowed_hops = match class {
            Class::Quiet => self.times.quiet_doubt,
            Class::Voice if !lacks_voice => 0,
            _ => self.times.word_doubt,
        };
        self.hops > 0 && self.doubtful_hops <= allowed_hops
    }

    /// Whether a breath may be told soon, or was a short while ago.
    pub fn suspects(&self) -> bool {
        self.hops > 0 || self.hops_since_breath < self.times.remembered
    }

    /// How long the noise that begins must last to be a breath.
    fn proof_hops(&self) -> usize {
        if self.hops_since_breath < self.times.remembered {
            1
        } else if self.hops_since_voice < self.times.gap {
            self.times.proof_after_voice
        } else {
            self.times.proof
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn detector() -> BreathDetector {
        BreathDetector::new(Timing::new(48_000.0))
    }

    /// Hops of one class and one share of low end until a breath is told, if it is within a second.
    fn told_after_ms(detector: &mut BreathDetector, class: Class, low_share: f64) -> Option<f32> {
        let spectrum = Spectrum::of_two_bands(VOICE_HZ, low_share, BREATH_HZ, 1.0);
        (1..750)
            .find(|_| detector.hear(class, &spectrum).is_some())
            .map(|hops| hops as f32 * 4.0 / 3.0)
    }

    #[test]
    fn a_breath_is_told_soon_after_a_rest_and_later_after_a_voice() {
        let mut after_rest = detector();
        told_after_ms(&mut after_rest, Class::Quiet, 0.0);
        let soon_ms = told_after_ms(&mut after_rest, Class::Breath, 0.01).unwrap();
        let mut after_voice = detector();
        told_after_ms(&mut after_voice, Class::Voice, 1.0);
        let later_ms = told_after_ms(&mut after_voice, Class::Breath, 0.01).unwrap();
        assert!((18.0..22.0).contains(&soon_ms), "{soon_ms} ms");
        assert!((58.0..62.0).contains(&later_ms), "{later_ms} ms");
    }

    #[test]
    fn rough_voice_is_never_a_breath() {
        assert_eq!(told_after_ms(&mut detector(), Class::Breath, 0.5), None);
    }

    #[test]
    fn a_breath_outlives_a_doubt_and_ends_with_a_word() {
        let breath = Spectrum::of_two_bands(VOICE_HZ, 0.01, BREATH_HZ, 1.0);
        let word = Spectrum::of_two_bands(VOICE_HZ, 2.0, BREATH_HZ, 1.0);
        let mut detector = detector();
        told_after_ms(&mut detector, Class::Quiet, 0.0);
        told_after_ms(&mut detector, Class::Breath, 0.01);
        for class in [Class::Voice, Class::Quiet, Class::Sibilant, Class::Breath] {
            assert!(detector.hear(class, &breath).is_some(), "{class:?}");
        }
        assert!(
            detector.hear(Class::Breath, &word).is_none(),
            "a word before its period is found"
        );
        assert!(detector.hear(Class::Voice, &word).is_none());
        assert!(
            detector.hear(Class::Breath, &breath).is_none(),
            "no proof after a voice"
        );
    }
}
