//! One pass of sound through the engine.

use std::ops::Range;

use siskin_dsp::{Channels, Engine, EngineConfig, HopReport, Lookahead, Settings};

use crate::measurement::levels::mean;

/// Samples a block where nothing else is said.
const BLOCK_SAMPLES: usize = 512;

/// What is to be played, and how.
#[derive(Debug, Clone, Copy)]
pub struct Play<'a> {
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    /// One vector a channel, 1 or 2, of one length.
    pub voice: &'a [Vec<f32>],
    /// The side-chain: one vector a channel, as long as the voice; empty where there is none.
    pub reference: &'a [Vec<f32>],
    /// Whether the voice's channels are heard as one.
    pub link: Channels,
    /// Channels that the engine keeps for a side-chain, whether anything comes in or not.
    pub reference_channels: usize,
    /// How far the engine sees ahead.
    pub lookahead: Lookahead,
    /// From the first sample on.
    pub settings: &'a Settings,
    /// Samples a block, in turn, again and again.
    pub blocks: &'a [usize],
    /// Settings that take over at a sample, in order.
    pub changes: &'a [(usize, Settings)],
    /// Where on the song's timeline playback starts and jumps: samples of the sound with the positions that a host reports
    /// there and counts on from, in order. Empty: it reports no position.
    pub positions: &'a [(usize, i64)],
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Played {
    /// One vector a channel, in step with the voice.
    pub audio: Vec<Vec<f32>>,
    /// One a hop.
    pub reports: Vec<HopReport>,
}

impl<'a> Play<'a> {
    /// A voice without a side-chain at 5 ms of lookahead.
    pub fn new(sample_rate_hz: f64, voice: &'a [Vec<f32>], settings: &'a Settings) -> Self {
        Self {
            sample_rate_hz,
            voice,
            reference: &[],
            link: Channels::Linked,
            reference_channels: 0,
            lookahead: Lookahead::Long,
            settings,
            blocks: &[BLOCK_SAMPLES],
            changes: &[],
            positions: &[],
        }
    }

    /// An engine that is ready to play this.
    pub fn engine(&self) -> Engine {
        let config = EngineConfig {
            sample_rate_hz: self.sample_rate_hz,
            channels: self.voice.len(),
            link: self.link,
            reference_channels: self.reference_channels,
            lookahead: self.lookahead,
        };
        Engine::new(config, self.settings)
    }

    /// Plays it through a new engine.
    pub fn run(&self) -> Played {
        self.run_on(&mut self.engine())
    }

    /// Plays it through an engine in its present state; silence follows until the whole voice has left the delay.
    pub fn run_on(&self, engine: &mut Engine) -> Played {
        let latency = engine.latency_samples();
        let longer = |channel: &Vec<f32>| {
            let silence = std::iter::repeat_n(0.0, latency);
            channel.iter().copied().chain(silence).collect::<Vec<f32>>()
        };
        let mut audio: Vec<Vec<f32>> = self.voice.iter().map(longer).collect();
        let reference: Vec<Vec<f32>> = self.reference.iter().map(longer).collect();
        let length = audio.first().map_or(0, Vec::len);
        let mut reports = Vec::with_capacity(length / 32);
        let (mut start, mut turn, mut changes) = (0, 0, self.changes.iter().peekable());
        while start < length {
            while let Some((_, settings)) = changes.next_if(|(sample, _)| *sample <= start) {
                engine.set(settings);
            }
            if let Some(position) = self.position(start) {
                engine.locate(position);
            }
            let block = self.blocks[turn % self.blocks.len()];
            let next_change = changes.peek().map_or(length, |(sample, _)| *sample);
            let next_jump = self.next_jump(start).unwrap_or(length);
            let end = (start + block).min(next_change).min(next_jump).min(length);
            turn += 1;
            let mut views: Vec<&mut [f32]> =
                audio.iter_mut().map(|channel| &mut channel[start..end]).collect();
            let heard: Vec<&[f32]> = reference.iter().map(|channel| &channel[start..end]).collect();
            engine.process(&mut views, &heard, &mut |report| reports.push(*report));
            start = end;
        }
        audio
            .iter_mut()
            .for_each(|channel| drop(channel.drain(..latency)));
        Played { audio, reports }
    }

    /// The position that the host reports for the sound's next sample.
    fn position(&self, sample: usize) -> Option<i64> {
        let (from, position) = self.positions.iter().rfind(|(from, _)| *from <= sample)?;
        Some(position + (sample - from) as i64)
    }

