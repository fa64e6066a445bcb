//! What an insert and the format layer around it share.
//!
//! The framework makes an insert inside its own constructor and does not give it out. So a new insert leaves its link on
//! the thread that makes it, and the format layer takes the link when the constructor returns.

use std::cell::RefCell;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, OnceLock};

use atomic_float::AtomicF32;

use crate::editor::{EditorSession, HostSize, MenuRequest};

/// What an insert runs outside the audio thread.
#[derive(Debug)]
pub enum InsertTask {
    /// Sets Listen to Output.
    ListenToOutput,
    /// Reports that the framework's background thread has come to this task.
    Flush(Sender<()>),
    /// Makes the host calls that wait for the UI thread; only VST3 has such.
    DeliverHostCalls,
    /// Asks for the host's menu, from another thread than the editor's; only VST3 has such. In a box, since the framework's
    /// queues hold 4,096 tasks, each as large as the largest.
    ShowHostMenu(Box<MenuRequest>),
    /// Posts [`Self::ResizeWindow`] from the background thread; only VST3 has such.
    AskForSize(HostSize),
    /// Asks the host for a size of the window, on the UI thread.
    ResizeWindow(HostSize),
}

/// Posts a task to a thread of the framework; drops it where the thread's queue is full.
pub type PostTask = Arc<dyn Fn(InsertTask) + Send + Sync>;

/// The framework's ways to other threads, for one insert.
pub struct Threads {
    /// To its background thread.
    pub background: PostTask,
    /// To the UI thread; on Linux to the background thread while no editor is open.
    pub ui: PostTask,
}

/// The link of one insert.
#[derive(Default)]
pub struct Link {
    latency_samples: AtomicU32,
    gain_db: AtomicF32,
    threads: OnceLock<Threads>,
    editor: OnceLock<Arc<EditorSession>>,
    deliver_host_calls: OnceLock<Box<dyn Fn() + Send + Sync>>,
    show_host_menu: OnceLock<Box<dyn Fn(MenuRequest) + Send + Sync>>,
}

thread_local! {
    /// Of the insert that this thread made last.
    static NEWEST: RefCell<Option<Arc<Link>>> = const { RefCell::new(None) };
}

impl Link {
    /// The latency of the engine, in samples; 0 before the first activation.
    pub fn latency_samples(&self) -> u32 {
        self.latency_samples.load(Ordering::Acquire)
    }

    /// Sets the latency of the engine, on any thread.
    pub fn set_latency_samples(&self, samples: u32) {
        self.latency_samples.store(samples, Ordering::Release);
    }

    /// The gain of all stages at the end of the last block without makeup, dB, 0 or negative.
    pub fn gain_db(&self) -> f32 {
        self.gain_db.load(Ordering::Relaxed)
    }

    /// Sets the gain of all stages. On the audio thread.
    pub fn set_gain_db(&self, gain_db: f32) {
        self.gain_db.store(gain_db, Ordering::Relaxed);
    }

    /// The framework's threads, once the insert is made.
    pub fn threads(&self) -> Option<&Threads> {
        self.threads.get()
    }

    /// Sets what [`InsertTask::DeliverHostCalls`] does.
    pub fn on_deliver_host_calls(&self, deliver: impl Fn() + Send + Sync + 'static) {
        let _set_once_by_the_instance = self.deliver_host_calls.set(Box::new(deliver));
    }

    /// Runs [`InsertTask::DeliverHostCalls`].
    pub fn deliver_host_calls(&self) {
        if let Some(deliver) = self.deliver_host_calls.get() {
            deliver();
        }
    }

    /// Sets what [`InsertTask::ShowHostMenu`] does.
    pub fn on_show_host_menu(&self, show: impl Fn(MenuRequest) + Send + Sync + 'static) {
        let _set_once_by_the_instance = self.show_host_menu.set(Box::new(show));
    }

    /// Runs [`InsertTask::ShowHostMenu`].
    pub fn show_host_menu(&self, request: MenuRequest) {
        if let Some(show) = self.show_host_menu.get() {
            show(request);
        }
    }

    /// The editor, once the insert is made.
    pub fn editor(&self) -> Option<&Arc<EditorSession>> {
        self.editor.get()
    }

    /// Called while the framework makes the insert: leaves the link for [`Self::of_newest_insert`].
    pub fn offer(self: &Arc<Self>, threads: Threads, editor: Arc<EditorSession>) {
        let _asked_once_by_the_framework =
            self.threads.set(threads).is_ok() && self.editor.set(editor).is_ok();
        NEWEST.with(|newest| *newest.borrow_mut() = Some(self.clone()));
    }

    /// The link of the insert that this thread made last.
    pub fn of_newest_insert() -> Arc<Self> {
        NEWEST
            .with(|newest| newest.borrow_mut().take())
            .unwrap_or_default()
    }
}
