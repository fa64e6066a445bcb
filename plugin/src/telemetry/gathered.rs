//! Spectra for the editor: means over one class, at most thirty a second.

use siskin_dsp::{Class, SpectrumView};

/// Bins of a spectrum that is passed on: 22 kHz at the 172 ... 188 Hz that every usual rate has.
pub const SPECTRUM_BINS: usize = 128;
/// Seconds between two spectra of a class that goes on.
const SPECTRUM_EVERY_S: f32 = 1.0 / 30.0;

/// The mean spectrum of some hops of one class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpectrumFrame {
    /// The class of the hops.
    pub class: Class,
    /// From one bin to the next, Hz; bin 0 is 0 Hz.
    pub bin_hz: f32,
    /// K-weighted mean square per bin at the input, linear.
    pub powers: [f32; SPECTRUM_BINS],
}

/// Collects spectra of one class for their mean.
pub(super) struct Gathered {
    frame: SpectrumFrame,
    windows: u32,
    lasted_s: f32,
}

impl Default for Gathered {
    fn default() -> Self {
        Self {
            frame: SpectrumFrame {
                class: Class::Quiet,
                bin_hz: 0.0,
                powers: [0.0; SPECTRUM_BINS],
            },
            windows: 0,
            lasted_s: 0.0,
        }
    }
}

impl Gathered {
    /// Adds a window; gives the mean of those before when the class has changed, or of all when it is time.
    pub fn add(&mut self, class: Class, spectrum: SpectrumView<'_>, block_s: f32) -> Option<SpectrumFrame> {
        let before = (class != self.frame.class).then(|| self.take()).flatten();
        self.frame.class = class;
        self.frame.bin_hz = spectrum.bin_hz;
        for (sum, power) in self.frame.powers.iter_mut().zip(spectrum.powers) {
            *sum += power;
        }
        self.windows += 1;
        self.lasted_s += block_s;
        before.or_else(|| (self.lasted_s >= SPECTRUM_EVERY_S).then(|| self.take()).flatten())
    }

    fn take(&mut self) -> Option<SpectrumFrame> {
        let share = 1.0 / self.windows.max(1) as f32;
        let mut frame = self.frame;
        frame.powers.iter_mut().for_each(|power| *power *= share);
        let any = self.windows > 0;
        *self = Self::default();
        any.then_some(frame)
    }
}
