//! One track: heard, set, rendered and written.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use siskin_dsp::{SongSection, section_of};
use siskin_host::audio_file::{self, Audio};
use siskin_host::clap::{Bundle, Plugin, Render};
use siskin_host::{LoudnessMeter, programme_lufs, resampled};

use super::doubts::Doubted;
use super::listen::{Heard, listen};
use super::picture;
use super::presets;
use super::propose::{Proposal, Role};
use super::sibilants::Event;
use crate::report::player::{self, Part, Sound, Track};

/// What the other tracks need of the lead.
pub struct Lead {
    audio: Audio,
    sections: Vec<SongSection>,
}

/// A track on its way.
pub struct Job<'a> {
    pub bundle: &'a Bundle,
    /// Where everything is written.
    pub folder: &'a Path,
    pub role: Role,
    pub path: &'a Path,
    /// Names that other tracks have.
    pub taken: &'a [&'a str],
    /// Is told what is done now.
    pub say: &'a dyn Fn(&str),
}

/// What is said of a track.
pub struct Surveyed {
    /// As a person reads it; also the stem of its files.
    pub name: String,
    pub role: Role,
    pub proposal: Proposal,
    pub doubts: Vec<String>,
    /// Those of the lead.
    pub sections: Vec<SongSection>,
    pub events: Vec<Event>,
    /// Integrated loudness before and after, LUFS.
    pub loudness_lufs: [f32; 2],
    pub track: Track,
    /// The picture, SVG.
    pub picture: String,
    pub duration_s: f64,
}

/// What was written of a track.
struct Rendering {
    path: PathBuf,
    loudness_lufs: f32,
    /// The largest sample without its sign, linear.
    peak: f32,
}

