//! Reference pictures: every state of the editor, for the manual and for comparison.

mod whole_song;

use std::rc::Rc;
use std::sync::Arc;

use emath::{pos2, vec2};
use siskin_editor_layout::palette::{DARK, LIGHT, Palette};

use super::{
    Button, Key, NOWHERE, Opening, Picture, Screen, Session, double, levelled_song, raw_song, with_peaks,
};
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::{LiveSound, Plugin, SizePx};

/// Sound before a picture is taken: a little more than the timeline shows, and half a hop after the end of one, so that none
/// ends in the 9 s that the song may creep on, s.
const PLAYED_S: f64 = 8.61;
/// The song between two pictures of a scene: a hop at 48 kHz, samples.
const CREPT: usize = 64;
/// A window in which the page scrolls, and a large one, pixels.
const SMALL: SizePx = SizePx::new(560, 400);
const LARGE: SizePx = SizePx::new(1500, 1000);
/// Peak of the clipping song, linear: 3.5 dB above full scale.
const CLIPPING_PEAK: f32 = 1.5;

/// Position of the pointer in the frozen timeline, s ago.
const READ_AGO_S: f32 = 0.85;
/// Sound after which there is a proposal, s.
const PROPOSED_AFTER_S: f64 = 14.01;
/// Length of the silence, samples at 48 kHz and seconds.
const SILENCE: usize = 96_000;
const SILENCE_S: f64 = 2.0;

/// The names of the pictures in the light scheme, in the order in which they are taken.
const SHOTS: [&str; 22] = [
    "no-input-yet",
    "no-voice-yet",
    "song",
    "song-150",
    "song-200",
    "song-small",
    "song-large",
    "frozen",
    "starting-points",
    "list",
    "song-sections",
    "song-chosen",
    "song-sections-small",
    "listen",
    "bypassed",
    "own-leveller",
    "part-breaths",
    "part-voice",
    "clipping",
    "proposal",
    "follow",
    "follow-alone",
];

/// The names of all pictures, in the order in which they are taken: first in the light scheme, then in the dark one.
pub fn shot_names() -> impl Iterator<Item = String> {
    SCHEMES
        .into_iter()
        .flat_map(|scheme| SHOTS.map(|name| scheme.name(name)))
}

/// A scheme of colours.
#[derive(Debug, Clone, Copy)]
struct Scheme {
    colours: Palette,
    /// Appended to the names of its pictures.
    suffix: &'static str,
}

const SCHEMES: [Scheme; 2] = [
    Scheme {
        colours: LIGHT,
        suffix: "",
    },
    Scheme {
        colours: DARK,
        suffix: "-dark",
    },
];

impl Scheme {
    fn name(&self, shot: &str) -> String {
        format!("{shot}{}", self.suffix)
    }

    /// Whether the window has these colours: most of it is paper.
    fn is_shown(&self, session: &Session) -> anyhow::Result<bool> {
        Ok(session.picture()?.share_of(self.colours.paper) > 0.3)
    }
}

/// A picture and its name, which is that of its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// The name.
    pub name: String,
    /// What the window showed.
    pub picture: Picture,
}

/// Creates an insert of the plug-in with this name.
pub type Make<'a> = &'a dyn Fn(&str) -> anyhow::Result<Plugin>;

/// Receives each picture.
pub type Take<'a> = &'a mut dyn FnMut(Shot);

/// Takes all pictures.
pub fn shoot(screen: &Rc<Screen>, make: Make, take: Take) -> anyhow::Result<()> {
    let scenes: [Scene; 10] = [
        no_input,
        song,
        whole_song::whole_song,
        listen_and_bypass,
        own_leveller,
        parts,
        clipping,
        proposal,
        follow,
        follow_alone,
    ];
    for scheme in SCHEMES {
        let mut named = |shot: Shot| {
            take(Shot {
                name: scheme.name(&shot.name),
                ..shot
            });
        };
        let studio = Studio { screen, scheme };
        scenes
            .iter()
            .try_for_each(|scene| scene(&studio, make, &mut named))?;
    }
    Ok(())
}

/// Where pictures are taken.
struct Studio<'a> {
    screen: &'a Rc<Screen>,
    scheme: Scheme,
}

