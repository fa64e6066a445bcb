//! The edge of the reduction follows each sibilant: less is lost below its own band than with a fixed edge.

use siskin_dsp::Settings;
use siskin_tests::measurement::figures::moving_edge::{EdgeReading, FixedShelf, SibilantClass, read_edges};
use siskin_tests::measurement::figures::properties::Play;
use siskin_tests::measurement::levels::mean;
use siskin_tests::measurement::models::levelled_hard;
use siskin_tests::measurement::voices::corpus::{Corpus, Recording, from_song};
use siskin_tests::measurement::voices::singer::sing;

const FULL_BAND_HZ: f64 = 44_100.0;

fn readings(recording: &Recording, settings: &Settings) -> Vec<EdgeReading> {
    let rate_hz = recording.sample_rate_hz;
    let before = [levelled_hard(&recording.audio, rate_hz)];
    let after = Play::new(rate_hz, &before, settings).run().audio;
    let fixed = FixedShelf {
        from_hz: f64::from(settings.sibilance.from_hz),
        reach: f64::from(settings.sibilance.reach),
        sample_rate_hz: rate_hz,
    };
    read_edges(recording, (&before[0], &after[0]), &fixed)
}

fn figure(readings: &[EdgeReading], class: SibilantClass, say: fn(&EdgeReading) -> f64) -> f64 {
    let of_class = readings.iter().filter(|reading| reading.class == class);
    f64::from(mean(
        &of_class.map(|reading| say(reading) as f32).collect::<Vec<_>>(),
    ))
}

/// Prints, class by class, what was taken below the sibilants' own band.
fn print(name: &str, readings: &[EdgeReading]) {
    for class in SibilantClass::ALL {
        println!(
            "{name}, {}: {} sibilants, own band from {:.0} Hz, {:.1} dB taken; in the octave below {:.2} dB, with a fixed edge \
             {:.2} dB",
            class.name(),
            readings.iter().filter(|reading| reading.class == class).count(),
            figure(readings, class, |reading| reading.own_from_hz),
            figure(readings, class, |reading| reading.taken_db),
            figure(readings, class, |reading| reading.below_db),
            figure(readings, class, |reading| reading.fixed_below_db),
        );
    }
}

/// What is lost below the own band of s and z, on average, as a share of what a fixed edge would cost.
fn share_lost(readings: &[EdgeReading]) -> f64 {
    let high = readings
        .iter()
        .filter(|reading| matches!(reading.class, SibilantClass::S | SibilantClass::Z));
    let (lost, fixed) = high.fold((0.0, 0.0), |(lost, fixed), reading| {
        (lost + reading.below_db, fixed + reading.fixed_below_db)
    });
    lost / fixed
}

#[test]
fn s_and_z_of_the_singer_lose_half_as_much_below_their_band() {
    let songs = [1, 2026].map(|seed| from_song(&sing(48_000.0, seed)));
    let all: Vec<EdgeReading> = songs
        .iter()
        .flat_map(|song| readings(song, &Settings::default()))
        .collect();
    print("singer", &all);
    assert!(
        figure(&all, SibilantClass::S, |reading| reading.taken_db) > 4.0,
        "nothing was taken"
    );
    assert!(share_lost(&all) <= 0.6, "{}", share_lost(&all));
    for class in SibilantClass::ALL {
        let more_db = figure(&all, class, |reading| reading.below_db - reading.fixed_below_db);
        assert!(
            more_db <= 0.05,
            "{} lost {more_db} dB more than with a fixed edge",
            class.name()
        );
    }
}

#[test]
fn s_and_z_of_other_voices_lose_less_below_their_band_too() {
    let corpus = Corpus::of_this_run().unwrap();
    let full_band = corpus
        .recordings
        .iter()
        .filter(|recording| recording.sample_rate_hz >= FULL_BAND_HZ);
    let all: Vec<EdgeReading> = full_band
        .flat_map(|recording| readings(recording, &Settings::default()))
        .collect();
    print("real voices, full band", &all);
    assert!(all.len() > 100, "only {} sibilants", all.len());
    assert!(share_lost(&all) <= 0.7, "{}", share_lost(&all));
}

#[test]
fn the_fixed_edge_of_the_comparison_is_the_engines_own_where_the_edge_does_not_move() {
    // sh lies about Detect from, so its edge stays there: both must take the same.
    let song = from_song(&sing(48_000.0, 7));
    let mut settings = Settings::default();
    settings.sibilance.from_hz = 4500.0;
    let all = readings(&song, &settings);
    let sh = SibilantClass::Sh;
    let (below_db, fixed_db) = (
        figure(&all, sh, |reading| reading.below_db),
        figure(&all, sh, |reading| reading.fixed_below_db),
    );
    assert!(
        fixed_db > 0.1 && (below_db - fixed_db).abs() < 0.2,
        "{below_db} dB, {fixed_db} dB"
    );
}
