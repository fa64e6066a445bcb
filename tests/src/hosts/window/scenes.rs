//! The pictures that the manual shows and that no change may alter unseen: every state of the editor.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use emath::{pos2, vec2};

use super::session::Opening;
use super::{
    Button, Key, Picture, Screen, Session, WindowError, double, levelled_song, raw_song, with_peaks,
};
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::{HostError, LiveSound, Plugin, SizePx};

/// How much is sung before a picture is taken: a little more than the stream shows, s.
const SUNG_S: f64 = 8.6;
/// The song passes this much faster than a clock, so that nobody waits; the editor's ring holds five seconds.
const SPEED: f64 = 3.0;
/// A window that leaves no room, and one that leaves a lot, pixels.
const SMALL: SizePx = SizePx {
    width: 560,
    height: 400,
};
const LARGE: SizePx = SizePx {
    width: 1500,
    height: 1000,
};
/// How far above full scale the song that clips reaches, linear: 3.5 dB.
const CLIPPING_PEAK: f32 = 1.5;

/// How long ago the moment is that the pointer reads, s.
const READ_AGO_S: f32 = 3.0;
/// After this much singing a proposal stands, s.
const PROPOSED_AFTER_S: f64 = 14.0;
/// The editor takes a sound that has not come for so long for stopped; a little longer.
const AFTER_THE_SONG: Duration = Duration::from_millis(900);
/// While nobody sings: samples at 48 kHz, and seconds.
const SILENCE: usize = 96_000;
const SILENCE_S: f64 = 2.0;

/// The names of the pictures, in the order in which they are taken.
pub const SHOTS: [&str; 17] = [
    "no-sound-yet",
    "no-voice-yet",
    "song",
    "song-150",
    "song-200",
    "song-small",
    "song-large",
    "frozen",
    "starting-points",
    "list",
    "listen",
    "bypassed",
    "own-leveller",
    "clipping",
    "proposal",
    "follow",
    "follow-alone",
];

/// A picture and its name, which is that of its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// The name.
    pub name: &'static str,
    /// What the window showed.
    pub picture: Picture,
}

/// Makes an insert of the plug-in of this name.
pub type Make<'a> = &'a dyn Fn(&str) -> Result<Plugin, HostError>;

/// What becomes of each picture.
pub type Take<'a> = &'a mut dyn FnMut(Shot);

/// Takes every picture, one after another.
///
/// # Errors
///
/// [`WindowError`]: whatever stood in the way.
pub fn shoot(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let scenes: [Scene; 8] = [
        nothing_heard,
        song,
        words_of_state,
        own_leveller,
        clipping,
        proposal,
        follow,
        follow_alone,
    ];
    scenes.iter().try_for_each(|scene| scene(screen, make, take))
}

type Scene = fn(&Rc<Screen>, Make, Take) -> Result<(), WindowError>;

fn open(screen: &Rc<Screen>, plugin: Plugin, sound: LiveSound) -> Result<Session, WindowError> {
    let speed = SPEED;
    let mut session = Session::new(screen, plugin, LiveSound { speed, ..sound })?;
    session.open(Opening::default())?;
    // Out of the way, so that nothing is lit by it.
    session.point(pos2(2.0, 2.0))?;
    Ok(session)
}

/// Plays so much of the song, then waits until the editor says that nothing comes any more: a pointer that moves makes it
/// look again.
fn sing(session: &mut Session, seconds: f64) -> Result<(), WindowError> {
    session.play_s(seconds)?;
    session.pass(AFTER_THE_SONG)?;
    session.point(pos2(3.0, 2.0))
}

fn shot(session: &mut Session, name: &'static str, take: Take) -> Result<(), WindowError> {
    let picture = session.picture_at_rest()?;
    take(Shot { name, picture });
    Ok(())
}

/// As a new insert looks: once before any sound, once while nobody sings.
fn nothing_heard(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let silence = LiveSound {
        voice: Arc::new(vec![vec![0.0; SILENCE]; 2]),
        ..levelled_song()
    };
    let mut session = open(screen, make(SISKIN)?, silence)?;
    shot(&mut session, "no-sound-yet", take)?;
    sing(&mut session, SILENCE_S)?;
    shot(&mut session, "no-voice-yet", take)
}

