//! The textbook compressor: feed-forward, in the log domain, soft knee, peak detector after the curve
//! (Giannoulis, Massberg & Reiss 2012, from memory).

use super::dynamics::{Curve, PeakDetector};

/// Level below which the detector reads no further, dB: far under every threshold, and finite.
const FLOOR_DB: f64 = -200.0;

/// Settings of the compressor. Attack and release are the times to 63 % of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompressorSettings {
    /// Peak level at the middle of the knee, dB re full scale.
    pub threshold_db: f64,
    /// Decibels in per decibel out, 1 or more.
    pub ratio: f64,
    /// Width of the knee, dB, 0 or more.
    pub knee_db: f64,
    /// Attack, ms, above 0.
    pub attack_ms: f64,
    /// Release, ms, above 0.
    pub release_ms: f64,
    /// Gain after the reduction, dB.
    pub makeup_db: f64,
}

/// Sound after the compressor, and what it did.
#[derive(Debug, Clone, PartialEq)]
pub struct Compressed {
    /// The sound, as long as the input.
    pub audio: Vec<f32>,
    /// Reduction at each sample, dB, not negative; makeup is not in it.
    pub reduction_db: Vec<f32>,
}

/// Compresses a whole sound.
pub fn compress(audio: &[f32], sample_rate_hz: f64, settings: &CompressorSettings) -> Compressed {
    let curve = Curve {
        threshold_db: settings.threshold_db,
        ratio: settings.ratio,
        knee_db: settings.knee_db,
    };
    let mut detector = PeakDetector::new(sample_rate_hz, settings.attack_ms, settings.release_ms);
    let (audio, reduction_db) = audio
        .iter()
        .map(|&sample| {
            let level_db = (20.0 * f64::from(sample.abs()).log10()).max(FLOOR_DB);
            let reduction_db = detector.process(curve.reduction_db(level_db));
            let gain = 10_f64.powf((settings.makeup_db - reduction_db) / 20.0);
            ((f64::from(sample) * gain) as f32, reduction_db as f32)
        })
        .unzip();
    Compressed { audio, reduction_db }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;

    const SETTINGS: CompressorSettings = CompressorSettings {
        threshold_db: -20.0,
        ratio: 4.0,
        knee_db: 10.0,
        attack_ms: 4.0,
        release_ms: 120.0,
        makeup_db: 0.0,
    };

    // The static curve of the same paper, through the whole compressor: a constant, once it has settled.
    #[test]
    fn constants_settle_on_the_published_curve() {
        for (input_db, output_db) in [
            (-25.0, -25.0),
            (-22.0, -22.3375),
            (-20.0, -20.9375),
            (-18.0, -19.8375),
            (-15.0, -18.75),
            (0.0, -15.0),
        ] {
            let constant = [10_f32.powf(input_db / 20.0); 9600];
            let compressed = compress(&constant, 48_000.0, &SETTINGS);
            let settled_db = 20.0 * compressed.audio[9599].log10();
            near(settled_db, output_db, 1e-3, input_db);
        }
    }

    #[test]
    fn makeup_lifts_the_sound_and_is_no_reduction() {
        let settings = CompressorSettings {
            makeup_db: 6.0,
            ..SETTINGS
        };
        let quiet = [0.001; 480];
        let compressed = compress(&quiet, 48_000.0, &settings);
        assert!(compressed.reduction_db.iter().all(|reduction| *reduction == 0.0));
        assert!((20.0 * (compressed.audio[479] / 0.001).log10() - 6.0).abs() < 1e-4);
    }

    #[test]
    fn silence_stays_silent_and_finite() {
        let compressed = compress(&[0.0; 480], 48_000.0, &SETTINGS);
        assert_eq!(compressed.audio, [0.0; 480]);
        assert_eq!(compressed.reduction_db, [0.0; 480]);
    }
}
