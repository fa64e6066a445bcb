//! The same in VST3, whose hosts tell position, tempo and metre in their own way.

use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::fixtures::both_with;
use siskin_tests::hosts::window::{Button, Key, NOWHERE, Screen, Vst3Session, on_own_screen};
use siskin_tests::hosts::{HostBlock, Insert, ProcessStatus, Transport, blocks};

use super::expected::{
    BLOCK, Expected, Line, RATE_HZ, SLOW, assert_as_played, assert_bars, played, read, slow, song,
};

/// Plays the song from its start, while the UI thread does its work.
fn play_all(session: &mut Vst3Session, tempo_bpm: f64) {
    let sound: Vec<Vec<f32>> = song()
        .voice
        .iter()
        .map(|channel| channel[..played(&song())].to_vec())
        .collect();
    let mut blocks: Vec<HostBlock> = blocks(&sound, &[BLOCK]);
    for (index, block) in blocks.iter_mut().enumerate() {
        block.transport = Some(Transport {
            playing: true,
            position_s: (index * BLOCK) as f64 / RATE_HZ,
            tempo_bpm,
            metre: Some((4, 4)),
            loop_s: None,
        });
    }
    let statuses = session.insert.process_while(&mut blocks, |insert| {
        insert.take_requests();
    });
    assert!(!statuses.contains(&ProcessStatus::Refused));
    session.point(NOWHERE).unwrap();
}

fn copied(screen: &Screen, session: &mut Vst3Session) -> Vec<Line> {
    let copy = session.layout().song.left_to_do.button(0);
    session.click(copy.center(), Button::Left).unwrap();
    session.point(NOWHERE).unwrap();
    read(&screen.clipboard().unwrap().unwrap())
}

#[test]
fn a_song_is_listed_in_vst3_as_an_engine_hears_it() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let [_, Insert::Vst3(mut insert)] = both_with(SISKIN, 2, &SLOW) else {
            panic!("an insert in each format");
        };
        assert!(insert.activate(RATE_HZ, BLOCK));
        let mut session = Vst3Session::open(screen, insert).unwrap();
        session.key(Key::Sign('s')).unwrap();
        play_all(&mut session, 120.0);
        let first = copied(&clipboard, &mut session);
        assert_as_played(&first, &Expected::of(&song(), &slow()), 0.0);
        assert_bars(&first, 2.0);
        // Played again it replaces what stood there; another tempo moves bars and no times.
        play_all(&mut session, 120.0);
        let second = copied(&clipboard, &mut session);
        play_all(&mut session, 60.0);
        let third = copied(&clipboard, &mut session);
        let times = |lines: &[Line]| -> Vec<String> { lines.iter().map(|line| line.time.clone()).collect() };
        assert_eq!(times(&second), times(&third));
        assert_bars(&third, 4.0);
        session.insert.deactivate();
    });
}
