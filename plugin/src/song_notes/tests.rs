use siskin_dsp::{Class, HopReport, Settings};

use super::*;

const RATE_HZ: f64 = 48_000.0;
const HOP: i64 = 64;
/// How far the engine's reports lie behind its input, samples.
const LAG: i64 = 128;

/// A host that plays a song by pieces, and the notes of it.
struct Rig {
    writer: NotesWriter,
    reader: NotesReader,
    settings: Settings,
    next_sample: i64,
    /// Level of a sibilant against the voice as it comes, LU, and the gain that it gets, dB.
    sibilant: (f32, f32),
    tempo_bpm: f64,
}

impl Rig {
    fn new() -> Self {
        let (mut writer, reader) = song_notes();
        writer.set_clock(RATE_HZ, HOP as usize);
        Self {
            writer,
            reader,
            settings: Settings::default(),
            next_sample: 0,
            sibilant: (1.0, -5.0),
            tempo_bpm: 120.0,
        }
    }

    /// Plays from one second of the song to another: a sibilant of 100 ms begins 450 ms after each full second.
    fn play(&mut self, from_s: f64, to_s: f64) {
        let mut song = (from_s * RATE_HZ) as i64;
        while song < (to_s * RATE_HZ) as i64 {
            self.block(Some(song), true, song);
            song += HOP;
        }
    }

    /// A block of one hop; `sound` tells what it is, as a sample of the song.
    fn block(&mut self, song_sample: Option<i64>, is_playing: bool, sound: i64) {
        let bar = song_sample.map(|sample| Bar {
            number: 1,
            quarters: sample as f64 / RATE_HZ * self.tempo_bpm / 60.0,
            metre: (4, 4),
            tempo_bpm: self.tempo_bpm,
        });
        let place = HostPlace {
            is_playing,
            song_sample,
            bar: bar.map(|bar| bar.moved(0.0)),
        };
        self.writer.begin_block(&place, self.next_sample);
        self.next_sample += HOP;
        let seconds = (sound - LAG) as f64 / RATE_HZ;
        let is_sibilant = (0.45..0.55).contains(&seconds.rem_euclid(1.0));
        let (before_lu, gain_db) = self.sibilant;
        let report = HopReport {
            centre_sample: self.next_sample - HOP - LAG,
            class: if is_sibilant {
                Class::Sibilant
            } else {
                Class::Voice
            },
            voice_lufs: -20.0,
            level_lufs: -20.0,
            threshold_lufs: -26.0,
            sibilance_lufs: -20.0 + before_lu,
            sibilance_gain_db: gain_db,
            voice_detected: true,
            ..HopReport::default()
        };
        self.writer.add(&report, &self.settings);
    }

    fn starts_s(&self) -> Vec<f64> {
        let sibilants = self.reader.snapshot().sibilants;
        sibilants.iter().map(|sibilant| sibilant.start_s).collect()
    }

    /// Checks that a sibilant was noted in each of these seconds, to a hop.
    fn expect_seconds(&self, seconds: &[i32]) {
        let starts = self.starts_s();
        assert_eq!(starts.len(), seconds.len(), "{starts:?}");
        for (start_s, second) in starts.iter().zip(seconds) {
            let late_s = start_s - f64::from(*second) - 0.45;
            assert!((-6e-4..2e-3).contains(&late_s), "{start_s} for {second}");
        }
    }
}

#[test]
fn a_song_is_noted_by_position() {
    let mut rig = Rig::new();
    rig.play(0.0, 5.0);
    rig.expect_seconds(&[0, 1, 2, 3, 4]);
    let song = rig.reader.snapshot();
    assert_eq!(
        (song.timing, song.start_s, song.cells.len()),
        (NoteTiming::Song, 0.0, 49)
    );
    let cells: Vec<NotedCell> = song.cells.iter().flatten().copied().collect();
    assert_eq!(cells.len(), 49);
    assert!(cells.iter().all(|cell| cell.threshold_lufs == -26.0));
    let sibilant = song.sibilants[2];
    let levels = [sibilant.before_lu, sibilant.asked_lu, sibilant.left_lu];
    for (level, expected) in levels.iter().zip([1.0, -4.5, -4.0]) {
        assert!((level - expected).abs() < 0.4, "{levels:?}");
    }
    assert!((levels[2] + 4.0).abs() < 0.011 && !sibilant.is_limited);
    let position_s = song.position_s.unwrap();
    assert!((position_s - 5.0).abs() < 0.01, "{position_s}");
}

