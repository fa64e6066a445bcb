//! The two levellers, and both driven hard for any voice.

use std::ops::Range;

use siskin_dsp::{HopReport, LevellerSettings, Settings};

use super::GainTrace;
use crate::measurement::figures::properties::{Play, Played};
use crate::measurement::models::{CompressorSettings, compress};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::signals::{parts, power_db};

/// Steps of the textbook's trace, samples: a hop of the engine at 48 kHz.
const STEP_SAMPLES: usize = 64;
/// Silence after a voice, so that a whole lookahead and a hop come out, ms.
const TAIL_MS: f64 = 20.0;

/// What came out of a leveller.
#[derive(Debug, Clone)]
pub struct Levelled {
    /// The sound, aligned with the input and as long.
    pub audio: Vec<f32>,
    /// Gain without makeup.
    pub gains: GainTrace,
    /// Makeup at the same samples.
    pub makeups: GainTrace,
}

/// A mono voice through Siskin's leveller alone, at its usual lookahead.
pub fn siskin(audio: &[f32], sample_rate_hz: f64, leveller: &LevellerSettings) -> Levelled {
    let mut settings = Settings {
        leveller: *leveller,
        ..Settings::default()
    };
    settings.sibilance.on = false;
    let mut voice = [audio.to_vec()];
    voice[0].resize(audio.len() + (1e-3 * TAIL_MS * sample_rate_hz) as usize, 0.0);
    let play = Play::new(sample_rate_hz, &voice, &settings);
    let mut engine = play.engine();
    let latency_samples = engine.latency_samples();
    let Played {
        audio: mut sound,
        reports,
    } = play.run_on(&mut engine);
    sound[0].truncate(audio.len());
    let hop_samples = (reports[1].centre_sample - reports[0].centre_sample) as usize;
    // A report is made at the end of a hop: its gain is that of the sample that leaves the delay then.
    let trace = |say: fn(&HopReport) -> f32| GainTrace {
        values_db: reports.iter().map(say).collect(),
        first_sample: hop_samples as i64 - latency_samples as i64,
        step_samples: hop_samples,
    };
    Levelled {
        audio: sound.swap_remove(0),
        gains: trace(|report| report.leveller_gain_db),
        makeups: trace(|report| report.leveller_makeup_db),
    }
}

/// The same voice through the textbook compressor.
pub fn textbook(audio: &[f32], sample_rate_hz: f64, settings: &CompressorSettings) -> Levelled {
    let compressed = compress(audio, sample_rate_hz, settings);
    let steps = compressed.reduction_db.iter().step_by(STEP_SAMPLES);
    let trace = |values_db: Vec<f32>| GainTrace {
        values_db,
        first_sample: 0,
        step_samples: STEP_SAMPLES,
    };
    Levelled {
        makeups: trace(vec![settings.makeup_db as f32; steps.len()]),
        gains: trace(steps.map(|reduction_db| -reduction_db).collect()),
        audio: compressed.audio,
    }
}

/// The hard settings: some 20 dB of reduction, a wide knee and a quick attack.
const RATIO: f32 = 10.0;
const KNEE_DB: f32 = 30.0;
const ATTACK_MS: f32 = 4.0;
/// What the static curve takes from the mean power of the vowels, dB. The louder half of them loses more, and
/// Siskin's gain stays with these: 20 dB on average over the vowels of voices of some length.
const STATIC_DB: f32 = 16.0;
/// Where the search for the textbook's threshold starts, dB, and its steps: it ends within 0.1 dB.
const START_DB: f64 = -45.0;
const STEPS: usize = 4;

/// Siskin's leveller, set hard for this voice. The vowels must be labelled and not silent.
pub fn hard_for(recording: &Recording) -> LevellerSettings {
    let vowels = parts(&recording.audio, recording.vowels());
    // dB RMS as in AES17, where a full-scale sine reads 0.
    let level_db = power_db(&vowels) as f32 + 3.01;
    LevellerSettings {
        on: true,
        threshold_db: level_db - STATIC_DB / (1.0 - 1.0 / RATIO),
        ratio: RATIO,
        knee_db: KNEE_DB,
        attack_ms: ATTACK_MS,
        ..LevellerSettings::default()
    }
}

/// The textbook compressor with the same ratio, knee, attack and release, its threshold such that it takes
/// `reduction_db` on average over `spans`.
pub fn textbook_alike(recording: &Recording, reduction_db: f32, spans: &[Range<usize>]) -> Levelled {
    let through = |threshold_db: f64| {
        let settings = CompressorSettings {
            threshold_db,
            ratio: f64::from(RATIO),
            knee_db: f64::from(KNEE_DB),
            attack_ms: f64::from(ATTACK_MS),
            release_ms: f64::from(LevellerSettings::default().release_ms),
            makeup_db: 0.0,
        };
        textbook(&recording.audio, recording.sample_rate_hz, &settings)
    };
    // Over the threshold the curve takes this much for each decibel that it comes down.
    let slope = 1.0 - 1.0 / f64::from(RATIO);
    let mut threshold_db = START_DB;
    for _ in 1..STEPS {
        let taken_db = through(threshold_db).gains.mean_reduction_db(spans);
        threshold_db += f64::from(taken_db - reduction_db) / slope;
    }
    through(threshold_db)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::{mean, near};
    use crate::measurement::voices::signals::{phrases, power_db};

    // The trace of the gain against the sound itself.
    #[test]
    fn the_trace_tells_what_each_stretch_got() {
        let rate_hz = 48_000.0;
        let voice = phrases(rate_hz as f32, 96_000, 1, 0.5, 0.0);
        let leveller = LevellerSettings {
            on: true,
            threshold_db: -50.0,
            ratio: 10.0,
            makeup_db: 3.0,
            ..LevellerSettings::default()
        };
        let compressor = CompressorSettings {
            threshold_db: -50.0,
            ratio: 10.0,
            knee_db: 0.0,
            attack_ms: 50.0,
            release_ms: 500.0,
            makeup_db: 3.0,
        };
        let span = 73_000..80_000;
        for levelled in [
            siskin(&voice, rate_hz, &leveller),
            textbook(&voice, rate_hz, &compressor),
        ] {
            let told_db = mean(levelled.gains.within(&span)) + mean(levelled.makeups.within(&span));
            let heard_db = power_db(&levelled.audio[span.clone()]) - power_db(&voice[span.clone()]);
            assert!(told_db < -10.0, "nothing was levelled: {told_db} dB");
            near(told_db, heard_db, 0.5, "dB");
        }
    }
}
