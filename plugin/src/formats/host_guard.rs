//! Checks what a host passes with a block before the framework reads it.
//!
//! The framework (nice-plug 0.4.2) trusts its host: where a side-chain bus is missing it reads behind the end of the list
//! of buses, a null channel ends the program, more channels than the layout has panic. So each block is checked first, in
//! either format: a missing input is silence, surplus channels are left out, and without an output nothing is processed.
//! The check neither waits nor allocates.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// The most channels of one port.
pub const MOST_CHANNELS: usize = 2;

/// Pointers to the channels of one port, as far as it has them.
pub type Channels = [*mut f32; MOST_CHANNELS];

/// Channels of the ports of a layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Layout {
    /// Of the main input, which are those of the main output.
    pub main: usize,
    /// Of the side-chain; 0 where there is none.
    pub reference: usize,
}

/// One bus as a host passes it.
#[derive(Debug, Clone, Copy)]
pub struct HostBus {
    /// One pointer a channel; may be null.
    pub channels: *mut *mut f32,
    /// How many there are.
    pub count: usize,
}

impl HostBus {
    /// A bus that the host did not pass.
    pub const MISSING: Self = Self {
        channels: std::ptr::null_mut(),
        count: 0,
    };

    /// A channel, if it is there.
    ///
    /// # Safety
    ///
    /// `channels` is null or holds `count` pointers.
    unsafe fn channel(&self, index: usize) -> Option<*mut f32> {
        if self.channels.is_null() || index >= self.count {
            return None;
        }
        // SAFETY: `index < count`, and the list holds `count` pointers.
        let channel = unsafe { *self.channels.add(index) };
        (!channel.is_null()).then_some(channel)
    }
}

/// A block as the framework may read it.
#[derive(Debug, Clone, Copy)]
pub struct CheckedBlock {
    /// Every channel of the main input.
    pub main_input: Channels,
    /// Every channel of the side-chain, where the layout has one.
    pub reference: Channels,
    /// Every channel of the main output, or none where one is missing.
    pub main_output: Option<Channels>,
}

/// The layout and block length that a host activated with.
#[derive(Debug, Default)]
pub struct HostLayout {
    layout: Layout,
    /// In place of inputs that are missing. Only read, though the framework's pointers are mutable.
    silence: Vec<f32>,
}

impl HostLayout {
    /// The present layout.
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// Checks a block of `samples` samples. `None` where an input is missing and the block is longer than the host announced,
    /// so that no silence is long enough to replace it.
    ///
    /// # Safety
    ///
    /// Each list of channels is null or as long as it says.
    pub unsafe fn check(
        &mut self,
        samples: usize,
        main_input: HostBus,
        reference: HostBus,
        main_output: HostBus,
    ) -> Option<CheckedBlock> {
        let silence = (samples <= self.silence.len()).then_some(self.silence.as_mut_ptr());
        let input = |bus: HostBus, count: usize| -> Option<Channels> {
            let mut channels = [std::ptr::null_mut(); MOST_CHANNELS];
            for (index, channel) in channels.iter_mut().take(count).enumerate() {
                // SAFETY: the caller's promise on the lists.
                *channel = unsafe { bus.channel(index) }.or(silence)?;
            }
            Some(channels)
        };
        let output = || -> Option<Channels> {
            let mut channels = [std::ptr::null_mut(); MOST_CHANNELS];
            for (index, channel) in channels.iter_mut().take(self.layout.main).enumerate() {
                // SAFETY: the caller's promise on the lists.
                *channel = unsafe { main_output.channel(index) }?;
            }
            Some(channels)
        };
        Some(CheckedBlock {
            main_input: input(main_input, self.layout.main)?,
            reference: input(reference, self.layout.reference)?,
            main_output: output(),
        })
    }
}

/// The host's layout, written by the main thread while no sound runs and read by the audio thread.
#[derive(Debug, Default)]
pub struct HostGuard(Mutex<HostLayout>);

impl HostGuard {
    /// On the main thread, before sound runs: sets the layout and the most samples of a block.
    pub fn configure(&self, layout: Layout, most_samples: usize) {
        let limited = Layout {
            main: layout.main.min(MOST_CHANNELS),
            reference: layout.reference.min(MOST_CHANNELS),
        };
        let configured = HostLayout {
            layout: limited,
            silence: vec![0.0; most_samples],
        };
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = configured;
    }

    /// On the audio thread: the layout, or `None` while the host activates at the same time, against the rules.
    pub fn try_lock(&self) -> Option<MutexGuard<'_, HostLayout>> {
        self.0.try_lock().ok()
    }
}

#[cfg(test)]
mod tests {
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
        HostBus {
            channels: channels.as_mut_ptr(),
            count: channels.len(),
        }
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
}
