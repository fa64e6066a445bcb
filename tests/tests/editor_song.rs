//! The whole song in the editor: what is noted while it plays, in a real window, against an engine that hears the same.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use emath::{Rect, pos2, vec2};
use siskin_dsp::{
    COUNTED_SIBILANT_S, Channels, Class, Engine, EngineConfig, Lookahead, Settings, SibilantLevels,
    SibilantSums, SongSection, VoiceLevels, section_of,
};
use siskin_editor_layout::palette::LIGHT;
use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::clap::{LiveSound, SongPlace};
use siskin_tests::hosts::window::{Button, Key, NOWHERE, Opening, Screen, Session, on_own_screen, raw_song};

/// Samples of a block of the rig.
const BLOCK: usize = 480;
const RATE_HZ: f64 = 48_000.0;
/// A sibilant further than this from what was asked is left to do, LU.
const NEAR_LU: f32 = 2.0;
/// At the start of the song, four beats a bar, two a second.
const AT_THE_START: SongPlace = SongPlace {
    start_s: 0.0,
    tempo_bpm: 120.0,
    metre: Some((4, 4)),
};
/// So slow that many sibilants are over before they are turned down.
const SLOW: [(&str, &str); 4] = [
    ("look", "0 ms"),
    ("sib_att", "10 ms"),
    ("sib_prop", "-20 LU"),
    ("sib_range", "18 dB"),
];

fn slow() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.attack_ms = 10.0;
    settings.sibilance.proportion_lu = -20.0;
    settings.sibilance.range_db = 18.0;
    settings
}

/// A line of the list of what is left to do.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    place: String,
    time: String,
    section: usize,
    levels: [f32; 4],
    is_limited: bool,
}

impl Line {
    fn read(line: &str) -> Self {
        let fields: Vec<&str> = line.split('\t').collect();
        let number = |index: usize| fields[index].parse().unwrap();
        Self {
            place: fields[0].to_owned(),
            time: fields[1].to_owned(),
            section: fields[2].parse().unwrap(),
            levels: [3, 4, 5, 6].map(number),
            is_limited: fields[7] == "cut off",
        }
    }

    /// Seconds of the song.
    fn time_s(&self) -> f64 {
        let (sign, time) = match self.time.strip_prefix('-') {
            Some(time) => (-1.0, time),
            None => (1.0, self.time.as_str()),
        };
        let (minutes, seconds) = time.split_once(':').unwrap();
        sign * (60.0 * minutes.parse::<f64>().unwrap() + seconds.parse::<f64>().unwrap())
    }
}

/// What an engine of the same settings reports of the song.
struct Expected {
    sibilants: Vec<(f64, SibilantLevels)>,
    sections: Vec<SongSection>,
}

impl Expected {
    fn of(sound: &LiveSound, settings: &Settings) -> Self {
        let config = EngineConfig {
            sample_rate_hz: RATE_HZ,
            channels: 2,
            link: Channels::Linked,
            reference_channels: 0,
            lookahead: Lookahead::None,
        };
        let mut engine = Engine::new(config, settings);
        let hop_s = engine.hop_samples() as f32 / RATE_HZ as f32;
        let mut levels = VoiceLevels::default();
        let mut current: Option<(f64, SibilantSums)> = None;
        let mut sibilants = Vec::new();
        for start in (0..played(sound)).step_by(BLOCK) {
            let mut block: Vec<Vec<f32>> = sound
                .voice
                .iter()
                .map(|channel| channel[start..start + BLOCK].to_vec())
                .collect();
            let mut block: Vec<&mut [f32]> = block.iter_mut().map(Vec::as_mut_slice).collect();
            engine.locate(start as i64);
            engine.process(&mut block, &[], &mut |report| {
                levels.add(report, hop_s);
                if report.class == Class::Sibilant && report.voice_detected {
                    let start_s = report.centre_sample as f64 / RATE_HZ;
                    let (_, sums) = current.get_or_insert((start_s, SibilantSums::default()));
                    sums.add(report);
                } else if let Some((start_s, sums)) = current.take()
                    && sums.hops() * f64::from(hop_s) >= f64::from(COUNTED_SIBILANT_S)
                {
                    sibilants.push((start_s, sums.levels(&settings.sibilance)));
                }
            });
        }
        Self {
            sibilants,
            sections: levels.sections(),
        }
    }

    /// The sibilants that are left to do, worst first.
    fn left_to_do(&self) -> Vec<(f64, SibilantLevels)> {
        let off_lu = |levels: &SibilantLevels| (levels.left_lufs - levels.asked_lufs).abs();
        let mut far = self.sibilants.clone();
        far.retain(|(_, levels)| off_lu(levels) > NEAR_LU);
        far.sort_by(|(_, one), (_, other)| off_lu(other).total_cmp(&off_lu(one)));
        far
    }
}

/// Samples of the song in whole blocks.
fn played(sound: &LiveSound) -> usize {
    sound.voice[0].len() / BLOCK * BLOCK
}

