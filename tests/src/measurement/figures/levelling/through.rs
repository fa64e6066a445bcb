//! The two levellers.

use siskin_dsp::{HopReport, LevellerSettings, Settings};

use super::gain_trace::GainTrace;
use crate::measurement::figures::properties::{Play, Played};
use crate::measurement::models::{CompressorSettings, compress};

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
