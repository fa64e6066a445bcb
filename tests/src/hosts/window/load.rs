//! Resources of this process, from `/proc/self` of Linux.

use std::fs;

use anyhow::{Context, bail};

use super::Screen;

/// Clock ticks a second in `/proc`: 100 on every Linux that is known (`sysconf(_SC_CLK_TCK)`), from memory.
const TICKS_PER_S: f64 = 100.0;

/// What an error says first.
const UNKNOWN: &str = "this machine does not report what a process uses";

/// Resources of a process.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Processor time of all its threads, including those that have ended, s.
    pub processor_s: f64,
    /// Resident memory, KiB.
    pub memory_kib: u64,
    /// Threads.
    pub threads: usize,
    /// Open files, including connections.
    pub files: usize,
    /// Clients of the X server.
    pub clients: usize,
}

impl Load {
    /// Threads of this process; 0 where they cannot be read.
    pub fn threads() -> usize {
        fs::read_dir("/proc/self/task").map_or(0, Iterator::count)
    }

    /// Reads the resources.
    pub fn now(screen: &Screen) -> anyhow::Result<Self> {
        let status = fs::read_to_string("/proc/self/status").context(UNKNOWN)?;
        let stat = fs::read_to_string("/proc/self/stat").context(UNKNOWN)?;
        // After the name in brackets: the state is the first field, user and system time the twelfth and thirteenth.
        let fields: Vec<&str> = stat
            .rsplit_once(')')
            .map_or("", |(_, rest)| rest)
            .split_whitespace()
            .collect();
        let ticks = |index: usize| fields.get(index).and_then(|ticks| ticks.parse::<f64>().ok());
        let (Some(user), Some(system)) = (ticks(11), ticks(12)) else {
            bail!("{UNKNOWN}: /proc/self/stat is of another form");
        };
        Ok(Self {
            processor_s: (user + system) / TICKS_PER_S,
            memory_kib: field(&status, "VmRSS:")?,
            threads: Self::threads(),
            files: fs::read_dir("/proc/self/fd").context(UNKNOWN)?.count(),
            clients: screen.clients()?,
        })
    }
}

fn field(status: &str, name: &str) -> anyhow::Result<u64> {
    let line = status.lines().find_map(|line| line.strip_prefix(name));
    line.and_then(|line| line.split_whitespace().next()?.parse().ok())
        .with_context(|| format!("{UNKNOWN}: /proc/self/status has no {name}"))
}