    fn next_jump(&self, sample: usize) -> Option<usize> {
        let mut jumps = self.positions.iter().map(|(from, _)| *from);
        jumps.find(|from| *from > sample)
    }
}

impl Played {
    /// The reports whose centres lie within a span.
    pub fn within(&self, span: &Range<usize>) -> &[HopReport] {
        reports_within(&self.reports, span)
    }

    /// The mean of what the reports of a span say.
    pub fn mean_over(&self, span: &Range<usize>, say: impl Fn(&HopReport) -> f32) -> f32 {
        mean(&self.within(span).iter().map(say).collect::<Vec<_>>())
    }

    /// Mean reported reduction of the sibilance stage over a span, dB, not negative.
    pub fn reduction_db(&self, span: &Range<usize>) -> f32 {
        -self.mean_over(span, |report| report.sibilance_gain_db)
    }

    /// Samples, over all channels, whose bits differ, and those that only one of the two has.
    pub fn differing_samples(&self, other: &[Vec<f32>]) -> usize {
        differing_samples(&self.audio, other)
    }
}

/// Those of some reports, in order, whose centres lie within a span.
pub(crate) fn reports_within<'a>(reports: &'a [HopReport], span: &Range<usize>) -> &'a [HopReport] {
    let first_at = |sample: usize| reports.partition_point(|report| report.centre_sample < sample as i64);
    let start = first_at(span.start);
    &reports[start..first_at(span.end).max(start)]
}

/// Samples, over all channels, whose bits differ, and those that only one of the two has.
pub fn differing_samples(one: &[Vec<f32>], other: &[Vec<f32>]) -> usize {
    let unmatched = one.len().abs_diff(other.len()) * one.first().or(other.first()).map_or(0, Vec::len);
    let channels = one.iter().zip(other);
    unmatched
        + channels
            .map(|(one, other)| {
                let pairs = one.iter().zip(other);
                pairs.filter(|(a, b)| a.to_bits() != b.to_bits()).count() + one.len().abs_diff(other.len())
            })
            .sum::<usize>()
}

/// How a mono voice lies in the channels of a track.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// One channel.
    Mono,
    /// Two, the second softer by 4.4 dB.
    Scaled,
    /// Two, the second softer by 6 dB, 0.8 ms late and in other noise: neither in phase nor a copy.
    Different,
}

impl Layout {
    /// The channels.
    pub fn lay(self, voice: &[f32]) -> Vec<Vec<f32>> {
        let scaled = |gain: f32| voice.iter().map(|sample| gain * sample).collect::<Vec<f32>>();
        match self {
            Self::Mono => vec![voice.to_vec()],
            Self::Scaled => vec![voice.to_vec(), scaled(0.6)],
            Self::Different => {
                let late = std::iter::repeat_n(0.0, 37).chain(scaled(0.5));
                let noise = crate::measurement::voices::signals::noise(11).map(|noise| 1e-4 * noise);
                let second = late.zip(noise).map(|(sample, noise)| sample + noise);
                vec![voice.to_vec(), second.take(voice.len()).collect()]
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    #[test]
    fn what_comes_out_is_in_step_with_what_goes_in() {
        let voice = Layout::Different.lay(&noise(1).take(4000).collect::<Vec<_>>());
        assert_ne!(voice[0], voice[1]);
        let mut settings = Settings::default();
        settings.sibilance.on = false;
        let played = Play::new(48_000.0, &voice, &settings).run();
        assert_eq!(played.differing_samples(&voice), 0);
        assert!(played.reports.len() > 50);
    }

    #[test]
    fn every_channel_and_every_sample_counts_as_differing() {
        let one = vec![vec![0.0, 1.0, 2.0], vec![0.0; 3]];
        let other = vec![vec![0.0, 1.5], vec![-0.0, 0.0, 0.0]];
        assert_eq!(differing_samples(&one, &other), 3);
        assert_eq!(differing_samples(&one, &one[..1]), 3);
    }

    #[test]
    fn settings_change_at_their_sample() {
        let voice = Layout::Mono.lay(&vec![0.5; 9600]);
        let mut settings = Settings::default();
        settings.sibilance.on = false;
        let mut quieter = settings;
        quieter.output.gain_db = -6.0;
        let played = Play {
            changes: &[(4801, quieter)],
            ..Play::new(48_000.0, &voice, &settings)
        }
        .run();
        assert_eq!(played.audio[0][4500], 0.5);
        assert!((played.audio[0][9000] - 0.5 * 10f32.powf(-0.3)).abs() < 1e-3);
    }
}
