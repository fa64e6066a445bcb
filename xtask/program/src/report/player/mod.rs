//! One player for all renderings of a page: they sound in sync, and one of them is heard.
//!
//! Browsers keep a page on a file system from its sound files: it may not fetch them, and what its media elements play
//! stays silent in Web Audio. So the sound lies beside the page once more, in scripts of ten seconds each, as base64 of
//! 16-bit samples; the page loads those that it plays.

mod blocks;
#[cfg(test)]
#[cfg(unix)]
mod tests;

use std::ops::Range;

use anyhow::Result;
use serde::Serialize;

use super::html::escaped;
pub use blocks::write_blocks;

/// The folder of the sound beside the page.
pub const FOLDER: &str = "sound";

/// A track of the page: its renderings have one length, and one place in the song.
#[derive(Debug, Clone, Serialize)]
pub struct Track {
    /// A word for file names.
    pub id: String,
    /// As a person reads it.
    pub name: String,
    /// Sample rate, Hz.
    pub rate_hz: u32,
    /// Channels of every rendering.
    pub channels: usize,
    /// Samples of each channel.
    pub samples: usize,
    /// Samples of a block; the last one may be shorter.
    pub block_samples: usize,
    /// What can be heard of it.
    pub renderings: Vec<Rendering>,
    /// What can be repeated.
    pub sections: Vec<Part>,
}

/// One rendering of a track.
#[derive(Debug, Clone, Serialize)]
pub struct Rendering {
    /// As a person reads it.
    pub name: String,
    /// What its samples are multiplied by, linear: above 1 where the sound is beyond full scale.
    pub scale: f32,
    /// What makes all renderings of the track as loud as the softest, linear, at most 1.
    pub equal_gain: f32,
}

/// A part of a track, in samples.
#[derive(Debug, Clone, Serialize)]
pub struct Part {
    /// As a person reads it.
    pub name: String,
    from: usize,
    to: usize,
}

impl Part {
    /// A part of these samples.
    pub fn new(name: impl Into<String>, samples: Range<usize>) -> Self {
        Self {
            name: name.into(),
            from: samples.start,
            to: samples.end,
        }
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.from >= self.to
    }
}

/// Gives the next samples of a sound, at most as many as it is asked for, a vector a channel.
pub type NextSamples<'a> = Box<dyn FnMut(usize) -> Result<Vec<Vec<f32>>> + 'a>;

/// The sound of one rendering, and how loud it is.
pub struct Sound<'a> {
    /// As a person reads it.
    pub name: &'a str,
    /// Integrated loudness, LUFS.
    pub loudness_lufs: f32,
    /// The largest sample without its sign, linear.
    pub peak: f32,
    /// Channels, and samples of each.
    pub size: [usize; 2],
    /// The sound from its start on.
    pub next: NextSamples<'a>,
}

impl<'a> Sound<'a> {
    /// A sound in memory, one slice a channel.
    pub fn new(name: &'a str, mut channels: Vec<&'a [f32]>, loudness_lufs: f32) -> Self {
        Self {
            name,
            loudness_lufs,
            peak: peak(&channels),
            size: [
                channels.len(),
                channels.first().map_or(0, |channel| channel.len()),
            ],
            next: Box::new(move |samples| {
                let channels = channels.iter_mut();
                Ok(channels
                    .map(|rest| {
                        rest.split_off(..samples.min(rest.len()))
                            .unwrap_or_default()
                            .to_vec()
                    })
                    .collect())
            }),
        }
    }
}

/// The largest sample without its sign.
pub fn peak(channels: &[impl AsRef<[f32]>]) -> f32 {
    let samples = channels.iter().flat_map(AsRef::as_ref);
    samples.fold(0.0, |peak: f32, sample| peak.max(sample.abs()))
}

/// A picture over the time of a track, with the cursor of the player. The time from 0 to `seconds` lies between two edges of
/// the picture's width, which are shares of it.
pub struct Timeline<'a> {
    /// The track's id.
    pub track: &'a str,
    /// The picture as an SVG element.
    pub svg: &'a str,
    /// Where the time begins and ends.
    pub edges: [f64; 2],
    /// Seconds at the right edge.
    pub seconds: f64,
}

impl Timeline<'_> {
    /// The picture as HTML.
    pub fn html(&self) -> String {
        let [left, right] = self.edges;
        format!(
            "<div class=\"timeline\" data-track=\"{}\" data-left=\"{left:.5}\" data-right=\"{right:.5}\" data-seconds=\"{}\">{}\
<div class=\"cursor\"></div></div>",
            escaped(self.track),
            self.seconds,
            self.svg
        )
    }
}

/// The player of a page as HTML. Without scripts nothing of it shows.
pub fn html(tracks: &[Track]) -> String {
    // No "</script>" may stand in the data.
    let data = serde_json::json!({ "folder": FOLDER, "tracks": tracks }).to_string();
    let data = data.replace('<', "\\u003c");
    let scripts = [
        include_str!("blocks.js"),
        include_str!("transport.js"),
        include_str!("page.js"),
    ]
    .concat();
    format!(
        "<style>{}</style><section id=\"player\" aria-label=\"Player\">\
<div class=\"tracks\"></div>\
<div><button type=\"button\" class=\"play\" title=\"Space bar\">Play</button><output class=\"position\"></output>\
<button type=\"button\" class=\"equal\" title=\"Key e: the louder renderings are turned down to the softest\">\
Equal loudness</button><span>Repeat</span><span class=\"sections\"></span></div>\
<div class=\"renderings\"></div><div class=\"message\" role=\"status\"></div></section>\
<script type=\"application/json\" id=\"player-data\">{data}</script><script type=\"module\">{scripts}</script>",
        include_str!("player.css")
    )
}
