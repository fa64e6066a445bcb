//! What was asked for, and whether it is so.

use siskin_tests::measurement::bench::{EngineLoad, InsertLoad, Peer, STACK, Setting};

use siskin_tests::measurement::goal::{Goal, Verdict};

use super::entries::{self, INSTANCES, TIMES};
use super::measured::Measured;

fn verdict(what: &str, goal: Goal, figure: f64, unit: &str) -> Verdict {
    Verdict::of(what, goal, figure, 2, unit)
}

/// All goals.
pub fn of(measured: &Measured) -> Vec<Verdict> {
    let mut goals = speed(measured);
    goals.extend(growth(measured));
    let [mono, stereo] = measured.worst.map(|worst| worst.ratio());
    goals.push(verdict(
        "worst block of 32 over the median, mono",
        Goal::AtMost(4.0),
        mono,
        "",
    ));
    goals.push(verdict(
        "worst block of 32 over the median, stereo",
        Goal::AtMost(4.0),
        stereo,
        "",
    ));
    let name = InsertLoad::new(2, Setting::AllOn).name();
    let bytes = measured.memory.iter().find(|(what, _)| *what == name);
    let kib = bytes.map_or(f64::NAN, |(_, bytes)| bytes / 1024.0);
    goals.push(verdict(
        "memory of a stereo insert (CLAP)",
        Goal::AtMost(256.0),
        kib,
        "KiB",
    ));
    for (measure, channels, setting) in [
        ("over its stages alone, mono, all on", 1, Setting::AllOn),
        ("over its stages alone, stereo, all on", 2, Setting::AllOn),
        ("over its stages alone, mono, as new", 1, Setting::AsNew),
        ("over its stages alone, stereo, as new", 2, Setting::AsNew),
    ] {
        let ns = measured.ns(&EngineLoad::new(channels, setting).name());
        goals.push(verdict(
            measure,
            Goal::AtMost(1.5),
            ns / measured.bound_ns(channels, setting),
            "x",
        ));
    }
    goals
}

fn speed(measured: &Measured) -> Vec<Verdict> {
    let engine = |channels, setting| measured.ns(&EngineLoad::new(channels, setting).name());
    let insert = |channels, setting| measured.ns(&InsertLoad::new(channels, setting).name());
    let peer = |peer: Peer, channels| measured.ns(&peer.name(channels));
    let mono = engine(1, Setting::AllOn);
    let three = peer(Peer::ThreeCompressors, 1);
    vec![
        verdict(
            "engine, mono, all on",
            Goal::AtLeast(1000.0),
            1e9 / (mono * 48_000.0),
            "x real time",
        ),
        verdict(
            "its speed over one plain Compressor's, mono",
            Goal::AtLeast(0.5),
            peer(Peer::OneCompressor, 1) / mono,
            "x",
        ),
        verdict(
            "stereo over mono, all on",
            Goal::AtMost(1.6),
            engine(2, Setting::AllOn) / mono,
            "x",
        ),
        verdict(
            "stereo over mono, as new",
            Goal::AtMost(1.6),
            engine(2, Setting::AsNew) / engine(1, Setting::AsNew),
            "x",
        ),
        verdict(
            "cost over three Compressors', mono, all on",
            Goal::Below(1.0),
            mono / three,
            "x",
        ),
        verdict(
            "cost over three Compressors', stereo, all on",
            Goal::Below(1.0),
            engine(2, Setting::AllOn) / peer(Peer::ThreeCompressors, 2),
            "x",
        ),
        verdict(
            "the same, the CLAP bundle, mono, all on",
            Goal::Below(1.0),
            insert(1, Setting::AllOn) / three,
            "x",
        ),
        verdict(
            "cost over the two-stage stack's, mono, all on",
            Goal::Below(1.0),
            mono / measured.ns(STACK),
            "x",
        ),
    ]
}

fn growth(measured: &Measured) -> Vec<Verdict> {
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
        verdict(
            "change of a frame's cost, 20 and 40 s after 10 s",
            Goal::AtMost(5.0),
            longer,
            "%",
        ),
        verdict(
            "change of a frame's cost, 8 to 128 engines after 1",
            Goal::AtMost(5.0),
            more,
            "%",
        ),
        verdict("192 kHz over 48 kHz, mono", Goal::AtMost(4.2), rate(1), "x"),
        verdict("192 kHz over 48 kHz, stereo", Goal::AtMost(4.2), rate(2), "x"),
    ]
}
