//! Wakes the window when there is something new to show, and lets it sleep otherwise.
//!
//! A thread of the open window looks at a few numbers thirty times a second, which costs next to nothing, and asks for a
//! frame only where one of them has moved. The audio thread does nothing for it but count.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use egui::Context;

use crate::telemetry::Ticks;

/// How often it looks.
const INTERVAL: Duration = Duration::from_millis(30);
/// So long after the last report the words say that nothing comes any more.
pub const STOPPED_AFTER: Duration = Duration::from_millis(600);

/// What was new is heard by a frame that comes a little later.
const LATE: Duration = Duration::from_millis(200);
/// A frame as soon as may be; egui follows a request without any delay by a second frame.
const SOON: Duration = Duration::from_micros(1);

/// Counts what the host changes outside of the sound: parameters, states.
#[derive(Debug, Clone, Default)]
pub struct Changes(Arc<AtomicU32>);

impl Changes {
    /// Something has changed.
    pub fn count(&self) {
        self.0.fetch_add(1, Ordering::Relaxed);
    }

    fn now(&self) -> u32 {
        self.0.load(Ordering::Relaxed)
    }
}

/// The thread; it ends with this.
pub struct Watch {
    ended: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Watch {
    /// Watches for a window. Where no thread can be had, the window still draws when a person moves in it.
    pub fn begin(context: Context, ticks: Ticks, changes: Changes) -> Self {
        let ended = Arc::new(AtomicBool::new(false));
        let seen = ended.clone();
        let thread = std::thread::Builder::new()
            .name("siskin window".to_owned())
            .spawn(move || watch(&context, &ticks, &changes, &seen))
            .ok();
        Self { ended, thread }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
            let _it_panicked = thread.join().is_err();
        }
    }
}

fn watch(context: &Context, ticks: &Ticks, changes: &Changes, ended: &AtomicBool) {
    let mut before = (ticks.now(), changes.now());
    let mut last_new = None;
    while !ended.load(Ordering::Relaxed) {
        std::thread::park_timeout(INTERVAL);
        let now = (ticks.now(), changes.now());
        if now != before {
            before = now;
            last_new = Some(Instant::now());
            context.request_repaint_after(SOON);
        } else if last_new.is_some_and(|since: Instant| since.elapsed() > STOPPED_AFTER + LATE) {
            last_new = None;
            context.request_repaint_after(SOON);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::telemetry::telemetry;
    use siskin_dsp::SpectrumView;

    /// Whether a frame is asked for before `patience` is over.
    fn asks(asked: &AtomicU32, patience: Duration) -> bool {
        let since = Instant::now();
        while since.elapsed() < patience {
            if asked.swap(0, Ordering::Relaxed) > 0 {
                return true;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        false
    }

    #[test]
    fn a_frame_is_asked_for_when_something_is_new_and_not_otherwise() {
        let (mut writer, reader) = telemetry();
        writer.set_clock(48_000.0, 64);
        let (context, changes) = (Context::default(), Changes::default());
        let asked = Arc::new(AtomicU32::new(0));
        let count = asked.clone();
        context.set_request_repaint_callback(move |_| {
            count.fetch_add(1, Ordering::Relaxed);
        });
        let draw = || {
            let mut output = context.run_ui(egui::RawInput::default(), |_| {});
            output.textures_delta.clear();
        };
        (0..3).for_each(|_| draw());
        asked.store(0, Ordering::Relaxed);
        let watch = Watch::begin(context.clone(), reader.ticks(), changes.clone());
        assert!(!asks(&asked, Duration::from_millis(150)), "nothing is new");
        writer.end_block(
            SpectrumView {
                bin_hz: 187.5,
                powers: &[0.0; 129],
            },
            64,
        );
        assert!(asks(&asked, Duration::from_secs(5)), "a block has come");
        draw();
        changes.count();
        assert!(
            asks(&asked, Duration::from_secs(5)),
            "the host has changed something"
        );
        drop(watch);
        draw();
        asked.store(0, Ordering::Relaxed);
        changes.count();
        assert!(!asks(&asked, Duration::from_millis(150)), "the watch has ended");
    }
}
