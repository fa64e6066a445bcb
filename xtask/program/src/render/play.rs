//! The pass through the plug-in itself.

use std::path::Path;

use anyhow::{Context, Result};
use indicatif::{ProgressBar, ProgressStyle};
use siskin_host::SISKIN_FOLLOW;
use siskin_host::audio_file::Audio;
use siskin_host::automation::{self, Point};
use siskin_host::clap::{Plugin, Render};

use super::start::Start;
use super::{RenderOptions, Sounds};

/// The changes on the way; none where there is no file.
pub fn read_automation(path: Option<&Path>) -> Result<Vec<Point>> {
    let Some(path) = path else {
        return Ok(Vec::new());
    };
    automation::read(path).with_context(|| path.display().to_string())
}

/// Plays the voice through the plug-in that `start` tells, latency compensated. Siskin Follow is stereo: a mono voice
/// goes to both of its channels.
pub fn play(
    start: &Start,
    options: &RenderOptions,
    settings: &[(&str, &str)],
    sounds: Sounds,
    points: &[Point],
) -> Result<Audio> {
    let mut plugin = insert(start, settings, &sounds)?;
    let sample_rate_hz = f64::from(sounds.voice.sample_rate_hz);
    let events = automation::events(points, &mut plugin, sample_rate_hz).with_context(|| {
        options
            .automation
            .iter()
            .map(|path| path.display().to_string())
            .collect::<String>()
    })?;
    let job = Render {
        reference: sounds
            .reference
            .as_ref()
            .map_or(&[], |reference| &reference.channels),
        blocks: &[options.block],
        events: &events,
        ..Render::new(sample_rate_hz, &sounds.voice.channels)
    };
    let style = ProgressStyle::with_template("{bar:40} {percent:>3} %  {msg}  {eta} left")?;
    let message = format!("{:.1} s of sound", job.length() as f64 / sample_rate_hz);
    let bar = ProgressBar::new(job.length() as u64)
        .with_style(style)
        .with_message(message);
    let rendering = plugin.render(&job, &mut |frames| bar.set_position(frames as u64))?;
    bar.finish_and_clear();
    Ok(Audio::new(sounds.voice.sample_rate_hz, rendering.audio))
}

/// The plug-in in the layout of the voice, with the values that were asked for.
fn insert(start: &Start, settings: &[(&str, &str)], sounds: &Sounds) -> Result<Plugin> {
    let mut plugin = start.insert()?;
    let channels = match start.plug_in.as_str() {
        SISKIN_FOLLOW => 2,
        _ => sounds.voice.channels.len(),
    };
    plugin.prepare(channels, settings)?;
    Ok(plugin)
}
