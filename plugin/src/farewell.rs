//! Lets the framework's background thread finish with an insert before that goes.
//!
//! On Linux all VST3 inserts of a kind share one such thread (nice-plug 0.4.2, `event_loop/background_thread.rs`), which
//! ends for good when a task comes up whose insert is gone: nothing is told to the host any more, and the last insert that
//! is closed ends the host. Every value that a host automates is such a task. So an insert that is about to go sends one
//! last task after all others and waits for it. The framework makes an insert inside its own constructor and hands out
//! neither it nor the way to that thread, hence the way over the thread that makes it.

use std::cell::RefCell;
use std::sync::mpsc::{Sender, channel};
use std::thread::sleep;
use std::time::Duration;

use crate::editor::EditorTask;

/// How long an insert waits at most: a person who closes a song shall not notice.
const LONGEST_WAIT: Duration = Duration::from_millis(500);
/// For the background thread to let go of the insert after its last task.
const TO_LET_GO: Duration = Duration::from_millis(1);

/// What an insert has done outside the audio thread.
#[derive(Debug)]
pub enum InsertTask {
    /// The editor's.
    Editor(EditorTask),
    /// The last one: tells that it came up.
    Farewell(Sender<()>),
}

/// The way to the background thread.
type Post = Box<dyn Fn(InsertTask) + Send + Sync>;

thread_local! {
    /// That of the insert that this thread made last.
    static LAST_MADE: RefCell<Option<Post>> = const { RefCell::new(None) };
}

/// While an insert is made: its way to the background thread.
pub fn remember(post: impl Fn(InsertTask) + Send + Sync + 'static) {
    LAST_MADE.with(|last| *last.borrow_mut() = Some(Box::new(post)));
}

/// Sends the last task of an insert.
pub struct Farewell(Option<Post>);

impl Farewell {
    /// Of the insert that this thread made last.
    pub fn of_last_made() -> Self {
        Self(LAST_MADE.with(|last| last.borrow_mut().take()))
    }

    /// On the main thread, once no sound runs: returns when nothing of the insert waits on the background thread, or after
    /// half a second.
    pub fn say(&self) {
        let Some(post) = &self.0 else { return };
        let (sender, receiver) = channel();
        post(InsertTask::Farewell(sender));
        if receiver.recv_timeout(LONGEST_WAIT).is_ok() {
            sleep(TO_LET_GO);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Instant;

    #[test]
    fn it_waits_for_all_that_was_sent_before() {
        let (sender, receiver) = channel::<InsertTask>();
        let worker = std::thread::spawn(move || {
            let mut done = 0;
            for task in receiver {
                match task {
                    InsertTask::Editor(_) => {
                        sleep(Duration::from_millis(20));
                        done += 1;
                    }
                    InsertTask::Farewell(reached) => {
                        assert_eq!(done, 3);
                        reached.send(()).unwrap();
                    }
                }
            }
        });
        let post = sender.clone();
        remember(move |task| post.send(task).unwrap());
        let farewell = Farewell::of_last_made();
        for _ in 0..3 {
            sender
                .send(InsertTask::Editor(EditorTask::ListenToOutput))
                .unwrap();
        }
        let start = Instant::now();
        farewell.say();
        assert!(start.elapsed() >= Duration::from_millis(60));
        drop((sender, farewell));
        worker.join().unwrap();
    }

    #[test]
    fn it_does_not_wait_where_nobody_listens() {
        remember(drop);
        let start = Instant::now();
        Farewell::of_last_made().say();
        assert!(start.elapsed() < LONGEST_WAIT);
        Farewell::of_last_made().say();
    }
}
