//! Checks what a host passes with a block before the framework reads it.
//!
//! The framework (nice-plug 0.4.2) trusts its host: where a side-chain bus is missing it reads behind the end of the list
//! of buses, a null channel ends the program, more channels than the layout has panic. So each block is checked first, in
//! either format: a missing input is silence, surplus channels are left out, and without an output nothing is processed.
//! Samples of 64 bits become 32, which the engine has, in the host's own output. The check neither waits nor allocates.

mod bus;
mod sample_size;
#[cfg(test)]
mod tests;

use std::sync::{Mutex, MutexGuard, PoisonError};

pub use bus::HostBus;

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

/// A block as the framework may read it.
#[derive(Debug, Clone, Copy)]
pub struct CheckedBlock {
    /// Every channel of the main input.
    pub main_input: Channels,
    /// Every channel of the side-chain, where the layout has one.
    pub reference: Channels,
    /// Every channel of the main output, or none where one is missing.
    pub main_output: Option<Channels>,
    /// Samples of a channel whose output has 64 bits; 0 where it has 32.
    wide_samples: usize,
}

impl CheckedBlock {
    /// Gives the host the samples of 64 bits that it asked for, once the framework has written 32.
    ///
    /// # Safety
    ///
    /// The host's buffers are those that the block was checked with.
    pub unsafe fn finish(&self) {
        if self.wide_samples > 0 {
            for channel in self
                .main_output
                .iter()
                .flatten()
                .filter(|channel| !channel.is_null())
            {
                // SAFETY: `check` found room for `wide_samples` samples of 64 bits behind each of these.
                unsafe { sample_size::widen_in_place(*channel, self.wide_samples) };
            }
        }
    }
}

/// The layout and block length that a host activated with.
#[derive(Debug, Default)]
pub struct HostLayout {
    layout: Layout,
    /// In place of inputs that are missing. Only read, though the framework's pointers are mutable.
    silence: Vec<f32>,
    /// In place of reference channels of 64 bits.
    narrowed: [Vec<f32>; MOST_CHANNELS],
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
        let wide = main_input.wide || main_output.wide;
        // SAFETY: the caller's promise on the lists.
        let outputs = unsafe { self.outputs(main_output) };
        let mut block = CheckedBlock {
            main_input: [std::ptr::null_mut(); MOST_CHANNELS],
            reference: [std::ptr::null_mut(); MOST_CHANNELS],
            main_output: outputs,
            wide_samples: if main_output.wide { samples } else { 0 },
        };
        for index in 0..self.layout.main {
            // SAFETY: the caller's promise on the lists.
            block.main_input[index] = match (unsafe { main_input.channel(index) }, outputs) {
                // The output's memory has room for the input at 32 bits, and the framework may process in place.
                (Some(input), Some(outputs)) if wide => {
                    // SAFETY: both hold `samples` samples of their size.
                    unsafe { sample_size::copy_narrow(input, main_input.wide, outputs[index], samples) };
                    outputs[index]
                }
                (Some(input), _) if !main_input.wide => input.cast(),
                _ => silence?,
            };
        }
        for index in 0..self.layout.reference {
            // SAFETY: the caller's promise on the lists.
            block.reference[index] = match unsafe { reference.channel(index) } {
                Some(input) if reference.wide => {
                    let narrowed = self.narrowed[index].get_mut(..samples)?.as_mut_ptr();
                    // SAFETY: both hold `samples` samples of their size.
                    unsafe { sample_size::copy_narrow(input, true, narrowed, samples) };
                    narrowed
                }
                Some(input) => input.cast(),
                None => silence?,
            };
        }
        Some(block)
    }

    /// Every channel of the main output, or none where one is missing.
    ///
    /// # Safety
    ///
    /// The list of channels is null or as long as it says.
    unsafe fn outputs(&self, main_output: HostBus) -> Option<Channels> {
        let mut channels = [std::ptr::null_mut(); MOST_CHANNELS];
        for (index, channel) in channels.iter_mut().take(self.layout.main).enumerate() {
            // SAFETY: the caller's promise on the list.
            *channel = unsafe { main_output.channel(index) }?.cast();
        }
        Some(channels)
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
            narrowed: std::array::from_fn(|channel| {
                vec![
                    0.0;
                    if channel < limited.reference {
                        most_samples
                    } else {
                        0
                    }
                ]
            }),
        };
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = configured;
    }

    /// On the audio thread: the layout, or `None` while the host activates at the same time, against the rules.
    pub fn try_lock(&self) -> Option<MutexGuard<'_, HostLayout>> {
        self.0.try_lock().ok()
    }
}
