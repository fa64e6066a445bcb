//! What the plug-in thinks on the way: its own reports, from the same engine, settings and input as in the bundle.

use siskin_dsp::{Engine, EngineConfig, HopReport, Lookahead, Settings};

/// Reports hop by hop for `input` (mono) at a new insert's settings.
pub fn listen(input: &[f32], sample_rate_hz: f64) -> Vec<HopReport> {
    let config = EngineConfig {
        sample_rate_hz,
        channels: 1,
        reference_channels: 0,
        lookahead: Lookahead::default(),
    };
    let mut engine = Engine::new(config, &Settings::default());
    let mut audio = input.to_vec();
    let mut reports = Vec::new();
    engine.process(&mut [&mut audio], &[], &mut |report| reports.push(*report));
    reports
}

/// The mean of what the reports of a span of input samples say; not a number where there is none.
pub fn mean_over(
    reports: &[HopReport],
    span: &std::ops::Range<usize>,
    say: impl Fn(&HopReport) -> f32,
) -> f32 {
    let within =
        |report: &&HopReport| usize::try_from(report.centre_sample).is_ok_and(|at| span.contains(&at));
    let (sum, count) = reports
        .iter()
        .filter(within)
        .fold((0.0, 0), |(sum, count), report| (sum + say(report), count + 1));
    sum / count as f32
}
