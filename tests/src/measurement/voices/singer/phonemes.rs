//! The sounds of the singer's language: what each is made of.
//!
//! Vowels: women's formants of Peterson & Barney (1952), from memory. Fricatives: spectral peaks and levels of
//! Jongman, Wayland & Wong (2000); their s and sh of 178 ms are citation form, sung ones are mostly shorter.
//! Sonorants and stops: common practice, no source.

use super::fricatives::{self, Noise};
use super::labels::Kind;

/// The lowest three resonances of the mouth, Hz.
pub type Formants = [f64; 3];

/// The voiced sound of a part.
#[derive(Debug, Clone, Copy)]
pub struct Voice {
    /// Where the formants begin and where they end.
    pub formants_hz: [Formants; 2],
    /// Level re the vowels, dB.
    pub level_db: f64,
    /// Where a closed mouth takes the top away; none where the mouth is open.
    pub muffle_hz: Option<f64>,
}

/// One stretch of a phoneme with a label of its own.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    /// What it is.
    pub kind: Kind,
    /// Least and greatest length, ms; a vowel's length is in the score.
    pub length_ms: [f64; 2],
    /// Its voice.
    pub voice: Option<Voice>,
    /// Its noise.
    pub noise: Option<Noise>,
}

/// A phoneme and its parts in order.
#[derive(Debug)]
pub struct Phoneme {
    /// ARPAbet, lower case.
    pub symbol: &'static str,
    /// In order.
    pub parts: &'static [Part],
}

const IY: Formants = [310.0, 2790.0, 3310.0];
const IH: Formants = [430.0, 2480.0, 3070.0];
const EH: Formants = [610.0, 2330.0, 2990.0];
const AE: Formants = [860.0, 2050.0, 2850.0];
const AA: Formants = [850.0, 1220.0, 2810.0];
const AO: Formants = [590.0, 920.0, 2710.0];
const UH: Formants = [470.0, 1160.0, 2680.0];
const UW: Formants = [370.0, 950.0, 2670.0];
const AH: Formants = [760.0, 1400.0, 2780.0];
const ER: Formants = [500.0, 1640.0, 1960.0];
/// The murmur behind a closed mouth.
const BAR: Formants = [250.0, 1400.0, 2700.0];

const fn vowel(from: Formants, to: Formants) -> Part {
    let voice = Voice {
        formants_hz: [from, to],
        level_db: 0.0,
        muffle_hz: None,
    };
    Part {
        kind: Kind::Vowel,
        length_ms: [120.0, 500.0],
        voice: Some(voice),
        noise: None,
    }
}

const fn sonorant(at: Formants, level_db: f64, muffle_hz: Option<f64>) -> Part {
    let voice = Voice {
        formants_hz: [at, at],
        level_db,
        muffle_hz,
    };
    Part {
        kind: Kind::Sonorant,
        length_ms: [55.0, 95.0],
        voice: Some(voice),
        noise: None,
    }
}

const fn frication(kind: Kind, length_ms: [f64; 2], noise: Noise) -> Part {
    Part {
        kind,
        length_ms,
        voice: None,
        noise: Some(noise),
    }
}

/// `bar_db`: level of the voice bar, so that bar and noise together have the published level.
const fn voiced_frication(kind: Kind, length_ms: [f64; 2], noise: Noise, bar_db: f64) -> Part {
    let voice = Voice {
        formants_hz: [BAR, BAR],
        level_db: bar_db,
        muffle_hz: Some(250.0),
    };
    Part {
        kind,
        length_ms,
        voice: Some(voice),
        noise: Some(noise),
    }
}

const CLOSURE: Part = Part {
    kind: Kind::Stop,
    length_ms: [45.0, 75.0],
    voice: None,
    noise: None,
};
const VOICED_CLOSURE: Part = Part {
    kind: Kind::Stop,
    length_ms: [40.0, 65.0],
    voice: Some(Voice {
        formants_hz: [BAR, BAR],
        level_db: -16.0,
        muffle_hz: Some(250.0),
    }),
    noise: None,
};

const LONG_MS: [f64; 2] = [100.0, 180.0];
const SHORT_MS: [f64; 2] = [80.0, 120.0];
const WEAK_MS: [f64; 2] = [70.0, 120.0];
const T_MS: [f64; 2] = [30.0, 40.0];
const BURST_MS: [f64; 2] = [12.0, 20.0];

const fn phoneme(symbol: &'static str, parts: &'static [Part]) -> Phoneme {
    Phoneme { symbol, parts }
}

