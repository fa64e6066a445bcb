//! What was asked for, and whether it is so.

use siskin_dsp::{Channels, Lookahead};
use siskin_tests::measurement::bench::{Counted, EngineLoad, InsertLoad, Peer, STACK, Setting};
use siskin_tests::measurement::goal::{Goal, Verdict};

use super::entries::{self, INSTANCES, TIMES};
use super::instructions::Instructions;
use super::measured::Measured;

/// A goal, what was measured, and its unit.
type Held = (&'static str, Goal, f64, &'static str);

/// All goals.
pub fn of(measured: &Measured) -> Vec<Verdict> {
    let held = speed(measured)
        .into_iter()
        .chain(growth(measured))
        .chain(size(measured))
        .chain(bound(measured))
        .chain(dearer(&measured.instructions));
    verdicts(held)
}

/// The goals of what is counted and not timed.
pub fn of_instructions(counted: &[Instructions]) -> Vec<Verdict> {
    verdicts(dearer(counted).into_iter())
}

fn verdicts(held: impl Iterator<Item = Held>) -> Vec<Verdict> {
    held.map(|(what, goal, figure, unit)| Verdict::of(what, goal, figure, 2, unit))
        .collect()
}

/// What costs more than the usual, over that, in instructions, blocks of 512; no number where nothing was counted.
fn dearer(counted: &[Instructions]) -> [Held; 6] {
    let usual = |channels, setting| Counted {
        channels,
        link: Channels::Linked,
        setting,
        block: 512,
        lookahead: Lookahead::Long,
    };
    let mixing = |usual| Counted {
        lookahead: Lookahead::Mixing,
        ..usual
    };
    let apart = |setting| Counted {
        link: Channels::Apart,
        ..usual(2, setting)
    };
    let a_frame = |wanted| {
        let found = counted.iter().find(|one| one.counted == wanted);
        found.map_or(f64::NAN, |one| one.a_frame)
    };
    let over = |dear, cheap| a_frame(dear) / a_frame(cheap);
    let longer = |channels, setting| over(mixing(usual(channels, setting)), usual(channels, setting));
    let (new, on) = (Setting::AsNew, Setting::AllOn);
    #[rustfmt::skip]
    let held = [
        ("300 ms over 5 ms of lookahead, mono, all on", Goal::AtMost(1.2), longer(1, on), "x"),
        ("300 ms over 5 ms of lookahead, stereo, all on", Goal::AtMost(1.2), longer(2, on), "x"),
        ("300 ms over 5 ms of lookahead, mono, as new", Goal::AtMost(1.2), longer(1, new), "x"),
        ("300 ms over 5 ms of lookahead, stereo, as new", Goal::AtMost(1.2), longer(2, new), "x"),
        ("stereo with channels apart over mono, all on", Goal::AtMost(2.0), over(apart(on), usual(1, on)), "x"),
        ("stereo with channels apart over mono, as new", Goal::AtMost(2.0), over(apart(new), usual(1, new)), "x"),
    ];
    held
}

