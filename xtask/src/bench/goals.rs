//! What was asked for, and whether it is so.

use siskin_tests::measurement::bench::{EngineLoad, InsertLoad, Peer, STACK, Setting};

use super::entries::{self, INSTANCES, TIMES};
use super::measured::Measured;

/// One goal.
pub struct Goal {
    /// What is measured.
    pub measure: &'static str,
    /// What is asked for.
    pub asked: String,
    /// What was measured.
    pub figure: f64,
    /// The figure for a person.
    pub text: String,
    /// Whether it is met. What was not measured is not.
    pub met: bool,
}

fn at_most(measure: &'static str, most: f64, figure: f64, unit: &str) -> Goal {
    Goal {
        measure,
        asked: format!("<= {most}{unit}"),
        figure,
        text: format!("{figure:.2}{unit}"),
        met: figure <= most,
    }
}

fn below(measure: &'static str, bound: f64, figure: f64, unit: &str) -> Goal {
    Goal {
        asked: format!("< {bound}{unit}"),
        met: figure < bound,
        ..at_most(measure, bound, figure, unit)
    }
}

fn at_least(measure: &'static str, least: f64, figure: f64, unit: &str) -> Goal {
    Goal {
        asked: format!(">= {least}{unit}"),
        met: figure >= least,
        ..at_most(measure, least, figure, unit)
    }
}

/// All goals.
pub fn of(measured: &Measured) -> Vec<Goal> {
    let mut goals = speed(measured);
    goals.extend(growth(measured));
    let [mono, stereo] = measured.worst.map(|worst| worst.ratio());
    goals.push(at_most("worst block of 32 over the median, mono", 4.0, mono, ""));
    goals.push(at_most(
        "worst block of 32 over the median, stereo",
        4.0,
        stereo,
        "",
    ));
    let name = InsertLoad::new(2, Setting::AllOn).name();
    let bytes = measured.memory.iter().find(|(what, _)| *what == name);
    let kib = bytes.map_or(f64::NAN, |(_, bytes)| bytes / 1024.0);
    goals.push(at_most("memory of a stereo insert (CLAP)", 256.0, kib, " KiB"));
    for (measure, channels, setting) in [
        ("over the bound, mono, all on", 1, Setting::AllOn),
        ("over the bound, stereo, all on", 2, Setting::AllOn),
        ("over the bound, mono, as new", 1, Setting::AsNew),
        ("over the bound, stereo, as new", 2, Setting::AsNew),
    ] {
        let ns = measured.ns(&EngineLoad::new(channels, setting).name());
        goals.push(at_most(
            measure,
            1.5,
            ns / measured.bound_ns(channels, setting),
            " x",
        ));
    }
    goals
}

fn speed(measured: &Measured) -> Vec<Goal> {
    let engine = |channels, setting| measured.ns(&EngineLoad::new(channels, setting).name());
    let insert = |channels, setting| measured.ns(&InsertLoad::new(channels, setting).name());
    let peer = |peer: Peer, channels| measured.ns(&peer.name(channels));
    let mono = engine(1, Setting::AllOn);
    let three = peer(Peer::ThreeCompressors, 1);
    vec![
        at_least(
            "engine, mono, all on",
            1000.0,
            1e9 / (mono * 48_000.0),
            " x real time",
        ),
        at_least(
            "its speed over one plain Compressor's, mono",
            0.5,
            peer(Peer::OneCompressor, 1) / mono,
            " x",
        ),
        at_most(
            "stereo over mono, all on",
            1.6,
            engine(2, Setting::AllOn) / mono,
            " x",
        ),
        at_most(
            "stereo over mono, as new",
            1.6,
            engine(2, Setting::AsNew) / engine(1, Setting::AsNew),
            " x",
        ),
        below(
            "cost over three Compressors', mono, all on",
            1.0,
            mono / three,
            " x",
        ),
        below(
            "cost over three Compressors', stereo, all on",
            1.0,
            engine(2, Setting::AllOn) / peer(Peer::ThreeCompressors, 2),
            " x",
        ),
        below(
            "the same, the CLAP bundle, mono, all on",
            1.0,
            insert(1, Setting::AllOn) / three,
            " x",
        ),
        below(
            "cost over the two-stage stack's, mono, all on",
            1.0,
            mono / measured.ns(STACK),
            " x",
        ),
    ]
}

fn growth(measured: &Measured) -> Vec<Goal> {
    let stereo = EngineLoad::new(2, Setting::AllOn);
    // How far the cost of a frame moves from that of the first, %, whichever way.
    let worst_percent = |first: EngineLoad, others: &[EngineLoad]| {
        let first_ns = measured.ns(&first.name());
        let changes = others
            .iter()
            .map(|other| measured.ns(&other.name()) / first_ns - 1.0);
        100.0 * changes.map(f64::abs).fold(0.0, f64::max)
    };
    let longer = worst_percent(stereo, &TIMES.map(|times| EngineLoad { times, ..stereo }));
    let alone = entries::alone();
    let among = INSTANCES.map(|instances| EngineLoad { instances, ..alone });
    let more = worst_percent(alone, &among);
    let rate = |channels| {
        let load = EngineLoad::new(channels, Setting::AllOn);
        let faster = EngineLoad {
            sample_rate_hz: 192_000.0,
            ..load
        };
        4.0 * measured.ns(&faster.name()) / measured.ns(&load.name())
    };
    vec![
        at_most(
            "change of a frame's cost, 20 and 40 s after 10 s",
            5.0,
            longer,
            " %",
        ),
        at_most(
            "change of a frame's cost, 8 to 128 engines after 1",
            5.0,
            more,
            " %",
        ),
        at_most("192 kHz over 48 kHz, mono", 4.2, rate(1), " x"),
        at_most("192 kHz over 48 kHz, stereo", 4.2, rate(2), " x"),
    ]
}