#[test]
fn what_is_played_again_replaces_what_stood_there() {
    let mut rig = Rig::new();
    rig.play(0.0, 6.0);
    // The third second is sung otherwise, and Range is short.
    rig.sibilant = (10.0, -3.0);
    rig.settings.sibilance.range_db = 3.0;
    rig.play(2.0, 3.0);
    rig.expect_seconds(&[0, 1, 2, 3, 4, 5]);
    let limited: Vec<bool> = rig
        .reader
        .snapshot()
        .sibilants
        .iter()
        .map(|s| s.is_limited)
        .collect();
    assert_eq!(limited, [false, false, true, false, false, false]);
}

#[test]
fn an_edit_of_the_song_is_seen_on_the_next_pass() {
    let mut rig = Rig::new();
    rig.play(0.0, 6.0);
    // The sound of 2 to 4 s is silence now.
    for song in (96_000..192_000).step_by(HOP as usize) {
        rig.block(Some(song), true, LAG);
    }
    rig.expect_seconds(&[0, 1, 4, 5]);
}

#[test]
fn loops_and_jumps_count_each_sibilant_once() {
    let mut rig = Rig::new();
    for _ in 0..5 {
        rig.play(1.0, 3.0);
    }
    rig.expect_seconds(&[1, 2]);
    // A start within a sibilant: its beginning was not heard.
    rig.play(7.5, 9.0);
    rig.expect_seconds(&[1, 2, 8]);
    // A loop that ends within a sibilant.
    for _ in 0..3 {
        rig.play(4.0, 4.5);
    }
    // What sounds when playback stops has ended.
    (0..4).for_each(|_| rig.block(Some(0), false, 0));
    rig.expect_seconds(&[1, 2, 4, 8]);
}

#[test]
fn a_song_may_start_before_zero_or_an_hour_later() {
    for start_s in [-7.0, 3600.0, -100_000.0] {
        let mut rig = Rig::new();
        rig.play(start_s, start_s + 5.0);
        let first = start_s as i32;
        rig.expect_seconds(&[first, first + 1, first + 2, first + 3, first + 4]);
        let song = rig.reader.snapshot();
        assert!((song.start_s - start_s).abs() < 0.11, "{}", song.start_s);
    }
    let mut rig = Rig::new();
    for sample in [i64::MIN, i64::MAX, 0] {
        rig.block(Some(sample), true, 0);
    }
    assert!(rig.starts_s().is_empty());
}

#[test]
fn what_lies_more_than_the_ring_apart_takes_the_place_of_the_older() {
    let ring_s = PAGES as f64 * 2.0;
    let mut rig = Rig::new();
    rig.play(0.0, 6.0);
    rig.play(ring_s + 2.0, ring_s + 4.0);
    let song = rig.reader.snapshot();
    assert!(
        song.sibilants
            .iter()
            .all(|sibilant| !(2.0..4.0).contains(&sibilant.start_s))
    );
    assert_eq!(song.position_s.unwrap().round(), ring_s + 4.0);
}

#[test]
fn without_a_position_time_counts_since_playback_began() {
    let mut rig = Rig::new();
    for block in 0..3000 {
        rig.block(None, block >= 750, (block - 750) * HOP);
    }
    let song = rig.reader.snapshot();
    assert_eq!(song.timing, NoteTiming::SincePlayback);
    assert!(song.bar(1.0).is_none());
    rig.expect_seconds(&[0, 1, 2]);
    // A host that tells positions after all begins anew, and keeps to them.
    rig.play(10.0, 12.0);
    rig.expect_seconds(&[10, 11]);
    rig.block(None, false, 0);
    assert_eq!(rig.reader.snapshot().timing, NoteTiming::Song);
    rig.expect_seconds(&[10, 11]);
}

#[test]
fn nothing_is_noted_while_the_song_stands_still() {
    let mut rig = Rig::new();
    for hop in 0..3000 {
        rig.block(Some(48_000), false, hop * HOP);
    }
    let song = rig.reader.snapshot();
    assert!(song.cells.is_empty() && song.sibilants.is_empty());
    assert_eq!(song.timing, NoteTiming::Song);
}

#[test]
fn clear_empties_at_once_and_for_good() {
    let mut rig = Rig::new();
    rig.play(0.0, 4.0);
    let before = rig.reader.changes().now();
    rig.reader.clear();
    assert_ne!(rig.reader.changes().now(), before);
    assert_eq!(rig.reader.snapshot(), SongSnapshot::default());
    rig.play(2.0, 4.0);
    rig.expect_seconds(&[2, 3]);
}