type Scene = fn(&Studio<'_>, Make, Take) -> anyhow::Result<()>;

fn open(studio: &Studio<'_>, plugin: Plugin, sound: LiveSound) -> anyhow::Result<Session> {
    show(studio, Session::new(studio.screen, plugin, sound.fast())?)
}

fn show(studio: &Studio<'_>, mut session: Session) -> anyhow::Result<Session> {
    session.open(Opening::default())?;
    // An insert opens in the scheme that was chosen last.
    if !studio.scheme.is_shown(&session)? {
        session.click_in(session.layout().button("scheme"))?;
        session.point(NOWHERE)?;
        session.wait_until("the other scheme is shown", |session| {
            studio.scheme.is_shown(session)
        })?;
    }
    Ok(session)
}

/// Takes a picture of a new editor once the sound has played.
fn played(
    studio: &Studio<'_>,
    plugin: Plugin,
    sound: LiveSound,
    name: &'static str,
    take: Take,
) -> anyhow::Result<()> {
    let mut session = open(studio, plugin, sound)?;
    session.play_s(PLAYED_S)?;
    shot(&mut session, name, take)
}

/// Takes a picture while the song creeps on: the editor shows what it shows while sound runs.
fn shot(session: &mut Session, name: &'static str, take: Take) -> anyhow::Result<()> {
    session.live().creep();
    let picture = session.picture_at_rest()?;
    session.live().end_creep(CREPT);
    session.wait_until("the song rests", |session| Ok(session.live().is_at_rest()))?;
    take(Shot {
        name: name.to_owned(),
        picture,
    });
    Ok(())
}

/// A new insert: before any sound, and after silence.
fn no_input(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let silence = LiveSound {
        voice: Arc::new(vec![vec![0.0; SILENCE]; 2]),
        ..levelled_song()
    };
    let mut session = open(studio, make(SISKIN)?, silence)?;
    shot(&mut session, "no-input-yet", take)?;
    session.play_s(SILENCE_S)?;
    shot(&mut session, "no-voice-yet", take)
}

/// The levelled song at the defaults, in windows of several sizes and zooms; then frozen, with a menu, as a list.
fn song(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let mut session = open(studio, make(SISKIN)?, levelled_song())?;
    let first = session.size();
    session.play_s(PLAYED_S)?;
    shot(&mut session, "song", take)?;
    for (percent, name) in [(150, "song-150"), (200, "song-200")] {
        session.zoom(percent)?;
        let scaled = |pixels: u32| pixels * u32::from(percent) / 100;
        session.resize(SizePx::new(scaled(first.width), scaled(first.height)))?;
        session.point(NOWHERE)?;
        shot(&mut session, name, take)?;
    }
    session.zoom(100)?;
    for (size, name) in [(SMALL, "song-small"), (LARGE, "song-large")] {
        session.resize(size)?;
        session.point(NOWHERE)?;
        shot(&mut session, name, take)?;
    }
    session.resize(first)?;
    panels(&mut session, take)
}

fn panels(session: &mut Session, take: Take) -> anyhow::Result<()> {
    let layout = session.layout();
    let read_at = pos2(layout.timeline.x(READ_AGO_S), layout.timeline.y(-40.0));
    session.click(read_at, Button::Left)?;
    session.point(read_at + vec2(1.0, 0.0))?;
    shot(session, "frozen", take)?;
    session.key(Key::Sign('f'))?;
    session.click_in(layout.button("start"))?;
    session.point(NOWHERE)?;
    shot(session, "starting-points", take)?;
    session.key(Key::Escape)?;
    session.click_in(layout.button("list"))?;
    session.point(NOWHERE)?;
    shot(session, "list", take)
}

/// Warnings of Listen and Bypass.
fn listen_and_bypass(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let mut session = open(studio, make(SISKIN)?, levelled_song())?;
    session.play_s(PLAYED_S)?;
    session.key(Key::Sign('l'))?;
    shot(&mut session, "listen", take)?;
    for _ in 0..2 {
        session.key(Key::Sign('l'))?;
    }
    let layout = session.layout();
    let bypass = layout.cell("bypass").map(|cell| cell.choice(1, 2));
    session.click_in(bypass)?;
    session.point(NOWHERE)?;
    shot(&mut session, "bypassed", take)
}

/// Siskin's own leveller and breath stage on the song as it was sung.
fn own_leveller(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let mut plugin = make(SISKIN)?;
    plugin.set_all(&[
        ("lev_on", "on"),
        ("lev_thr", "-42 dB"),
        ("lev_ratio", "6"),
        ("lev_auto", "on"),
        ("br_on", "on"),
    ])?;
    played(studio, plugin, raw_song(), "own-leveller", take)
}

/// The two parts of a track, each as an insert of its own has it: the breaths alone, and the voice without them.
fn parts(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    for (part, name) in [("Breaths", "part-breaths"), ("Voice", "part-voice")] {
        let mut plugin = make(SISKIN)?;
        plugin.set_all(&[
            ("look", "300 ms"),
            ("part", part),
            ("br_on", "on"),
            ("br_cut", "650 Hz"),
        ])?;
        played(studio, plugin, levelled_song(), name, take)?;
    }
    Ok(())
}

/// A track that clips.
fn clipping(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let hot = with_peaks(&levelled_song(), CLIPPING_PEAK, PLAYED_S);
    played(studio, make(SISKIN)?, hot, "clipping", take)
}

/// A proposal.
fn proposal(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let mut session = open(studio, make(SISKIN)?, levelled_song())?;
    session.key(Key::Sign('p'))?;
    session.play_s(PROPOSED_AFTER_S)?;
    shot(&mut session, "proposal", take)
}

/// A double that follows the lead.
fn follow(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    played(studio, make(SISKIN_FOLLOW)?, double(), "follow", take)
}

/// A double whose lead is not connected.
fn follow_alone(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let unconnected = LiveSound {
        reference: Arc::default(),
        ..double()
    };
    played(studio, make(SISKIN_FOLLOW)?, unconnected, "follow-alone", take)
}
