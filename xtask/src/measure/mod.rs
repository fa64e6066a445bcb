//! What measures the sound: detector, properties, speed, and a file through the plug-in.

pub mod bench;
pub mod hard_voices;
pub mod properties;
pub mod score;

pub use siskin_program::render;

use anyhow::Result;
use indicatif::ProgressBar;
use rayon::prelude::*;

use crate::report::progress;

/// What `work` makes of every one of the `jobs`, in their order: on all cores, behind a bar that shows how far it is.
fn on_all_cores<Job: Sync, Done: Send>(
    jobs: &[Job],
    work: impl Fn(&Job, &ProgressBar) -> Done + Sync,
) -> Result<Vec<Done>> {
    let bar = progress::counting(jobs.len() as u64)?;
    let done = jobs.par_iter().with_max_len(1).map(|job| {
        let done = work(job, &bar);
        bar.inc(1);
        done
    });
    let done = done.collect();
    bar.finish_and_clear();
    Ok(done)
}
