//! From the audio thread to the editor: wait-free rings of the engine's reports and spectra, and a clock. One writer, one
//! reader. Nothing is written while the window is closed; when the reader is late the rings fill and later reports are
//! dropped.

mod gathered;

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use atomic_float::AtomicF32;
use gathered::Gathered;
pub use gathered::{SPECTRUM_BINS, SpectrumFrame};
use rtrb::{Consumer, Producer, RingBuffer};
use siskin_dsp::{Class, HopReport, SpectrumView};

/// The most reports that wait: 0.37 s, eleven frames of an editor. With the engine's 40 KiB an insert's own memory stays within 64.
const CAPACITY_HOPS: usize = 280;
/// The most spectra that wait: 0.4 s. A reader that is later misses some, which nothing counts.
const CAPACITY_SPECTRA: usize = 12;
/// What the rings may hold, bytes.
const MOST_BYTES: usize = 24 * 1024;
const _: () = assert!(
    CAPACITY_HOPS * size_of::<HopReport>() + CAPACITY_SPECTRA * size_of::<(u32, SpectrumFrame)>()
        <= MOST_BYTES
);
/// So long after the last sound the timeline shows only silence, and the editor may rest: its 8 s and a little more.
const REST_AFTER_S: f32 = 9.0;
/// A hop below this looks silent, LUFS.
const SILENCE_LUFS: f32 = -75.0;

/// Numbers that both threads may read at any time.
#[derive(Debug, Default)]
struct Shared {
    /// Counts the blocks that show something new.
    ticks: AtomicU32,
    sample_rate_hz: AtomicF32,
    hop_samples: AtomicU32,
}

/// The side of the audio thread.
pub struct TelemetryWriter {
    reports: Producer<HopReport>,
    /// Each with the number of reports written before it.
    spectra: Producer<(u32, SpectrumFrame)>,
    reports_written: u32,
    /// Greatest peaks of input and output in the reports that were dropped since the last one that was written, linear.
    dropped_peaks: [f32; 2],
    gathered: Gathered,
    shared: Arc<Shared>,
    sample_s: f32,
    hop_s: f32,
    silent_s: f32,
    class: Class,
}

/// The side of the editor.
pub struct TelemetryReader {
    reports: Consumer<HopReport>,
    spectra: Consumer<(u32, SpectrumFrame)>,
    reports_read: u32,
    shared: Arc<Shared>,
}

/// Tells whether anything new has come.
#[derive(Debug, Clone)]
pub struct Ticks(Arc<Shared>);

impl Ticks {
    /// A number that changes when something new has come.
    pub fn now(&self) -> u32 {
        self.0.ticks.load(Ordering::Relaxed)
    }
}

/// A writer and its reader.
#[must_use]
pub fn telemetry() -> (TelemetryWriter, TelemetryReader) {
    let (report_in, reports) = RingBuffer::new(CAPACITY_HOPS);
    let (spectrum_in, spectra) = RingBuffer::new(CAPACITY_SPECTRA);
    let shared = Arc::<Shared>::default();
    let writer = TelemetryWriter {
        reports: report_in,
        spectra: spectrum_in,
        reports_written: 0,
        dropped_peaks: [0.0; 2],
        gathered: Gathered::default(),
        shared: shared.clone(),
        sample_s: 0.0,
        hop_s: 0.0,
        silent_s: 0.0,
        class: Class::Quiet,
    };
    let reader = TelemetryReader {
        reports,
        spectra,
        reports_read: 0,
        shared,
    };
    (writer, reader)
}

impl TelemetryWriter {
    /// Sets the sample rate and the length of a hop.
    pub fn set_clock(&mut self, sample_rate_hz: f32, hop_samples: usize) {
        let shared = &self.shared;
        shared.sample_rate_hz.store(sample_rate_hz, Ordering::Relaxed);
        shared.hop_samples.store(hop_samples as u32, Ordering::Relaxed);
        self.sample_s = 1.0 / sample_rate_hz;
        self.hop_s = hop_samples as f32 * self.sample_s;
    }

    /// Passes a report on, or drops it when the ring is full or after a long silence. Neither waits nor allocates. The peaks
    /// of dropped reports go into the next one.
    pub fn write(&mut self, report: &HopReport) {
        self.class = report.class;
        let sounds = report.class != Class::Quiet || report.level_lufs > SILENCE_LUFS;
        self.silent_s = if sounds { 0.0 } else { self.silent_s + self.hop_s };
        if self.silent_s <= REST_AFTER_S {
            let [input, output] = self.dropped_peaks;
            let report = HopReport {
                input_peak: report.input_peak.max(input),
                output_peak: report.output_peak.max(output),
                ..*report
            };
            let is_full = self.reports.push(report).is_err();
            self.reports_written = self.reports_written.wrapping_add(u32::from(!is_full));
            self.dropped_peaks = if is_full {
                [report.input_peak, report.output_peak]
            } else {
                [0.0; 2]
            };
        }
    }

    /// Closes a block of `samples`, whose last window had this spectrum.
    pub fn end_block(&mut self, spectrum: SpectrumView<'_>, samples: usize) {
        let block_s = samples as f32 * self.sample_s;
        if self.silent_s > REST_AFTER_S {
            return;
        }
        if let Some(frame) = self.gathered.add(self.class, spectrum, block_s) {
            let _ring_is_full = self.spectra.push((self.reports_written, frame)).is_err();
        }
        self.shared.ticks.fetch_add(1, Ordering::Relaxed);
    }
}

