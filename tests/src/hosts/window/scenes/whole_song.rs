//! The whole song: its strip, its sections, and what is left to do by hand.

use super::{Make, PLAYED_S, SMALL, Studio, Take, shot, show};
use crate::hosts::built::SISKIN;
use crate::hosts::clap::{LiveSound, SongPlace};
use crate::hosts::window::{Key, NOWHERE, Session, WindowError, levelled_song};

/// Samples of a block of the rig.
const BLOCK: usize = 480;
/// What is played of the song before the window opens, blocks: even, so that all of it ends half a hop after the end of one.
const BEFORE_BLOCKS: usize = 2160;

/// A song with positions, and a threshold so low that Range cuts off many sibilants.
pub(super) fn whole_song(studio: &Studio<'_>, make: Make, take: Take) -> Result<(), WindowError> {
    let mut plugin = make(SISKIN)?;
    for (id, text) in [
        ("look", "0 ms"),
        ("sib_att", "10 ms"),
        ("sib_prop", "-12 LU"),
        ("sib_range", "9 dB"),
    ] {
        plugin.set(id, text)?;
    }
    let sound = LiveSound {
        speed: f64::INFINITY,
        ..levelled_song()
    };
    let mut session = Session::new(studio.screen, plugin, sound)?;
    session.live().tell(Some(SongPlace {
        start_s: 0.0,
        tempo_bpm: 100.0,
        metre: Some((4, 4)),
    }));
    session.live().play(Some(BEFORE_BLOCKS * BLOCK));
    session.wait_until("the song begins", |session| Ok(session.live().is_at_rest()))?;
    let mut session = show(studio, session)?;
    let first = session.size();
    session.play_s(PLAYED_S)?;
    session.key(Key::Sign('s'))?;
    shot(&mut session, "song-sections", take)?;
    session.resize(SMALL)?;
    session.point(NOWHERE)?;
    shot(&mut session, "song-sections-small", take)?;
    session.resize(first)
}
