//! The whole song: its strip, its sections, and what is left to do by hand.

use super::{Make, PLAYED_S, SMALL, Studio, Take, shot, show};
use crate::hosts::built::SISKIN;
use crate::hosts::clap::SongPlace;
use crate::hosts::window::{Key, NOWHERE, Session, raw_song};

/// Samples of a block of the rig.
const BLOCK: usize = 480;
/// What is played of the song before the window opens, blocks: even, so that all of it ends half a hop after the end of one.
const BEFORE_BLOCKS: usize = 5400;

/// A song as it was sung, with positions; an attack so slow, and a threshold so low, that something is left to do.
pub(super) fn whole_song(studio: &Studio<'_>, make: Make, take: Take) -> anyhow::Result<()> {
    let mut plugin = make(SISKIN)?;
    plugin.set_all(&[
        ("look", "0 ms"),
        ("sib_att", "10 ms"),
        ("sib_prop", "-20 LU"),
        ("sib_range", "18 dB"),
    ])?;
    let mut session = Session::new(studio.screen, plugin, raw_song().fast())?;
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
    session.click_in(Some(session.layout().song.left_to_do.row(1)))?;
    session.point(NOWHERE)?;
    shot(&mut session, "song-chosen", take)?;
    session.resize(SMALL)?;
    session.point(NOWHERE)?;
    shot(&mut session, "song-sections-small", take)?;
    session.resize(first)
}
