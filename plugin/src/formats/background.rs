//! Lets the framework's background thread finish with a VST3 insert before the insert ends.
//!
//! On Linux all VST3 inserts of a kind share one such thread (nice-plug 0.4.2, `event_loop/background_thread.rs`). It has two
//! faults: it ends for good when it reads a task of an insert that is gone, and it joins itself where it drops the last
//! insert of its kind. Every value that a host automates is such a task. So one insert of each kind stays for the life of
//! the process and owns the thread. An insert that closes posts a task of that one behind its own tasks and waits for it:
//! when it runs, the thread has run and released every task before it. It does so twice, since a task may post another. No
//! task calls the host, so the wait is as long as the tasks in the queue, at most 4096 comparisons and copies.

use std::any::TypeId;
use std::collections::BTreeMap;
use std::sync::mpsc::channel;
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::link::{InsertTask, Link, PostTask};

/// How long a full queue may take to make room. It is never full while the thread lives; a host must not hang if it does not.
const MAX_FULL: Duration = Duration::from_millis(500);

/// The queue of the insert that stays, for each kind of insert.
static KEPT: Mutex<BTreeMap<TypeId, PostTask>> = Mutex::new(BTreeMap::new());

/// Keeps one insert of kind `K` for the life of the process, made by `make` at the first call.
pub fn keep_thread<K: 'static, T>(make: impl FnOnce() -> T) {
    // Elsewhere the thread runs no task of ours.
    if !cfg!(all(target_family = "unix", not(target_os = "macos"))) {
        return;
    }
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if kept.contains_key(&TypeId::of::<K>()) {
        return;
    }
    std::mem::forget(make());
    if let Some(threads) = Link::of_newest_insert().threads() {
        kept.insert(TypeId::of::<K>(), threads.background.clone());
    }
}

/// On the main thread, once no sound runs: returns when the background thread of kind `K` has finished every task so far.
pub fn flush_background_tasks<K: 'static>() {
    let kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    let post = kept.get(&TypeId::of::<K>()).cloned();
    drop(kept);
    if let Some(post) = post {
        // The second time for what the insert's own tasks posted meanwhile: a restart posts the delivery of a host call.
        for _ in 0..2 {
            flush(&*post);
        }
    }
}

fn flush(post: &dyn Fn(InsertTask)) {
    let start = Instant::now();
    loop {
        let (sender, receiver) = channel();
        post(InsertTask::Flush(sender));
        // A queue without room drops the task, and its sender with it.
        if receiver.recv().is_ok() || start.elapsed() > MAX_FULL {
            return;
        }
        thread::yield_now();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::{Receiver, sync_channel};

    /// Runs tasks until the queue closes; how many came before each flush.
    fn run(tasks: Receiver<InsertTask>) -> Vec<usize> {
        let (mut done, mut flushes) = (0, Vec::new());
        for task in tasks {
            match task {
                InsertTask::Flush(flushed) => {
                    flushes.push(done);
                    flushed.send(()).unwrap();
                }
                _ => done += 1,
            }
        }
        flushes
    }

    #[test]
    fn flush_waits_for_earlier_tasks_even_where_the_queue_is_full() {
        let (sender, receiver) = sync_channel(3);
        for _ in 0..3 {
            sender.try_send(InsertTask::ListenToOutput).unwrap();
        }
        let worker = thread::spawn(move || run(receiver));
        flush(&|task| drop(sender.try_send(task)));
        drop(sender);
        assert_eq!(worker.join().unwrap(), [3]);
    }
}
