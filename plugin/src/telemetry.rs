//! From the audio thread to the editor: a wait-free ring of what the engine reports. One writer, one reader; where the
//! reader is away, the ring fills and what comes later is dropped, and the reader starts by emptying it.

use rtrb::{Consumer, Producer, RingBuffer};
use siskin_dsp::HopReport;

/// Reports that wait at most: more than a second at 192 kHz (3000 hops a second), far more than an editor's frame.
const CAPACITY_HOPS: usize = 4096;

/// The end of the audio thread.
pub struct TelemetryWriter(Producer<HopReport>);

/// The end of the editor.
pub struct TelemetryReader(Consumer<HopReport>);

/// The two ends of a ring.
#[must_use]
pub fn telemetry() -> (TelemetryWriter, TelemetryReader) {
    let (producer, consumer) = RingBuffer::new(CAPACITY_HOPS);
    (TelemetryWriter(producer), TelemetryReader(consumer))
}

impl TelemetryWriter {
    /// Passes a report on, or drops it where the ring is full. Neither waits nor allocates.
    pub fn write(&mut self, report: &HopReport) {
        let _ring_is_full = self.0.push(*report).is_err();
    }
}

impl TelemetryReader {
    /// The oldest report that waits.
    pub fn read(&mut self) -> Option<HopReport> {
        self.0.pop().ok()
    }

    /// Forgets all that waits.
    pub fn clear(&mut self) {
        while self.read().is_some() {}
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

    #[test]
    fn reports_arrive_in_order_from_another_thread() {
        let (mut writer, mut reader) = telemetry();
        let hops = 3 * CAPACITY_HOPS as i64;
        let thread = std::thread::spawn(move || {
            for hop in 0..hops {
                while writer.0.is_full() {
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
        writer.write(&report(-7));
        assert_eq!(reader.read(), Some(report(-7)));
    }
}
