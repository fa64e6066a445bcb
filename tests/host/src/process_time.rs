//! The time between a host's call of `process` and its return: measured, and marked for a tracer.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Whether calls are marked.
static MARKED: AtomicBool = AtomicBool::new(false);

/// From now on every call of `process` begins and ends with a system call that nothing else makes here (`getppid`), so
/// that a tracer sees what system calls lie between the two.
pub fn mark_for_a_tracer() {
    MARKED.store(true, Ordering::Release);
}

fn mark() {
    #[cfg(unix)]
    if MARKED.load(Ordering::Acquire) {
        std::hint::black_box(std::os::unix::process::parent_id());
    }
}

/// How long a block took inside the plug-in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BlockTime {
    /// On the clock, with all that the machine did meanwhile.
    pub wall: Duration,
    /// Of the processor, by this thread alone.
    pub processor: Duration,
}

/// A call of `process` that is under way.
pub struct ProcessCall {
    began: Instant,
    processor: Duration,
}

impl ProcessCall {
    /// Immediately before the call.
    pub fn enter() -> Self {
        let call = Self {
            processor: processor_time(),
            began: Instant::now(),
        };
        mark();
        call
    }

    /// Immediately after the call.
    pub fn leave(self) -> BlockTime {
        mark();
        BlockTime {
            wall: self.began.elapsed(),
            processor: processor_time().saturating_sub(self.processor),
        }
    }
}

/// Time of the processor that this thread has had.
#[cfg(unix)]
pub fn processor_time() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::new(time.tv_sec as u64, time.tv_nsec as u32)
}

/// Elsewhere the clock has to do.
#[cfg(not(unix))]
pub fn processor_time() -> Duration {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    START.get_or_init(Instant::now).elapsed()
}
