//! Single stages for benchmarks, called step by step as the engine calls them.

use std::hint::black_box;

use crate::analysis::band_powers::BandRanges;
use crate::analysis::periodicity::Periodicity;
use crate::analysis::spectrum::SpectrumAnalyser;
use crate::clock::timing::{STEPS_PER_HOP, Timing};
use crate::control::ramp::Ramp;
use crate::loudness::input_level::InputLevel;
use crate::loudness::k_weighting::KWeighting;
use crate::primitives::denormal::{Peak, sanitize};
use crate::primitives::frame::{Frame, load, store};
use crate::primitives::state_variable::{FilterState, HighPass, warped};
use crate::report::Class;
use crate::settings::{LevellerSettings, Lookahead};
use crate::stages::delay::LookaheadDelay;
use crate::stages::gain as output_gain;
use crate::stages::leveller::{Leveller, LevellerPlan};
use crate::stages::sibilance::shelf::Shelf;
use crate::stages::sibilance::shelf_shape::{MovingShelf, ShelfShape};

/// Processes one step, one slice per channel; the flag is true for the last step of a hop.
type Step = Box<dyn FnMut(&mut [&mut [f32]], bool)>;

/// One stage.
pub struct StageAlone {
    /// The name in benchmark results.
    pub name: &'static str,
    step_samples: usize,
    steps: usize,
    step: Step,
}

impl StageAlone {
    /// Processes `audio`: one slice per channel, all of one length, a multiple of a step.
    pub fn process(&mut self, audio: &mut [&mut [f32]]) {
        let length = audio.first().map_or(0, |channel| channel.len());
        for start in (0..length).step_by(self.step_samples) {
            self.steps += 1;
            let end = start + self.step_samples;
            let ends_hop = self.steps.is_multiple_of(STEPS_PER_HOP);
            match audio {
                [mono] => (self.step)(&mut [&mut mono[start..end]], ends_hop),
                [left, right] => (self.step)(&mut [&mut left[start..end], &mut right[start..end]], ends_hop),
                _ => {}
            }
        }
    }
}

/// The stages in the order of the signal, for 1 or 2 channels.
#[must_use]
pub fn stages_alone(channels: usize, sample_rate_hz: f64) -> Vec<StageAlone> {
    let timing = Timing::new(sample_rate_hz);
    let stage = |name, step| StageAlone {
        name,
        step_samples: timing.step_samples,
        steps: 0,
        step,
    };
    vec![
        stage("sanitise and round", sanitise_and_round(timing)),
        stage("input level", levels(channels, timing)),
        stage("periodicity", periodicity(channels, timing)),
        stage("spectrum", spectrum(channels, timing)),
        stage("band powers", band_powers(channels, timing)),
        stage("delay", delay(channels, timing)),
        stage("leveller", leveller(timing)),
        stage("shelf, at rest", shelf(timing, 0.0)),
        stage("shelf, 12 dB down", shelf(timing, -12.0)),
        stage("low cut", low_cut(timing)),
        stage("moving gain", gain(timing)),
    ]
}

fn frames(timing: Timing) -> Vec<Frame> {
    vec![Frame::ZERO; timing.step_samples]
}

fn sanitise_and_round(timing: Timing) -> Step {
    let (mut frames, mut peak) = (frames(timing), Peak::default());
    Box::new(move |audio, _| {
        for channel in audio.iter_mut() {
            sanitize(channel, &mut peak);
        }
        load(&mut frames, audio);
        store(&frames, audio, &mut peak);
    })
}

fn levels(channels: usize, timing: Timing) -> Step {
    let mut level = InputLevel::new(channels, timing, &KWeighting::new(timing.sample_rate_hz));
    // A hop, and another before it.
    let mut window = vec![vec![0.0; 2 * timing.hop_samples]; channels];
    let mut start = timing.hop_samples;
    Box::new(move |audio, ends_hop| {
        let end = start + timing.step_samples;
        for (window, channel) in window.iter_mut().zip(audio.iter()) {
            window[start..end].copy_from_slice(channel);
        }
        level.end_step(window.iter().map(|window| &window[start..end]));
        start = end;
        if ends_hop {
            level.end_hop(window.iter().map(Vec::as_slice));
            start = timing.hop_samples;
        }
    })
}

