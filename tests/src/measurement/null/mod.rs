//! Two versions of the plug-in on the same sound: what is left when one is taken from the other.

mod sounds;
mod variants;

pub use sounds::Voice;
pub use variants::{ALL_ON, Input, VARIANTS, Variant};

use anyhow::Result;

use crate::hosts::automation;
use crate::hosts::built::SISKIN_FOLLOW;
use crate::hosts::clap::{Bundle, Render, Rendering, Timing};
use crate::measurement::levels::residual_db;

/// What is left of a sound when that of the other version is taken from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Power of the difference re the power of the sound, on the channel where it is most, dB; minus infinity where
    /// both are equal.
    pub power_db: f32,
    /// The largest difference of two samples, dB re full scale; minus infinity where both are equal.
    pub worst_sample_dbfs: f32,
    /// When that is, s from the start of the sound.
    pub worst_at_s: f64,
    /// True where all samples of all channels are alike to the bit, and the latency too.
    pub same_bits: bool,
    /// What the plug-in itself does: power of its output less its input re its input, dB. Where this is minus infinity,
    /// nothing was tried.
    pub own_work_db: f32,
}

impl Residual {
    /// Whether the difference stays under `below_db`. What is no number does not.
    pub fn is_below(&self, below_db: f32) -> bool {
        self.same_bits || self.power_db < below_db
    }
}

/// Plays `voice` on `channels` channels (1 or 2) through a new insert of each bundle, set as `variant` has it. Fails
/// where either does not play, or does not know a parameter.
pub fn compare(bundles: [&Bundle; 2], voice: &Voice, channels: usize, variant: &Variant) -> Result<Residual> {
    let [before, after] = bundles.map(|bundle| play(bundle, voice, channels, variant));
    let (before, after) = (before?, after?);
    Ok(residual(voice, channels, variant, &before, &after))
}

fn play(bundle: &Bundle, voice: &Voice, channels: usize, variant: &Variant) -> Result<Rendering> {
    let mut plugin = bundle.plugin(variant.plug_in)?;
    plugin.prepare(channels, variant.settings)?;
    let rate_hz = voice.sample_rate_hz;
    let events = if variant.automated {
        automation::events(&variants::moves(voice.duration_s()), &mut plugin, rate_hz)?
    } else {
        Vec::new()
    };
    let lead = if variant.plug_in == SISKIN_FOLLOW {
        // Another level than the track's own, so that it makes a difference who is followed.
        voice.channels(Input::Raw, channels)
    } else {
        &[]
    };
    let job = Render {
        reference: lead,
        blocks: variant.blocks,
        events: &events,
        timing: Timing::AsProcessed,
        ..Render::new(rate_hz, voice.channels(variant.input, channels))
    };
    plugin.render(&job, &mut |_frames| {})
}

fn residual(
    voice: &Voice,
    channels: usize,
    variant: &Variant,
    before: &Rendering,
    after: &Rendering,
) -> Residual {
    let pairs = || before.audio.iter().zip(&after.audio);
    let worst = |values: &mut dyn Iterator<Item = f32>| {
        // A value that is no number is worse than any.
        values.fold(f32::NEG_INFINITY, |worst, value| {
            if value.is_nan() || value > worst {
                value
            } else {
                worst
            }
        })
    };
    let differences = pairs().flat_map(|(one, other)| {
        let differences = one.iter().zip(other).map(|(one, other)| (one - other).abs());
        differences.enumerate()
    });
    let (at, largest) = differences.fold((0, 0.0_f32), |(at, largest), (sample, difference)| {
        if difference > largest {
            (sample, difference)
        } else {
            (at, largest)
        }
    });
    let latency = before.latency_samples;
    let given = voice.channels(variant.input, channels);
    let own_work = given.iter().zip(&before.audio).map(|(given, played)| {
        let end = given.len() - latency.min(given.len());
        residual_db(&given[..end], &played[latency.min(played.len())..])
    });
    let to_the_bit = |(one, other): (&Vec<f32>, &Vec<f32>)| {
        one.len() == other.len()
            && one
                .iter()
                .zip(other)
                .all(|(one, other)| one.to_bits() == other.to_bits())
    };
    Residual {
        power_db: worst(&mut pairs().map(|(one, other)| residual_db(one, other))),
        worst_sample_dbfs: 20.0 * largest.log10(),
        worst_at_s: at as f64 / voice.sample_rate_hz,
        same_bits: before.latency_samples == after.latency_samples && pairs().all(to_the_bit),
        own_work_db: worst(&mut own_work.into_iter()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rendering(audio: Vec<Vec<f32>>) -> Rendering {
        Rendering {
            audio,
            latency_samples: 0,
            restarts: 0,
        }
    }

    #[test]
    fn what_differs_on_the_second_channel_alone_is_found_where_it_is() {
        let voice = Voice::song(44_100.0);
        let sound = voice.channels(Input::Levelled, 2).to_vec();
        let before = rendering(sound.clone());
        let residual_of = |after: &Rendering| residual(&voice, 2, &VARIANTS[0], &before, after);
        let equal = residual_of(&before);
        assert!(equal.same_bits && equal.is_below(-1000.0), "{equal:?}");
        assert_eq!(equal.power_db, f32::NEG_INFINITY);

        let mut other = sound.clone();
        other[1][44_100] += 1e-3;
        let differs = residual_of(&rendering(other));
        assert!(!differs.same_bits && !differs.is_below(-120.0), "{differs:?}");
        assert_eq!(differs.worst_at_s, 1.0);
        assert!((differs.worst_sample_dbfs + 60.0).abs() < 0.01);

        let mut broken = sound;
        broken[1][7] = f32::NAN;
        assert!(!residual_of(&rendering(broken)).is_below(1000.0));
    }

    #[test]
    fn every_parameter_that_moves_comes_and_goes() {
        let points = variants::moves(60.0);
        let first = &points[0];
        let values: Vec<_> = points
            .iter()
            .filter(|point| point.id == first.id)
            .map(|point| point.value.as_str())
            .collect();
        assert!(values.len() > 10 && values[0] != values[1] && values[0] == values[2]);
        assert!(points.is_sorted_by(|one, other| one.time_s < other.time_s));
    }
}