/// Every phoneme that the score may name.
#[rustfmt::skip]
static PHONEMES: [Phoneme; 41] = [
    phoneme("iy", &[vowel(IY, IY)]),
    phoneme("ih", &[vowel(IH, IH)]),
    phoneme("eh", &[vowel(EH, EH)]),
    phoneme("ae", &[vowel(AE, AE)]),
    phoneme("aa", &[vowel(AA, AA)]),
    phoneme("ao", &[vowel(AO, AO)]),
    phoneme("uh", &[vowel(UH, UH)]),
    phoneme("uw", &[vowel(UW, UW)]),
    phoneme("ah", &[vowel(AH, AH)]),
    phoneme("er", &[vowel(ER, ER)]),
    phoneme("ay", &[vowel(AA, IH)]),
    phoneme("ey", &[vowel(EH, IY)]),
    phoneme("oy", &[vowel(AO, IH)]),
    phoneme("ow", &[vowel(AO, UH)]),
    phoneme("aw", &[vowel(AA, UH)]),
    phoneme("m", &[sonorant([280.0, 1100.0, 2300.0], -6.0, Some(1500.0))]),
    phoneme("n", &[sonorant([280.0, 1600.0, 2600.0], -6.0, Some(1500.0))]),
    phoneme("ng", &[sonorant([280.0, 2100.0, 2800.0], -7.0, Some(1500.0))]),
    phoneme("l", &[sonorant([380.0, 1100.0, 2900.0], -4.0, Some(3000.0))]),
    phoneme("r", &[sonorant([400.0, 1300.0, 1800.0], -4.0, Some(3000.0))]),
    phoneme("w", &[sonorant([330.0, 700.0, 2500.0], -4.0, Some(3000.0))]),
    phoneme("y", &[sonorant([290.0, 2600.0, 3300.0], -4.0, Some(3000.0))]),
    phoneme("s", &[frication(Kind::Sibilant, LONG_MS, fricatives::S)]),
    phoneme("sh", &[frication(Kind::Sibilant, LONG_MS, fricatives::SH)]),
    phoneme("z", &[voiced_frication(Kind::Sibilant, SHORT_MS, fricatives::Z, -12.0)]),
    phoneme("zh", &[voiced_frication(Kind::Sibilant, SHORT_MS, fricatives::ZH, -11.3)]),
    phoneme("f", &[frication(Kind::Fricative, WEAK_MS, fricatives::F)]),
    phoneme("v", &[voiced_frication(Kind::Fricative, WEAK_MS, fricatives::F, -13.9)]),
    phoneme("th", &[frication(Kind::Fricative, WEAK_MS, fricatives::TH)]),
    phoneme("dh", &[voiced_frication(Kind::Fricative, [40.0, 70.0], fricatives::TH, -14.8)]),
    phoneme("hh", &[frication(Kind::Fricative, WEAK_MS, fricatives::H)]),
    phoneme("ch", &[CLOSURE, frication(Kind::Sibilant, SHORT_MS, fricatives::SH)]),
    phoneme("j", &[VOICED_CLOSURE, voiced_frication(Kind::Sibilant, SHORT_MS, fricatives::ZH, -11.3) ]),
    phoneme("t", &[CLOSURE, frication(Kind::Sibilant, T_MS, fricatives::T)]),
    phoneme("p", &[CLOSURE, frication(Kind::Stop, BURST_MS, fricatives::P)]),
    phoneme("k", &[CLOSURE, frication(Kind::Stop, BURST_MS, fricatives::K)]),
    phoneme("b", &[VOICED_CLOSURE, frication(Kind::Stop, BURST_MS, fricatives::P)]),
    phoneme("d", &[VOICED_CLOSURE, frication(Kind::Stop, BURST_MS, fricatives::D)]),
    phoneme("g", &[VOICED_CLOSURE, frication(Kind::Stop, BURST_MS, fricatives::K)]),
    // Nakano et al. (2008): breaths of 50 to 1225 ms; these are the middle of them.
    phoneme("breath", &[frication(Kind::Breath, [280.0, 620.0], fricatives::BREATH)]),
    phoneme("rest", &[Part { kind: Kind::Rest, length_ms: [500.0, 900.0], voice: None, noise: None, }]),
];

/// The phoneme of a symbol.
///
/// # Panics
///
/// Where the table has none: the score is part of the program.
pub fn phoneme_of(symbol: &str) -> &'static Phoneme {
    PHONEMES
        .iter()
        .find(|phoneme| phoneme.symbol == symbol)
        .unwrap_or_else(|| panic!("the score names {symbol:?}, which no phoneme has"))
}