fn periodicity(channels: usize, timing: Timing) -> Step {
    let mut periodicity = Periodicity::new(timing);
    let mut hop = vec![vec![0.0; timing.hop_samples]; channels];
    let mut filled = 0;
    Box::new(move |audio, ends_hop| {
        for (hop, channel) in hop.iter_mut().zip(audio.iter()) {
            hop[filled..filled + channel.len()].copy_from_slice(channel);
        }
        filled += timing.step_samples;
        if ends_hop {
            periodicity.update(hop.iter().map(Vec::as_slice));
            filled = 0;
        }
    })
}

fn spectrum_analyser(channels: usize, timing: Timing) -> SpectrumAnalyser {
    SpectrumAnalyser::new(channels, timing, &KWeighting::new(timing.sample_rate_hz))
}

fn spectrum(channels: usize, timing: Timing) -> Step {
    let mut spectrum = spectrum_analyser(channels, timing);
    Box::new(move |audio, ends_hop| {
        spectrum.push(audio);
        if ends_hop {
            spectrum.analyse();
        }
    })
}

fn band_powers(channels: usize, timing: Timing) -> Step {
    let (spectrum, ranges) = (spectrum_analyser(channels, timing), BandRanges::new(timing));
    Box::new(move |_, ends_hop| {
        if ends_hop {
            black_box(ranges.powers(spectrum.last()));
        }
    })
}

fn delay(channels: usize, timing: Timing) -> Step {
    let mut delay = LookaheadDelay::new(channels, timing.sample_rate_hz, Lookahead::Long);
    Box::new(move |audio, _| delay.process(audio))
}

fn leveller(timing: Timing) -> Step {
    let settings = LevellerSettings {
        on: true,
        auto_makeup: true,
        ..LevellerSettings::default()
    };
    let plan = LevellerPlan::new(&settings, timing);
    let mut leveller = Leveller::new(timing, Lookahead::Long.samples(timing.sample_rate_hz));
    leveller.reset(&plan, -24.0);
    let mut frames = frames(timing);
    let mut power = 0.01;
    Box::new(move |_, ends_hop| {
        // The level always changes, so that the gain does not come to rest.
        power = if power > 0.1 { 0.001 } else { power * 1.01 };
        leveller.update_steps(&[power], Class::Voice, &plan);
        output_gain::apply(leveller.gain(), &mut frames, 0);
        if ends_hop {
            leveller.add_voiced_hop(power);
        }
    })
}

fn shelf(timing: Timing, gain_db: f64) -> Step {
    let shape = |gain_db: f64| ShelfShape {
        warped_corner: warped(4000.0, timing.sample_rate_hz),
        root: 10f64.powf(gain_db / 80.0),
        plain: 1.0,
    };
    let moving = MovingShelf {
        from: shape(0.9 * gain_db),
        to: shape(gain_db),
        step_samples: timing.step_samples,
    };
    let (mut shelf, mut frames) = (Shelf::new(timing.window_samples), frames(timing));
    Box::new(move |audio, _| {
        load(&mut frames, audio);
        shelf.process(&mut frames, &moving, 0);
    })
}

fn low_cut(timing: Timing) -> Step {
    let high_pass = HighPass::new(120.0, timing.sample_rate_hz);
    let (mut memory, mut frames) = (FilterState::default(), frames(timing));
    Box::new(move |audio, _| {
        load(&mut frames, audio);
        for frame in &mut frames {
            *frame = high_pass.process(&mut memory, *frame);
        }
    })
}

fn gain(timing: Timing) -> Step {
    let (mut gain, mut frames) = (Ramp::resting(1.0), frames(timing));
    let mut to = 1.0;
    Box::new(move |audio, _| {
        to = if to > 2.0 { 0.5 } else { to * 1.01 };
        gain.continue_to(to, timing.step_samples);
        load(&mut frames, audio);
        output_gain::apply(&gain, &mut frames, 0);
    })
}
