//! The plug-ins keep the rules that the formats' headers have for callbacks (docs/host-rules.md): each insert of these tests
//! panics at its end where it broke one. Here are the calls that lead them into temptation.

use std::sync::Barrier;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, strict_bundle};
use siskin_tests::hosts::fixtures::{RATE_HZ, both, every_insert, play, voice};
use siskin_tests::hosts::{HostBlock, Insert, ParamEvent, ProcessStatus, blocks};
use siskin_tests::measurement::voices::signals::noise;

/// Extensions that a host asks for.
const EXTENSIONS: [&std::ffi::CStr; 12] = [
    c"clap.audio-ports",
    c"clap.gain-adjustment-metering/0",
    c"clap.gui",
    c"clap.latency",
    c"clap.param-indication/4",
    c"clap.params",
    c"clap.preset-load/2",
    c"clap.remote-controls/2",
    c"clap.render",
    c"clap.state",
    c"clap.track-info/1",
    c"no.such.extension",
];

#[test]
fn inserts_survive_questions_before_init_and_an_end_without_it() {
    let bundle = strict_bundle();
    for descriptor in bundle.descriptors() {
        let uninitialised = bundle.uninitialised(&descriptor.id).unwrap();
        for extension in EXTENSIONS {
            let found = uninitialised.has_extension(extension);
            assert!(!found || extension != c"no.such.extension");
        }
        assert_eq!(uninitialised.callbacks(), 0, "CLAP allows callbacks from init on");
        drop(uninitialised);
        // A host that offers nothing; whether init fails or not, destroy follows.
        let mut bare = bundle.uninitialised(&descriptor.id).unwrap();
        let _initialised_or_not = bare.init();
        assert!(bare.callbacks() > 0, "init asks for extensions");
    }
    assert!(bundle.uninitialised("no.such.plug-in").is_err());
}

#[test]
fn latency_changes_are_announced_as_the_header_wants() {
    let lookahead = insert(SISKIN).parameter("look").unwrap().clap_id;
    for (name, mut insert) in every_insert() {
        let parameters = insert.parameters();
        let highest = parameters
            .iter()
            .find(|known| known.number == lookahead)
            .unwrap()
            .highest;
        for turn in 0..12_usize {
            let value = [0.0, highest][turn % 2];
            let event = ParamEvent::value(0, lookahead, value);
            if turn % 3 == 0 {
                insert.set(lookahead, value).unwrap();
            }
            insert.activate(RATE_HZ, 512).unwrap();
            // A flush, which in VST3 is a block without sound, then a block.
            match (turn % 3, &mut insert) {
                (1, Insert::Clap(plugin)) => drop(plugin.flush(&[event]).unwrap()),
                (1, Insert::Vst3(insert)) => {
                    insert.process(&mut HostBlock::without_sound(vec![event]));
                }
                (2, insert) => {
                    let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 512));
                    block.events = vec![event];
                    insert.process(&mut block).unwrap();
                }
                _ => {}
            }
            if turn % 2 == 0 {
                insert.wants_restart();
            }
            insert.deactivate();
            insert.wants_restart();
            insert.activate(RATE_HZ, 512).unwrap();
            let expected = [0, 14_400][turn % 2];
            assert_eq!(
                insert.latency_samples().unwrap(),
                expected,
                "{} {name}, {turn}",
                insert.format()
            );
            insert.deactivate();
        }
        let broken = insert.rules().take_broken();
        assert!(broken.is_empty(), "{} {name}: {broken:#?}", insert.format());
    }
}

#[test]
fn storms_of_activation_and_values_leave_an_insert_whole() {
    for (_, mut insert) in every_insert() {
        let parameters = insert.parameters();
        let mut shares = noise(7).map(|sample| f64::from(0.5 + 0.5 * sample));
        let mut below = |count: usize| ((shares.next().unwrap() * count as f64) as usize).min(count - 1);
        for turn in 0..200 {
            let parameter = &parameters[below(parameters.len())];
            let value = below(3) as f64 / 2.0 * parameter.highest;
            insert.set(parameter.number, value).unwrap();
            insert
                .activate([44_100.0, 48_000.0, 192_000.0][below(3)], 64)
                .unwrap();
            insert.set(parameter.number, parameter.highest - value).unwrap();
            if turn % 2 == 0 {
                insert.forget(turn % 4 == 0).unwrap();
                let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 64));
                block.events = vec![ParamEvent::value(9, parameter.number, value)];
                assert_ne!(insert.process(&mut block).unwrap(), ProcessStatus::Refused);
                assert!(block.output().iter().flatten().all(|sample| sample.is_finite()));
            }
            if turn % 3 == 0 {
                insert.wants_restart();
            }
            insert.deactivate();
        }
        let state = insert.save_state().unwrap();
        assert!(insert.load_state(&state));
        assert_eq!(insert.save_state().unwrap(), state);
    }
}

#[test]
fn states_load_in_vst3_during_processing() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let [_, insert] = both(name);
        let Insert::Vst3(mut insert) = insert else {
            panic!("no VST3");
        };
        let state = insert.save_state().unwrap();
        assert!(insert.activate(RATE_HZ, 64));
        let mut sound = blocks(&voice(1, 2, RATE_HZ, 240_000), &[64, 63]);
        let mut turns = 0;
        let statuses = insert.process_while(&mut sound, |insert| {
            assert!(insert.load_state(&state));
            assert_eq!(insert.save_state().as_ref(), Some(&state));
            turns += 1;
        });
        assert!(
            turns > 20 && !statuses.contains(&ProcessStatus::Refused),
            "{turns} turns"
        );
    }
}

#[test]
fn thirty_two_inserts_activate_at_once_on_threads_of_their_own() {
    const THREADS: usize = 32;
    let barrier = Barrier::new(THREADS);
    let barrier = &barrier;
    let work = move |thread: usize| {
        for turn in 0..6 {
            let mut inserts = both([SISKIN, SISKIN_FOLLOW][(thread + turn) % 2]);
            barrier.wait();
            for insert in &mut inserts {
                insert.activate(RATE_HZ, 512).unwrap();
                play(insert, &mut blocks(&voice(1, 2, RATE_HZ, 1024), &[512]));
            }
        }
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS)
            .map(|thread| scope.spawn(move || work(thread)))
            .collect();
        threads.into_iter().for_each(|thread| thread.join().unwrap());
    });
}