fn speed(measured: &Measured) -> [Held; 12] {
    let engine = |channels, setting| measured.ns(&EngineLoad::new(channels, setting).name());
    let insert = |channels, setting| measured.ns(&InsertLoad::new(channels, setting).name());
    let peer = |peer: Peer, channels| measured.ns(&peer.name(channels));
    let (mono, stereo) = (engine(1, Setting::AllOn), engine(2, Setting::AllOn));
    let [three_mono, three_stereo] = [1, 2].map(|channels| peer(Peer::ThreeCompressors, channels));
    let [vst3_mono, vst3_stereo] = [1, 2].map(|channels| peer(Peer::Siskin(Setting::AllOn), channels));
    let automation = |channels| {
        let still = InsertLoad::new(channels, Setting::AllOn);
        let moving = InsertLoad {
            automated: true,
            ..still
        };
        measured.ns(&moving.name()) / measured.ns(&still.name())
    };
    #[rustfmt::skip]
    let held = [
        ("engine, mono, all on", Goal::AtLeast(1000.0), 1e9 / (mono * 48_000.0), "x real time"),
        ("its speed over one plain Compressor's, mono", Goal::AtLeast(0.5), peer(Peer::OneCompressor, 1) / mono, "x"),
        ("stereo over mono, all on", Goal::AtMost(1.6), stereo / mono, "x"),
        ("stereo over mono, as new", Goal::AtMost(1.6), engine(2, Setting::AsNew) / engine(1, Setting::AsNew), "x"),
        ("cost over three Compressors', mono, all on", Goal::AtMost(0.8), mono / three_mono, "x"),
        ("cost over three Compressors', stereo, all on", Goal::AtMost(0.6), stereo / three_stereo, "x"),
        ("the same, the VST3 bundle, mono, all on", Goal::AtMost(0.8), vst3_mono / three_mono, "x"),
        ("the same, the VST3 bundle, stereo, all on", Goal::AtMost(0.6), vst3_stereo / three_stereo, "x"),
        ("the same, the CLAP bundle, mono, all on", Goal::AtMost(0.8), insert(1, Setting::AllOn) / three_mono, "x"),
        ("four parameters automated over none, mono", Goal::AtMost(1.15), automation(1), "x"),
        ("four parameters automated over none, stereo", Goal::AtMost(1.15), automation(2), "x"),
        ("cost over the two-stage stack's, mono, all on", Goal::Below(1.0), mono / measured.ns(STACK), "x"),
    ];
    held
}

fn growth(measured: &Measured) -> [Held; 4] {
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
    let [mono_rate, stereo_rate] = [1, 2].map(|channels| {
        let load = EngineLoad::new(channels, Setting::AllOn);
        let faster = EngineLoad {
            sample_rate_hz: 192_000.0,
            ..load
        };
        4.0 * measured.ns(&faster.name()) / measured.ns(&load.name())
    });
    let few_percent = Goal::AtMost(5.0);
    [
        (
            "change of a frame's cost, 20 and 40 s after 10 s",
            few_percent,
            longer,
            "%",
        ),
        (
            "change of a frame's cost, 8 to 128 engines after 1",
            few_percent,
            more,
            "%",
        ),
        ("192 kHz over 48 kHz, mono", Goal::AtMost(4.2), mono_rate, "x"),
        ("192 kHz over 48 kHz, stereo", Goal::AtMost(4.2), stereo_rate, "x"),
    ]
}

fn size(measured: &Measured) -> [Held; 3] {
    let [mono, stereo] = measured.worst.map(|worst| worst.ratio());
    let name = InsertLoad::new(2, Setting::AllOn).name();
    let bytes = measured.memory.iter().find(|(what, _)| *what == name);
    let kib = bytes.map_or(f64::NAN, |(_, bytes)| bytes / 1024.0);
    let flat = Goal::AtMost(3.0);
    [
        ("worst block of 32 over the median, mono", flat, mono, ""),
        ("worst block of 32 over the median, stereo", flat, stereo, ""),
        (
            "memory of a stereo insert (CLAP), notes of the song (96) included",
            Goal::AtMost(352.0),
            kib,
            "KiB",
        ),
    ]
}

fn bound(measured: &Measured) -> [Held; 4] {
    [
        ("over its stages alone, mono, all on", 1, Setting::AllOn),
        ("over its stages alone, stereo, all on", 2, Setting::AllOn),
        ("over its stages alone, mono, as new", 1, Setting::AsNew),
        ("over its stages alone, stereo, as new", 2, Setting::AsNew),
    ]
    .map(|(what, channels, setting)| {
        let ns = measured.ns(&EngineLoad::new(channels, setting).name());
        (
            what,
            Goal::AtMost(1.5),
            ns / measured.bound_ns(channels, setting),
            "x",
        )
    })
}