impl Job<'_> {
    /// Surveys the track. Gives what is said of it, and what other tracks need of it where it is the lead.
    pub fn survey(&self, voice: Audio, lead: Option<&Lead>) -> Result<(Surveyed, Option<Lead>)> {
        let rate_hz = voice.sample_rate_hz;
        let reference = lead.map(|lead| lead.at_rate(rate_hz));
        let reference = reference.as_deref();
        let mut plugin = self.insert(voice.channels.len())?;
        (self.say)("listening");
        let (proposal, mut heard) = self.propose(&mut plugin, &voice, reference)?;
        let sections = lead.map_or_else(|| heard.levels.sections(), |lead| lead.sections.clone());
        let doubts = Doubted {
            role: self.role,
            voice: &voice,
            heard: &heard,
            sections: &sections,
            is_natural: proposal.is_natural,
            reference: reference.zip(lead.map(|lead| lead.audio.sample_rate_hz)),
        }
        .doubts();
        (self.say)("rendering");
        let name = self.name();
        let rendering = self.render(&name, &mut plugin, &voice, reference)?;
        (self.say)("writing");
        presets::write(&mut plugin, self.role.plug_in(), self.folder, &name)?;
        let before_lufs = programme_lufs(&voice.channels, rate_hz);
        let loudness_lufs = [before_lufs, rendering.loudness_lufs];
        let track = self.blocks(&name, &voice, before_lufs, &rendering, &sections)?;
        let duration_s = voice.length() as f64 / f64::from(rate_hz);
        let surveyed = Surveyed {
            role: self.role,
            proposal,
            doubts,
            picture: picture::draw(&heard, &sections, duration_s)?,
            events: std::mem::take(&mut heard.events),
            sections: sections.clone(),
            loudness_lufs,
            track,
            name,
            duration_s,
        };
        let lead = (self.role == Role::Lead).then_some(Lead {
            audio: voice,
            sections,
        });
        Ok((surveyed, lead))
    }

    /// The plug-in for the track, at its starting point; Siskin Follow is stereo.
    fn insert(&self, channels: usize) -> Result<Plugin> {
        let mut plugin = self.bundle.plugin(self.role.plug_in())?;
        if let Some(word) = self.role.starting_point() {
            plugin.load_preset(word)?;
        }
        plugin.prepare(if self.role == Role::Lead { channels } else { 2 }, &[])?;
        Ok(plugin)
    }

    /// Sets what is proposed, and gives what was heard with these settings.
    fn propose(
        &self,
        plugin: &mut Plugin,
        voice: &Audio,
        reference: Option<&Audio>,
    ) -> Result<(Proposal, Heard)> {
        let (settings, link) = (presets::settings_of(plugin)?, presets::channels_of(plugin)?);
        let heard = listen(voice, reference, link, &settings);
        let proposal = self.role.proposal(&heard, &settings.sibilance);
        for (id, value) in &proposal.values {
            plugin.set(id, &value.to_string())?;
        }
        let proposed = presets::settings_of(plugin)?;
        if proposed == settings {
            return Ok((proposal, heard));
        }
        Ok((proposal, listen(voice, reference, link, &proposed)))
    }

    /// The name of the file, and a number where another track has that already.
    fn name(&self) -> String {
        let stem = self
            .path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let numbered = (2..).map(|number| format!("{stem}-{number}"));
        let mut names = std::iter::once(stem.clone()).chain(numbered);
        let is_free = |name: &String| !self.taken.contains(&name.as_str());
        names.find(is_free).unwrap_or(stem)
    }

    /// Writes the track through the plug-in, in step with what went in.
    fn render(
        &self,
        name: &str,
        plugin: &mut Plugin,
        voice: &Audio,
        reference: Option<&Audio>,
    ) -> Result<Rendering> {
        let (rate_hz, channels) = (voice.sample_rate_hz, voice.channels.len());
        let path = self.folder.join(format!("{name}-siskin.wav"));
        let mut file = audio_file::Writer::create(&path, rate_hz, channels, false)?;
        let mut meter = LoudnessMeter::new(channels, rate_hz);
        let (mut written, mut peak) = (Ok(()), 0f32);
        let mut sink = |block: &[Vec<f32>]| {
            // A mono track leaves Siskin Follow on two channels that are alike.
            let block = &block[..channels];
            meter.add(block);
            peak = peak.max(player::peak(block));
            if written.is_ok() {
                written = file.add(block);
            }
        };
        let job = Render {
            reference: reference.map_or(&[], |reference| &reference.channels),
            ..Render::new(f64::from(rate_hz), &voice.channels)
        };
        let rendered = plugin.render_into(&job, &mut sink);
        rendered.context("the plug-in did not render")?;
        written?;
        file.finish()?;
        Ok(Rendering {
            path,
            loudness_lufs: meter.lufs(),
            peak,
        })
    }

    fn blocks(
        &self,
        name: &str,
        voice: &Audio,
        before_lufs: f32,
        rendering: &Rendering,
        sections: &[SongSection],
    ) -> Result<Track> {
        let rate_hz = voice.sample_rate_hz;
        let length = voice.length();
        let sample = |seconds: f32| ((f64::from(seconds) * f64::from(rate_hz)) as usize).min(length);
        let parts = sections.iter().enumerate().map(|(index, section)| {
            Part::new(
                (index + 1).to_string(),
                sample(section.start_s)..sample(section.end_s),
            )
        });
        let parts: Vec<Part> = parts.filter(|part| !part.is_empty()).collect();
        let channels = voice.channels.iter().map(Vec::as_slice).collect();
        let mut after = audio_file::Reader::open(&rendering.path)?;
        let sounds = vec![
            Sound::new("before", channels, before_lufs),
            Sound {
                name: "with Siskin",
                loudness_lufs: rendering.loudness_lufs,
                peak: rendering.peak,
                size: [voice.channels.len(), length],
                next: Box::new(move |samples| after.take(samples)),
            },
        ];
        let id = format!("track-{}", self.taken.len() + 1);
        player::write_blocks(self.folder, (&id, name), rate_hz, sounds, parts)
    }
}

impl Lead {
    /// The sound at the rate of another track.
    fn at_rate(&self, rate_hz: u32) -> Cow<'_, Audio> {
        let [from, to] = [self.audio.sample_rate_hz, rate_hz].map(f64::from);
        if from == to {
            return Cow::Borrowed(&self.audio);
        }
        let channels = self.audio.channels.iter();
        Cow::Owned(Audio::new(
            rate_hz,
            channels.map(|channel| resampled(channel, from, to)).collect(),
        ))
    }
}

impl Surveyed {
    /// The events of a section, by its number from 1.
    pub fn events_of(&self, section: usize) -> impl Iterator<Item = &Event> {
        let of = move |event: &&Event| section_of(&self.sections, event.start_s) == section;
        self.events.iter().filter(of)
    }
}