#[test]
fn bars_follow_changes_of_tempo() {
    let mut rig = Rig::new();
    rig.play(0.0, 8.0);
    let bar = |rig: &Rig, seconds: f64| {
        let bar = rig.reader.snapshot().bar(seconds).unwrap();
        (bar.number, (10.0 * bar.beat()).round() / 10.0)
    };
    assert_eq!([bar(&rig, 0.0), bar(&rig, 3.25)], [(1, 1.0), (2, 3.5)]);
    // The same place at half the tempo.
    rig.tempo_bpm = 60.0;
    rig.play(4.0, 7.0);
    assert_eq!([bar(&rig, 3.25), bar(&rig, 5.5)], [(2, 3.5), (2, 2.5)]);
    assert!(rig.reader.snapshot().bar(400.0).is_none());
}

#[test]
fn more_sibilants_than_places_leave_the_newest() {
    let mut rig = Rig::new();
    let settings = rig.settings;
    // 25 a second; hops are a millisecond apart.
    rig.writer.set_clock(1000.0, 1);
    let seconds = 300;
    for sample in 0..seconds * 1000 {
        let place = HostPlace {
            is_playing: true,
            song_sample: Some(sample),
            bar: None,
        };
        rig.writer.begin_block(&place, sample);
        let report = HopReport {
            centre_sample: sample,
            class: if sample % 40 < 24 {
                Class::Sibilant
            } else {
                Class::Voice
            },
            voice_detected: true,
            ..HopReport::default()
        };
        rig.writer.add(&report, &settings);
    }
    let starts = rig.starts_s();
    assert!(starts.len() > SIBILANTS - 60, "{}", starts.len());
    assert!(starts.last().unwrap() + 0.2 > seconds as f64);
}

#[test]
fn a_bypassed_insert_asks_for_nothing() {
    let mut rig = Rig::new();
    rig.settings.output.bypass = true;
    rig.play(0.0, 1.0);
    let [sibilant] = rig.reader.snapshot().sibilants[..] else {
        panic!("one sibilant")
    };
    assert_eq!(sibilant.asked_lu, sibilant.before_lu);
    assert_eq!(sibilant.left_lu, sibilant.before_lu);
}

#[test]
fn notes_are_read_while_they_are_written() {
    let mut rig = Rig::new();
    let reader = rig.reader.clone();
    let changes = reader.changes();
    let writing = std::thread::spawn(move || {
        for pass in 0..40 {
            rig.sibilant.0 = pass as f32 * 0.25;
            rig.play(0.0, 4.0);
        }
    });
    let mut reads = 0;
    while !writing.is_finished() {
        for sibilant in reader.snapshot().sibilants {
            let second = sibilant.start_s.rem_euclid(1.0);
            assert!((0.449..0.453).contains(&second), "{sibilant:?}");
            assert!(
                (sibilant.before_lu - sibilant.left_lu - 5.0).abs() < 0.03,
                "{sibilant:?}"
            );
        }
        reads += 1;
    }
    writing.join().unwrap();
    assert!(reads > 0 && changes.now() > 0);
}

#[test]
fn levels_survive_packing_to_a_hundredth() {
    for (before, asked, left) in [(0.0, -6.01, -5.5), (-40.3, -41.0, -40.9), (20.0, 5.0, 8.0)] {
        let noted = NotedSibilant {
            start_s: 1499.9,
            before_lu: before,
            asked_lu: asked,
            left_lu: left,
            is_limited: true,
        };
        let word = noted.pack(749, 1_499_900 * 2);
        let back = NotedSibilant::unpack(word, |slot| (slot == 749).then_some(749)).unwrap();
        let pairs = [
            (back.before_lu, before),
            (back.asked_lu, asked),
            (back.left_lu, left),
        ];
        assert!(
            pairs.iter().all(|(got, put)| (got - put).abs() < 0.011),
            "{back:?}"
        );
        assert!((back.start_s - 1499.9).abs() < 1e-6 && back.is_limited);
    }
    assert_eq!(NotedSibilant::unpack(0, |_| Some(0)), None);
    let bar = Bar {
        number: -3,
        quarters: 3.25,
        metre: (7, 8),
        tempo_bpm: 123.5,
    };
    assert_eq!(Bar::unpack(bar.pack()), Some(bar));
}