/// The song after a leveller, at the defaults, in windows and zooms of every kind; then what lies over the pictures.
fn song(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut session = open(screen, make(SISKIN)?, levelled_song())?;
    let first = session.size();
    sing(&mut session, SUNG_S)?;
    shot(&mut session, "song", take)?;
    for (percent, name) in [(150, "song-150"), (200, "song-200")] {
        session.zoom(percent)?;
        let scaled = |pixels: u32| pixels * u32::from(percent) / 100;
        session.resize(SizePx {
            width: scaled(first.width),
            height: scaled(first.height),
        })?;
        session.point(pos2(2.0, 2.0))?;
        shot(&mut session, name, take)?;
    }
    session.zoom(100)?;
    for (size, name) in [(SMALL, "song-small"), (LARGE, "song-large")] {
        session.resize(size)?;
        session.point(pos2(2.0, 2.0))?;
        shot(&mut session, name, take)?;
    }
    session.resize(first)?;
    over_the_pictures(&mut session, take)
}

fn over_the_pictures(session: &mut Session, take: Take) -> Result<(), WindowError> {
    let layout = session.layout();
    let read_at = pos2(layout.timeline.x(READ_AGO_S), layout.timeline.y(-40.0));
    session.click(read_at, Button::Left)?;
    session.point(read_at + vec2(1.0, 0.0))?;
    shot(session, "frozen", take)?;
    session.key(Key::Sign('f'))?;
    session.click_in(layout.button("start"))?;
    session.point(pos2(2.0, 2.0))?;
    shot(session, "starting-points", take)?;
    session.key(Key::Escape)?;
    session.click_in(layout.button("list"))?;
    session.point(pos2(2.0, 2.0))?;
    shot(session, "list", take)
}

/// What the window says in words: Listen, bypass; and where the keys are.
fn words_of_state(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut session = open(screen, make(SISKIN)?, levelled_song())?;
    sing(&mut session, SUNG_S)?;
    session.key(Key::Sign('l'))?;
    shot(&mut session, "listen", take)?;
    for _ in 0..2 {
        session.key(Key::Sign('l'))?;
    }
    let layout = session.layout();
    let bypass = layout.cell("bypass").map(|cell| cell.choice(1, 2));
    session.click_in(bypass)?;
    session.point(pos2(2.0, 2.0))?;
    shot(&mut session, "bypassed", take)
}

/// Siskin's own leveller at work on the song as it was sung, and breaths held too.
fn own_leveller(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut plugin = make(SISKIN)?;
    for (id, text) in [
        ("lev_on", "on"),
        ("lev_thr", "-42 dB"),
        ("lev_ratio", "6"),
        ("lev_auto", "on"),
        ("br_on", "on"),
    ] {
        plugin.set(id, text)?;
    }
    let mut session = open(screen, plugin, raw_song())?;
    sing(&mut session, SUNG_S)?;
    shot(&mut session, "own-leveller", take)
}

/// A track that was recorded too hot.
fn clipping(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let hot = with_peaks(&levelled_song(), CLIPPING_PEAK, SUNG_S);
    let mut session = open(screen, make(SISKIN)?, hot)?;
    sing(&mut session, SUNG_S)?;
    shot(&mut session, "clipping", take)
}

/// What is proposed after some seconds of singing.
fn proposal(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut session = open(screen, make(SISKIN)?, levelled_song())?;
    session.key(Key::Sign('p'))?;
    sing(&mut session, PROPOSED_AFTER_S)?;
    shot(&mut session, "proposal", take)
}

/// A double that follows the lead.
fn follow(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut session = open(screen, make(SISKIN_FOLLOW)?, double())?;
    sing(&mut session, SUNG_S)?;
    shot(&mut session, "follow", take)
}

/// A double whose lead is not connected.
fn follow_alone(screen: &Rc<Screen>, make: Make, take: Take) -> Result<(), WindowError> {
    let alone = LiveSound {
        reference: Arc::default(),
        ..double()
    };
    let mut session = open(screen, make(SISKIN_FOLLOW)?, alone)?;
    sing(&mut session, SUNG_S)?;
    shot(&mut session, "follow-alone", take)
}
