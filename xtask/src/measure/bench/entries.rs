//! Who enters the contest.

use siskin_tests::measurement::bench::{EngineLoad, InsertLoad, Peer, Setting};

/// Sample rates, Hz; the second is where everything else is measured.
pub const RATES_HZ: [f64; 4] = [44_100.0, 48_000.0, 96_000.0, 192_000.0];
/// The rate of everything that is measured at one rate.
pub const MAIN_RATE_HZ: f64 = RATES_HZ[1];
/// Engines that take their blocks in turn.
pub const INSTANCES: [usize; 3] = [8, 32, 128];
/// How often ten seconds are played.
pub const TIMES: [usize; 2] = [2, 4];

/// Channels and settings.
const BOTH: [(usize, Setting); 4] = [
    (1, Setting::AsNew),
    (2, Setting::AsNew),
    (1, Setting::AllOn),
    (2, Setting::AllOn),
];

/// The engine alone: rates, a reference, and how the cost grows. Blocks, kinds of sound and calls are for `criterion`
/// (`cargo bench -p siskin-dsp`).
pub fn engines() -> Vec<EngineLoad> {
    let base = BOTH.map(|(channels, setting)| EngineLoad::new(channels, setting));
    let mut loads = Vec::new();
    for sample_rate_hz in RATES_HZ {
        loads.extend(base.map(|load| EngineLoad {
            sample_rate_hz,
            ..load
        }));
    }
    let stereo = EngineLoad::new(2, Setting::AllOn);
    loads.push(EngineLoad {
        reference: true,
        ..stereo
    });
    loads.extend(TIMES.map(|times| EngineLoad { times, ..stereo }));
    loads.extend(INSTANCES.map(|instances| EngineLoad { instances, ..alone() }));
    loads
}

/// One engine that plays the song as often as engines that take turns do together.
pub fn alone() -> EngineLoad {
    let [times, _] = TIMES;
    EngineLoad {
        times,
        ..EngineLoad::new(2, Setting::AllOn)
    }
}

/// The bundle in the host.
pub fn inserts() -> Vec<InsertLoad> {
    let mut loads: Vec<_> = BOTH
        .iter()
        .map(|&(channels, setting)| InsertLoad::new(channels, setting))
        .collect();
    let stereo = InsertLoad::new(2, Setting::AllOn);
    loads.push(InsertLoad {
        automated: true,
        ..InsertLoad::new(1, Setting::AllOn)
    });
    loads.push(InsertLoad {
        automated: true,
        ..stereo
    });
    loads.push(InsertLoad {
        follow: true,
        ..stereo
    });
    loads
}

/// What pedalboard plays, and on how many channels.
pub const PEERS: [(Peer, usize); 8] = [
    (Peer::OneCompressor, 1),
    (Peer::OneCompressor, 2),
    (Peer::ThreeCompressors, 1),
    (Peer::ThreeCompressors, 2),
    (Peer::Siskin(Setting::AsNew), 1),
    (Peer::Siskin(Setting::AsNew), 2),
    (Peer::Siskin(Setting::AllOn), 1),
    (Peer::Siskin(Setting::AllOn), 2),
];