/// What the strip shows of the song once it has been played.
fn span_s() -> (f64, f64) {
    let length_s = played(&song()) as f64 / RATE_HZ;
    assert!((30.0..90.0).contains(&length_s), "{length_s} s");
    (0.0, if length_s > 60.0 { 90.0 } else { 60.0 })
}

fn song() -> LiveSound {
    LiveSound {
        speed: f64::INFINITY,
        ..raw_song()
    }
}

/// An open editor with slow settings, at the start of a song whose position is told.
fn open(screen: Screen, place: Option<SongPlace>) -> Session {
    let mut plugin = insert(SISKIN);
    for (id, text) in SLOW {
        plugin.set(id, text).unwrap();
    }
    let mut session = Session::new(&Rc::new(screen), plugin, song()).unwrap();
    session.live().tell(place);
    session.open(Opening::default()).unwrap();
    session.key(Key::Sign('s')).unwrap();
    session
}

fn play_all(session: &mut Session) {
    let blocks = played(&song()) / BLOCK;
    session.live().play(Some(blocks * BLOCK));
    session
        .wait_until("the song has been played", |session| {
            Ok(session.live().is_at_rest())
        })
        .unwrap();
    session.sync().unwrap();
}

/// What Copy puts on the clipboard.
fn copied(screen: &Screen, session: &mut Session) -> Vec<Line> {
    let copy = session.layout().song.left_to_do.button(0);
    session.click_in(Some(copy)).unwrap();
    session.point(NOWHERE).unwrap();
    let text = screen.clipboard().unwrap().unwrap();
    let mut lines = text.lines();
    assert_eq!(
        lines.next().unwrap(),
        "place\ttime\tsection\tbefore LU\tasked LU\tleft LU\toff LU\tRange"
    );
    lines.map(Line::read).collect()
}

fn assert_as_played(lines: &[Line], expected: &Expected, start_s: f64) {
    let far = expected.left_to_do();
    assert!(far.len() >= 5, "{far:?}");
    assert!(expected.sections.len() >= 2, "{:?}", expected.sections);
    assert_eq!(lines.len(), far.len());
    for (line, (time_s, levels)) in lines.iter().zip(far) {
        let late_s = line.time_s() - start_s - time_s;
        assert!((-0.11..0.11).contains(&late_s), "{line:?} at {time_s}");
        let voice_lufs = levels.voice_lufs;
        let [before, asked, left, off] = line.levels;
        for (got, put) in [
            (before, levels.before_lufs - voice_lufs),
            (asked, levels.asked_lufs - voice_lufs),
            (left, levels.left_lufs - voice_lufs),
            (off, levels.left_lufs - levels.asked_lufs),
        ] {
            assert!((got - put).abs() < 0.1, "{line:?} {levels:?}");
        }
        assert_eq!(line.is_limited, levels.is_limited, "{line:?}");
        assert_eq!(
            line.section,
            section_of(&expected.sections, time_s as f32),
            "{line:?}"
        );
    }
}

#[test]
fn a_song_is_listed_as_an_engine_hears_it() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        play_all(&mut session);
        let expected = Expected::of(&song(), &slow());
        let lines = copied(&clipboard, &mut session);
        assert_as_played(&lines, &expected, 0.0);
        // Two seconds a bar, two beats a second.
        for line in &lines {
            let bar = (line.time_s() / 2.0).floor() + 1.0;
            assert!(
                line.place.starts_with(&format!("bar {bar:.0}, beat ")),
                "{line:?}"
            );
        }
        assert_section_borders(&mut session, &expected);
        // Played again it replaces what stood there. From now on each pass begins with the voice of the one before it.
        play_all(&mut session);
        let second = copied(&clipboard, &mut session);
        play_all(&mut session);
        assert_eq!(copied(&clipboard, &mut session), second);
    });
}

/// Each section but the first begins with a rule in the strip.
fn assert_section_borders(session: &mut Session, expected: &Expected) {
    let strip = session.layout().song;
    let span_s = span_s();
    for section in &expected.sections[1..] {
        let x = strip.x(f64::from(section.start_s), span_s).round();
        // Across the lane: the plot has other lines.
        let rule = Rect::from_center_size(pos2(x, strip.lane.center().y), vec2(5.0, 9.0));
        let picture = session.picture_of(rule).unwrap();
        let [red, green, blue, _] = LIGHT.edge.to_array();
        let share = picture.share_of([red, green, blue]);
        // A column of five, and the line in the middle.
        assert!(share >= 0.2, "{share} of edge at {} s", section.start_s);
    }
}

