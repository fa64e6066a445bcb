//! What a reduction takes below a sibilant's own band: as the engine does it, whose edge follows the sibilant, and as a
//! shelf would do it whose edge stays at `Detect from`.

mod fixed;
mod own_band;

use std::ops::Range;

pub use fixed::FixedShelf;
pub use own_band::{PowerSpectrum, own_from_hz};

use crate::measurement::voices::corpus::{Origin, Recording};

/// Sibilants by where their noise lies (Jongman, Wayland & Wong 2000: peaks of s and z near 6.8 kHz, of sh and zh near
/// 3.8 kHz).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SibilantClass {
    /// s, ts.
    S,
    /// z, dz.
    Z,
    /// sh, ch.
    Sh,
    /// zh, j.
    Zh,
}

impl SibilantClass {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::S, Self::Z, Self::Sh, Self::Zh];

    /// How a person writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::S => "s ts",
            Self::Z => "z dz",
            Self::Sh => "sh ch",
            Self::Zh => "zh j",
        }
    }

    /// Of a symbol in the letters of a recording's source; none for what is no sibilant. In eSpeak NG's letters, which
    /// the synthetic voices have, S is sh and Z is zh; everywhere else they are s and z.
    pub fn of(symbol: &str, origin: Origin) -> Option<Self> {
        match (symbol.trim_end_matches(';'), origin) {
            ("S", Origin::Synthetic) => Some(Self::Sh),
            ("Z", Origin::Synthetic) => Some(Self::Zh),
            ("s" | "S" | "ss" | "ts" | "ts2", _) => Some(Self::S),
            ("z" | "Z" | "z2" | "dz", _) => Some(Self::Z),
            ("sh" | "SH" | "tS" | "ch" | "CH", _) => Some(Self::Sh),
            ("ZH" | "zh" | "dZ" | "JH" | "j", _) => Some(Self::Zh),
            _ => None,
        }
    }
}

/// One sibilant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeReading {
    /// Which.
    pub class: SibilantClass,
    /// Where its own band begins, Hz.
    pub own_from_hz: f64,
    /// What was taken from the band above `Detect from`, dB.
    pub taken_db: f64,
    /// What went with it from the octave below its own band, dB.
    pub below_db: f64,
    /// What goes with it when a shelf takes as much whose edge stays at `Detect from`, dB.
    pub fixed_below_db: f64,
}

/// Least that must have been taken for a reading to say anything, dB.
const SOMETHING_DB: f64 = 2.0;
/// Shorter sibilants give no spectrum, s.
const SHORTEST_S: f64 = 0.03;

/// Reads every sibilant of which the band above `Detect from` lost something; `after` is in step with `before`, and
/// `fixed` is the shelf to compare with.
pub fn read_edges(
    recording: &Recording,
    (before, after): (&[f32], &[f32]),
    fixed: &FixedShelf,
) -> Vec<EdgeReading> {
    let rate_hz = recording.sample_rate_hz;
    let readings = recording.phones.iter().filter_map(|phone| {
        let class =
            SibilantClass::of(&phone.symbol, recording.origin).filter(|_| phone.sound.is_sibilant())?;
        // The middle of the label: at its ends the neighbours sound too.
        let margin = phone.span.len() / 5;
        let length = before.len().min(after.len());
        let span = (phone.span.start + margin).min(length)..(phone.span.end - margin).min(length);
        if (span.len() as f64) < SHORTEST_S * rate_hz {
            return None;
        }
        let (before, after) = (&before[span.clone()], &after[span]);
        let spectra = [before, after].map(|sound| PowerSpectrum::new(sound, rate_hz));
        reading(class, &spectra, fixed)
    });
    readings.collect()
}

fn reading(
    class: SibilantClass,
    [before, after]: &[PowerSpectrum; 2],
    fixed: &FixedShelf,
) -> Option<EdgeReading> {
    let own_from_hz = own_from_hz(before)?;
    let lost_db = |band: &Range<f64>| before.level_db(band) - after.level_db(band);
    let taken_db = lost_db(&(fixed.from_hz..f64::INFINITY));
    let octave = 0.5 * own_from_hz..own_from_hz;
    (taken_db >= SOMETHING_DB).then(|| EdgeReading {
        class,
        own_from_hz,
        taken_db,
        below_db: lost_db(&octave),
        fixed_below_db: fixed.lost_db(before, taken_db, &octave),
    })
}
