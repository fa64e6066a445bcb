//! Completes an insert's tasks on the framework's background thread before the insert ends.
//!
//! On Linux all VST3 inserts of a kind share one such thread (nice-plug 0.4.2, `event_loop/background_thread.rs`). It
//! ends for good when it reads a task of an insert that is gone: no later task runs, and the last insert that closes ends
//! the host. Every value that a host automates is such a task. So an insert that closes posts one last task and waits for
//! it. The framework makes an insert inside its own constructor and gives out neither the insert nor the thread's queue,
//! hence the way over a thread-local.

use std::cell::RefCell;
use std::sync::mpsc::{Sender, channel};
use std::thread::sleep;
use std::time::Duration;

use crate::editor::EditorTask;

/// The longest wait: short enough that closing a song does not seem to hang.
const MAX_WAIT: Duration = Duration::from_millis(500);
/// For the background thread to drop its reference to the insert after the last task.
const RELEASE_WAIT: Duration = Duration::from_millis(1);

/// What an insert runs outside the audio thread.
#[derive(Debug)]
pub enum InsertTask {
    /// The editor's.
    Editor(EditorTask),
    /// Reports that every task before it has run.
    Flush(Sender<()>),
}

/// Posts to the background thread.
type Post = Box<dyn Fn(InsertTask) + Send + Sync>;

thread_local! {
    /// Of the insert that this thread made last.
    static NEWEST: RefCell<Option<Post>> = const { RefCell::new(None) };
}

/// Called while the framework makes an insert, with the insert's queue.
pub fn set_newest(post: impl Fn(InsertTask) + Send + Sync + 'static) {
    NEWEST.with(|last| *last.borrow_mut() = Some(Box::new(post)));
}

/// The queue of one insert.
pub struct BackgroundTasks(Option<Post>);

impl BackgroundTasks {
    /// Of the insert that this thread made last.
    pub fn of_newest_insert() -> Self {
        Self(NEWEST.with(|last| last.borrow_mut().take()))
    }

    /// On the main thread, once no sound runs: returns when every task of the insert has run, or after [`MAX_WAIT`].
    pub fn flush_background_tasks(&self) {
        let Some(post) = &self.0 else { return };
        let (sender, receiver) = channel();
        post(InsertTask::Flush(sender));
        if receiver.recv_timeout(MAX_WAIT).is_ok() {
            sleep(RELEASE_WAIT);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Instant;

    #[test]
    fn flush_waits_for_earlier_tasks() {
        let (sender, receiver) = channel::<InsertTask>();
        let worker = std::thread::spawn(move || {
            let mut done = 0;
            for task in receiver {
                match task {
                    InsertTask::Editor(_) => {
                        sleep(Duration::from_millis(20));
                        done += 1;
                    }
                    InsertTask::Flush(flushed) => {
                        assert_eq!(done, 3);
                        flushed.send(()).unwrap();
                    }
                }
            }
        });
        let post = sender.clone();
        set_newest(move |task| post.send(task).unwrap());
        let tasks = BackgroundTasks::of_newest_insert();
        for _ in 0..3 {
            sender
                .send(InsertTask::Editor(EditorTask::ListenToOutput))
                .unwrap();
        }
        let start = Instant::now();
        tasks.flush_background_tasks();
        assert!(start.elapsed() >= Duration::from_millis(60));
        drop((sender, tasks));
        worker.join().unwrap();
    }

    #[test]
    fn flush_without_a_thread_returns_at_once() {
        set_newest(drop);
        let start = Instant::now();
        BackgroundTasks::of_newest_insert().flush_background_tasks();
        assert!(start.elapsed() < MAX_WAIT);
        BackgroundTasks::of_newest_insert().flush_background_tasks();
    }
}
