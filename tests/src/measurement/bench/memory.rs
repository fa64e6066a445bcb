//! Memory an instance, as the C library counts it for the whole process, bundle and all.

use std::hint::black_box;

use anyhow::Result;

use super::engine::{EngineLoad, Setting};
use super::insert::InsertLoad;
use crate::hosts::HostBlock;
use crate::hosts::clap::Bundle;

/// Instances over which the mean is taken.
const INSTANCES: usize = 32;

/// Bytes that an engine at 48 kHz holds, set as `setting` has it; `None` where the C library does not report it.
pub fn engine_bytes(channels: usize, setting: Setting) -> Option<f64> {
    let load = EngineLoad::new(channels, setting);
    // What is made once for all is made now.
    drop(load.engine());
    let before = allocated_bytes()?;
    let engines: Vec<_> = (0..INSTANCES).map(|_| load.engine()).collect();
    let after = allocated_bytes()?;
    black_box(engines);
    Some((after as f64 - before as f64) / INSTANCES as f64)
}

/// Bytes that an insert at 48 kHz holds once it is active and has played a block, and what the host in process keeps of it
/// (its parameters' names); `None` where the C library does not report it.
pub fn insert_bytes(bundle: &Bundle, load: InsertLoad) -> Result<Option<f64>> {
    let play = || -> Result<_> {
        let mut plugin = load.insert(bundle)?;
        let silence = vec![vec![0.0; 512]; load.channels];
        plugin.process(&mut HostBlock::new(&silence))?;
        Ok(plugin)
    };
    drop(play()?);
    let Some(before) = allocated_bytes() else {
        return Ok(None);
    };
    let plugins = (0..INSTANCES).map(|_| play()).collect::<Result<Vec<_>, _>>()?;
    let after = allocated_bytes();
    black_box(plugins);
    Ok(after.map(|after| (after as f64 - before as f64) / INSTANCES as f64))
}

/// Bytes that the process has from the C library's allocator and has not given back.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
fn allocated_bytes() -> Option<usize> {
    // SAFETY: the function takes nothing, and returns a plain value.
    let heap = unsafe { libc::mallinfo2() };
    Some(heap.uordblks + heap.hblkhd)
}

/// Other C libraries do not report it.
#[cfg(not(all(target_os = "linux", target_env = "gnu")))]
fn allocated_bytes() -> Option<usize> {
    None
}
