//! Numbers at a glance: the reduction of each stage and the peaks of the sound, now and the greatest since the last reset.

use siskin_dsp::HopReport;

/// How long a value stays before a smaller one replaces it, seconds: long enough to read, common practice, no source.
const HOLD_S: f32 = 0.5;
/// The level of silence, dB.
const SILENCE_DB: f32 = -120.0;

/// A value of which the greatest counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    now: f32,
    held_s: f32,
    greatest: f32,
}

impl Reading {
    fn starting_at(least: f32) -> Self {
        Self {
            now: least,
            held_s: f32::INFINITY,
            greatest: least,
        }
    }

    fn add(&mut self, value: f32, hop_s: f32) {
        self.held_s += hop_s;
        if value >= self.now || self.held_s > HOLD_S {
            (self.now, self.held_s) = (value, 0.0);
        }
        self.greatest = self.greatest.max(value);
    }

    /// The greatest value of the last half second.
    pub fn now(&self) -> f32 {
        self.now
    }

    /// The greatest value since the last reset.
    pub fn greatest(&self) -> f32 {
        self.greatest
    }
}

/// The readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Readings {
    /// Reduction of the sibilance stage, of the breath stage and of the leveller without makeup, dB.
    pub reductions_db: [Reading; 3],
    /// Peak of the input and of the output, dBFS.
    pub peaks_dbfs: [Reading; 2],
}

impl Default for Readings {
    fn default() -> Self {
        Self {
            reductions_db: [Reading::starting_at(0.0); 3],
            peaks_dbfs: [Reading::starting_at(SILENCE_DB); 2],
        }
    }
}

impl Readings {
    /// Adds a report of a hop of `hop_s` seconds.
    pub fn add(&mut self, report: &HopReport, hop_s: f32) {
        let gains_db = [
            report.sibilance_gain_db,
            report.breath_gain_db,
            report.leveller_gain_db,
        ];
        for (reading, gain_db) in self.reductions_db.iter_mut().zip(gains_db) {
            reading.add((-gain_db).max(0.0), hop_s);
        }
        for (reading, peak) in self
            .peaks_dbfs
            .iter_mut()
            .zip([report.input_peak, report.output_peak])
        {
            let dbfs = 20.0 * peak.max(f32::MIN_POSITIVE).log10();
            reading.add(dbfs.max(SILENCE_DB), hop_s);
        }
    }

    /// Begins the greatest values anew, from those of now.
    pub fn reset(&mut self) {
        for reading in self.reductions_db.iter_mut().chain(&mut self.peaks_dbfs) {
            reading.greatest = reading.now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOP_S: f32 = 0.001;

    fn report(gain_db: f32, peak: f32) -> HopReport {
        HopReport {
            sibilance_gain_db: gain_db,
            breath_gain_db: 0.5 * gain_db,
            leveller_gain_db: 2.0 * gain_db,
            input_peak: peak,
            output_peak: 0.5 * peak,
            ..HopReport::default()
        }
    }

    #[test]
    fn a_value_is_held_and_the_greatest_stays_until_reset() {
        let mut readings = Readings::default();
        readings.add(&report(-6.0, 1.0), HOP_S);
        (0..200).for_each(|_| readings.add(&report(-1.0, 0.1), HOP_S));
        let now = |readings: &Readings| readings.reductions_db.map(|reading| reading.now());
        assert_eq!(now(&readings), [6.0, 3.0, 12.0], "held for half a second");
        (0..400).for_each(|_| readings.add(&report(-1.0, 0.1), HOP_S));
        assert_eq!(now(&readings), [1.0, 0.5, 2.0]);
        let greatest = |readings: &Readings| readings.reductions_db.map(|reading| reading.greatest());
        assert_eq!(greatest(&readings), [6.0, 3.0, 12.0]);
        let [input, output] = readings.peaks_dbfs;
        assert!(input.greatest().abs() < 0.01 && (output.greatest() + 6.02).abs() < 0.01);
        assert!((input.now() + 20.0).abs() < 0.01, "{}", input.now());
        readings.reset();
        assert_eq!(greatest(&readings), [1.0, 0.5, 2.0]);
    }

    #[test]
    fn silence_and_nothing_read_the_same() {
        let mut readings = Readings::default();
        let before = readings.peaks_dbfs.map(|reading| reading.greatest());
        readings.add(&report(0.0, 0.0), HOP_S);
        assert_eq!(before, [SILENCE_DB; 2]);
        assert_eq!(readings.peaks_dbfs.map(|reading| reading.greatest()), before);
    }
}
