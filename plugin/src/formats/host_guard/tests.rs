//! Blocks of correct and of broken hosts.

use super::*;

fn guard(main: usize, reference: usize) -> HostGuard {
    let guard = HostGuard::default();
    guard.configure(Layout { main, reference }, 64);
    guard
}

fn check(guard: &HostGuard, samples: usize, buses: [HostBus; 3]) -> Option<CheckedBlock> {
    let [input, reference, output] = buses;
    // SAFETY: `bus` makes lists of the length that it states.
    unsafe { guard.try_lock().unwrap().check(samples, input, reference, output) }
}

fn bus(channels: &mut [*mut f32]) -> HostBus {
    HostBus::narrow(channels.as_mut_ptr(), channels.len())
}

#[test]
fn present_channels_are_passed_on() {
    let mut sound = [1.0f32, 2.0, 3.0];
    let [one, two, three] = sound.each_mut().map(std::ptr::from_mut);
    let (mut input, mut output) = ([one, two], [three, one]);
    let block = check(
        &guard(2, 0),
        1000,
        [bus(&mut input), HostBus::MISSING, bus(&mut output)],
    )
    .unwrap();
    assert_eq!(block.main_input, input);
    assert_eq!(block.main_output, Some(output));
}

#[test]
fn missing_inputs_are_silence() {
    let mut sound = [1.0f32; 64];
    let here = sound.as_mut_ptr();
    let null = std::ptr::null_mut();
    for mut list in [vec![here], vec![here, null]] {
        let guard = guard(2, 2);
        let block = check(&guard, 64, [bus(&mut list), HostBus::MISSING, HostBus::MISSING]).unwrap();
        assert_eq!(block.main_input[0], here);
        for silent in [block.main_input[1], block.reference[0], block.reference[1]] {
            // SAFETY: the silence of a block of 64 samples.
            let samples = unsafe { std::slice::from_raw_parts(silent, 64) };
            assert_eq!(samples, [0.0; 64]);
        }
        assert_eq!(block.main_output, None);
    }
}

#[test]
fn longer_block_with_missing_input_is_refused() {
    assert!(check(&guard(1, 0), 65, [HostBus::MISSING; 3]).is_none());
    assert!(check(&guard(1, 0), 64, [HostBus::MISSING; 3]).is_some());
}

#[test]
fn surplus_channels_are_left_out() {
    let mut sound = [1.0f32; 3];
    let mut list = sound.each_mut().map(std::ptr::from_mut);
    let buses = [bus(&mut list), HostBus::MISSING, bus(&mut list)];
    let block = check(&guard(1, 0), 1, buses).unwrap();
    assert_eq!(block.main_input, [list[0], std::ptr::null_mut()]);
    assert_eq!(block.main_output, Some([list[0], std::ptr::null_mut()]));
}

#[test]
fn wide_samples_are_processed_in_the_output_and_widened() {
    let (mut input, mut output) = ([0.1f64, -2.0, 3.0], [9.0f64; 3]);
    let mut reference = [0.25f64; 3];
    let guard = guard(1, 1);
    let (mut ins, mut refs, mut outs) = (
        [input.as_mut_ptr()],
        [reference.as_mut_ptr()],
        [output.as_mut_ptr()],
    );
    let buses = [&mut ins, &mut refs, &mut outs].map(|list| HostBus::wide(list.as_mut_ptr(), 1));
    let block = check(&guard, 3, buses).unwrap();
    let [into, _] = block.main_output.unwrap();
    assert_eq!(block.main_input[0], into);
    // SAFETY: three samples of 32 bits each; the output holds three of 64.
    unsafe {
        assert_eq!(std::slice::from_raw_parts(into, 3), [0.1f32, -2.0, 3.0]);
        assert_eq!(std::slice::from_raw_parts(block.reference[0], 3), [0.25f32; 3]);
        *into.add(1) = 0.5;
        block.finish();
    }
    assert_eq!(output, [f64::from(0.1f32), 0.5, 3.0]);
    assert_eq!(input, [0.1, -2.0, 3.0], "the input is the host's");
}

#[test]
fn wide_samples_in_place_keep_their_order() {
    let mut sound: [f64; 5] = [1.0, 2.0, 3.0, 4.0, 5.0];
    let (mut ins, mut outs) = ([sound.as_mut_ptr()], [sound.as_mut_ptr()]);
    let buses = [
        HostBus::wide(ins.as_mut_ptr(), 1),
        HostBus::MISSING,
        HostBus::wide(outs.as_mut_ptr(), 1),
    ];
    let block = check(&guard(1, 0), 5, buses).unwrap();
    // SAFETY: the sound is there for the block.
    unsafe { block.finish() };
    assert_eq!(sound, [1.0, 2.0, 3.0, 4.0, 5.0]);
}