#[test]
fn loops_jumps_and_a_moved_start_list_the_same() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let moved = SongPlace {
            start_s: -7.0,
            ..AT_THE_START
        };
        let mut session = open(screen, Some(moved));
        play_all(&mut session);
        let expected = Expected::of(&song(), &slow());
        let whole = copied(&clipboard, &mut session);
        assert_as_played(&whole, &expected, -7.0);
        assert!(whole.iter().any(|line| line.time_s() < 0.0), "{whole:?}");
        let worst_s = whole[0].time_s() + 7.0;
        // A jump to the middle, then loops around the worst.
        session.live().seek(played(&song()) / 2 / BLOCK * BLOCK);
        session.play_s(1.0).unwrap();
        for _ in 0..3 {
            session
                .live()
                .seek(((worst_s - 1.0) * RATE_HZ) as usize / BLOCK * BLOCK);
            session.play_s(2.0).unwrap();
        }
        let times = |lines: &[Line]| {
            let mut times: Vec<String> = lines.iter().map(|line| line.time.clone()).collect();
            times.sort();
            times
        };
        let looped = copied(&clipboard, &mut session);
        // What was sung within the loop is heard after other sounds than before: it may leave a little otherwise.
        let lost = times(&whole).len().abs_diff(looped.len());
        assert!(lost <= 1, "{whole:?}\n{looped:?}");
        let found = looped
            .iter()
            .filter(|line| (line.time_s() + 7.0 - worst_s).abs() < 0.1);
        assert_eq!(found.count(), 1, "{looped:?}");
    });
}

#[test]
fn a_change_of_tempo_moves_bars_and_no_times() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        // The first pass begins without a voice, unlike the others.
        play_all(&mut session);
        play_all(&mut session);
        let before = copied(&clipboard, &mut session);
        session.live().tell(Some(SongPlace {
            tempo_bpm: 60.0,
            ..AT_THE_START
        }));
        play_all(&mut session);
        let after = copied(&clipboard, &mut session);
        let times = |lines: &[Line]| -> Vec<String> { lines.iter().map(|line| line.time.clone()).collect() };
        assert_eq!(times(&before), times(&after));
        for line in &after {
            let bar = (line.time_s() / 4.0).floor() + 1.0;
            assert!(line.place.starts_with(&format!("bar {bar:.0}, ")), "{line:?}");
        }
    });
}

#[test]
fn without_a_position_times_count_from_playback_and_clear_forgets() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, None);
        let song_layout = session.layout().song;
        let lists = [song_layout.sections.area, song_layout.left_to_do.area];
        let empty = lists.map(|list| session.picture_of(list).unwrap());
        let state = session.plugin().save_state().unwrap();
        session.play_s(14.4).unwrap();
        assert_eq!(
            session.plugin().save_state().unwrap(),
            state,
            "notes are not saved"
        );
        let lines = copied(&clipboard, &mut session);
        assert!(!lines.is_empty());
        assert!(lines.iter().all(|line| line.place == line.time), "{lines:?}");
        // The strip says so, on paper of its own, at the right end of its plot.
        let says = song_layout.plot.with_min_x(song_layout.plot.right() - 200.0);
        let ink = session.picture_of(says).unwrap().share_of({
            let [red, green, blue, _] = LIGHT.ink.to_array();
            [red, green, blue]
        });
        // Thin letters leave few pixels of the whole ink, paper none.
        assert!(ink > 0.0, "no ink");
        session.click_in(Some(song_layout.sections.button(0))).unwrap();
        session.point(NOWHERE).unwrap();
        session.sync().unwrap();
        let cleared = lists.map(|list| session.picture_of(list).unwrap());
        assert!(cleared == empty, "the lists are as new");
    });
}

#[test]
fn a_chosen_sibilant_is_shown_in_the_strip_and_read_in_the_stream() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        play_all(&mut session);
        let lines = copied(&clipboard, &mut session);
        let layout = session.layout();
        let focus = |session: &mut Session, line: &Line| {
            let x = layout.song.x(line.time_s() + 0.05, span_s());
            let at = Rect::from_center_size(pos2(x, layout.song.plot.center().y), vec2(8.0, 16.0));
            let [red, green, blue, _] = LIGHT.focus.to_array();
            session.picture_of(at).unwrap().share_of([red, green, blue])
        };
        let values = layout
            .timeline
            .values
            .with_max_x(layout.timeline.values.center().x);
        let reading = session.picture_of(values).unwrap();
        assert_eq!(focus(&mut session, &lines[1]), 0.0);
        session.click_in(Some(layout.song.left_to_do.row(1))).unwrap();
        session.point(NOWHERE).unwrap();
        session.sync().unwrap();
        assert!(focus(&mut session, &lines[1]) > 0.05);
        let second = session.picture_of(values).unwrap();
        assert!(second != reading, "the stream reads the sibilant");
        // By keyboard the one before it.
        session.key(Key::Up).unwrap();
        session.sync().unwrap();
        assert!(focus(&mut session, &lines[0]) > 0.05);
        assert!(session.picture_of(values).unwrap() != second);
        // In the strip by a click on the mark; the keys go to the next one in time and back.
        let mark = pos2(
            layout.song.x(lines[1].time_s() + 0.05, span_s()),
            layout.song.lane.center().y,
        );
        session.click(mark, Button::Left).unwrap();
        session.point(NOWHERE).unwrap();
        assert!(focus(&mut session, &lines[1]) > 0.05);
        let pointed = session.picture_of(values).unwrap();
        assert!(pointed != reading, "the stream reads this one, too");
        for (key, is_back) in [(Key::Right, false), (Key::Left, true)] {
            session.key(key).unwrap();
            let reading = session.picture_of(values).unwrap();
            assert_eq!(reading == pointed, is_back);
        }
    });
}