impl TelemetryReader {
    /// The oldest report that waits.
    pub fn read(&mut self) -> Option<HopReport> {
        let report = self.reports.pop().ok()?;
        self.reports_read = self.reports_read.wrapping_add(1);
        Some(report)
    }

    /// The oldest spectrum that waits, once all reports written before it were read.
    pub fn read_due_spectrum(&mut self) -> Option<SpectrumFrame> {
        let &(after_reports, _) = self.spectra.peek().ok()?;
        // Both counters wrap; a spectrum that is still ahead has a small positive distance.
        let ahead = after_reports.wrapping_sub(self.reports_read) as i32;
        let (_, frame) = (ahead <= 0).then(|| self.spectra.pop().ok()).flatten()?;
        Some(frame)
    }

    /// Forgets all that waits.
    pub fn clear(&mut self) {
        while self.read().is_some() {}
        while self.read_due_spectrum().is_some() {}
    }

    /// Samples a second, and seconds from one report to the next; `None` until the insert was activated.
    pub fn clock(&self) -> Option<(f32, f32)> {
        let sample_rate_hz = self.shared.sample_rate_hz.load(Ordering::Relaxed);
        let hop_samples = self.shared.hop_samples.load(Ordering::Relaxed);
        (sample_rate_hz > 0.0).then(|| (sample_rate_hz, hop_samples as f32 / sample_rate_hz))
    }

    /// A way to ask whether anything new has come without reading it.
    pub fn ticks(&self) -> Ticks {
        Ticks(self.shared.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn report(centre_sample: i64) -> HopReport {
        HopReport {
            centre_sample,
            ..HopReport::default()
        }
    }

    fn spectrum(powers: &[f32]) -> SpectrumView<'_> {
        SpectrumView {
            bin_hz: 187.5,
            powers,
        }
    }

    #[test]
    fn reports_arrive_in_order_from_another_thread() {
        let (mut writer, mut reader) = telemetry();
        let hops = 3 * CAPACITY_HOPS as i64;
        let thread = std::thread::spawn(move || {
            for hop in 0..hops {
                while writer.reports.is_full() {
                    std::thread::yield_now();
                }
                writer.write(&report(hop));
            }
        });
        for hop in 0..hops {
            let read = loop {
                match reader.read() {
                    Some(read) => break read,
                    None => std::thread::yield_now(),
                }
            };
            assert_eq!(read, report(hop));
        }
        thread.join().unwrap();
        assert_eq!(reader.read(), None);
    }

    #[test]
    fn a_full_ring_drops_what_comes_later_and_runs_again_once_emptied() {
        let (mut writer, mut reader) = telemetry();
        (0..CAPACITY_HOPS as i64 + 10).for_each(|hop| writer.write(&report(hop)));
        assert_eq!(reader.read(), Some(report(0)));
        reader.clear();
        assert_eq!(reader.read(), None);
        writer.write(&report(7));
        assert_eq!(reader.read(), Some(report(7)));
    }

    #[test]
    fn peaks_of_dropped_reports_are_in_the_next_one() {
        let (mut writer, mut reader) = telemetry();
        let with_peaks = |input_peak, output_peak| HopReport {
            input_peak,
            output_peak,
            ..report(0)
        };
        (0..CAPACITY_HOPS).for_each(|_| writer.write(&with_peaks(0.1, 0.1)));
        writer.write(&with_peaks(1.2, 0.2));
        writer.write(&with_peaks(0.3, 0.9));
        reader.clear();
        writer.write(&with_peaks(0.1, 0.1));
        writer.write(&with_peaks(0.1, 0.1));
        assert_eq!(reader.read(), Some(with_peaks(1.2, 0.9)));
        assert_eq!(reader.read(), Some(with_peaks(0.1, 0.1)));
    }

    #[test]
    fn spectra_are_means_over_one_class_and_at_most_thirty_a_second() {
        let (mut writer, mut reader) = telemetry();
        writer.set_clock(48_000.0, 64);
        let mut frames = Vec::new();
        for block in 0..200 {
            writer.write(&HopReport {
                class: if block < 100 {
                    Class::Voice
                } else {
                    Class::Sibilant
                },
                ..report(0)
            });
            let power = if block % 2 == 0 { 1.0 } else { 3.0 };
            writer.end_block(spectrum(&[power; 200]), 480);
            assert_eq!(reader.read_due_spectrum(), None, "its report comes first");
            while reader.read().is_some() {}
            frames.extend(std::iter::from_fn(|| reader.read_due_spectrum()));
        }
        assert!(
            (40..=62).contains(&frames.len()),
            "{} frames in 2 s",
            frames.len()
        );
        assert!(frames.iter().any(|frame| frame.class == Class::Sibilant));
        for frame in frames {
            assert_eq!(frame.bin_hz, 187.5);
            assert!((1.0..=3.0).contains(&frame.powers[SPECTRUM_BINS - 1]));
        }
    }

    #[test]
    fn after_a_long_silence_nothing_ticks_until_something_sounds() {
        let (mut writer, reader) = telemetry();
        writer.set_clock(48_000.0, 64);
        let ticks = reader.ticks();
        let mut block = |level_lufs: f32| {
            let before = ticks.now();
            writer.write(&HopReport {
                level_lufs,
                ..report(0)
            });
            writer.end_block(spectrum(&[0.0; 129]), 64);
            ticks.now() != before
        };
        assert!(block(-120.0), "a short silence moves the stream");
        (0..10 * 750).for_each(|_| {
            block(-120.0);
        });
        assert!(!block(-120.0), "a long one does not");
        assert!(block(-40.0));
    }
}
