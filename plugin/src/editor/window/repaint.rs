//! Requests a frame when there is something new to show.
//!
//! A thread of the open window compares three counters thirty times a second and requests a frame only when one of them has
//! changed. The audio thread only counts.
//!
//! The framework's own poll is not used: a repaint request between `create` and `show` leaves the window blank forever on
//! X11 (baseview 0.4.2).

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use egui::Context;

use crate::editor::model::session::ChangeCounter;
use crate::editor::page::INPUT_TIMEOUT;
use crate::song_notes::NoteChanges;
use crate::telemetry::Ticks;

/// Interval of the comparison.
const POLL_INTERVAL: Duration = Duration::from_millis(30);
/// After the input timeout a frame must show that there is no input; the last report may be read this much later.
const TIMEOUT_MARGIN: Duration = Duration::from_millis(200);
/// Delay of a requested frame. Without a delay egui draws a second frame.
const MIN_DELAY: Duration = Duration::from_micros(1);

/// The counters of what is new.
pub struct News {
    /// Blocks that show something.
    pub ticks: Ticks,
    /// Changes by the host.
    pub changes: ChangeCounter,
    /// Notes of the song.
    pub notes: NoteChanges,
}

impl News {
    fn now(&self) -> [u32; 3] {
        [self.ticks.now(), self.changes.get(), self.notes.now()]
    }
}

/// The thread; stops when dropped.
pub struct RepaintThread {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl RepaintThread {
    /// Starts the thread. If that fails, the window still draws on pointer and key events.
    pub fn start(context: Context, news: News) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = stop.clone();
        let thread = std::thread::Builder::new()
            .name("siskin window".to_owned())
            .spawn(move || run(&context, &news, &stopped))
            .ok();
        Self { stop, thread }
    }
}

impl Drop for RepaintThread {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
            let _panicked = thread.join().is_err();
        }
    }
}

fn run(context: &Context, news: &News, stop: &AtomicBool) {
    let mut before = news.now();
    let mut changed_at = None;
    while !stop.load(Ordering::Relaxed) {
        std::thread::park_timeout(POLL_INTERVAL);
        let now = news.now();
        if now != before {
            before = now;
            changed_at = Some(Instant::now());
            context.request_repaint_after(MIN_DELAY);
        } else if changed_at.is_some_and(|since: Instant| since.elapsed() > INPUT_TIMEOUT + TIMEOUT_MARGIN) {
            changed_at = None;
            context.request_repaint_after(MIN_DELAY);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicU32;

    use super::*;
    use crate::song_notes::song_notes;
    use crate::telemetry::telemetry;
    use siskin_dsp::SpectrumView;

    /// Whether a frame is requested within `limit`.
    fn is_requested(requests: &AtomicU32, limit: Duration) -> bool {
        let started = Instant::now();
        while started.elapsed() < limit {
            if requests.swap(0, Ordering::Relaxed) > 0 {
                return true;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        false
    }

    #[test]
    fn a_frame_is_requested_only_when_something_is_new() {
        let (mut writer, reader) = telemetry();
        writer.set_clock(48_000.0, 64);
        let (context, changes) = (Context::default(), ChangeCounter::default());
        let requests = Arc::new(AtomicU32::new(0));
        let count = requests.clone();
        context.set_request_repaint_callback(move |_| {
            count.fetch_add(1, Ordering::Relaxed);
        });
        let draw = || {
            let mut output = context.run_ui(egui::RawInput::default(), |_| {});
            output.textures_delta.clear();
        };
        (0..3).for_each(|_| draw());
        requests.store(0, Ordering::Relaxed);
        let notes = song_notes().1;
        let news = News {
            ticks: reader.ticks(),
            changes: changes.clone(),
            notes: notes.changes(),
        };
        let thread = RepaintThread::start(context.clone(), news);
        assert!(
            !is_requested(&requests, Duration::from_millis(150)),
            "nothing is new"
        );
        writer.end_block(
            SpectrumView {
                bin_hz: 187.5,
                powers: &[0.0; 129],
            },
            64,
        );
        assert!(
            is_requested(&requests, Duration::from_secs(5)),
            "a block has arrived"
        );
        draw();
        changes.increment();
        assert!(
            is_requested(&requests, Duration::from_secs(5)),
            "the host has changed something"
        );
        draw();
        notes.clear();
        assert!(
            is_requested(&requests, Duration::from_secs(5)),
            "the notes have changed"
        );
        drop(thread);
        draw();
        requests.store(0, Ordering::Relaxed);
        changes.increment();
        assert!(
            !is_requested(&requests, Duration::from_millis(150)),
            "the thread has stopped"
        );
    }
}
