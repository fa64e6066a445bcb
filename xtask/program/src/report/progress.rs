//! The bar by which long work shows how far it is.

use anyhow::Result;
use indicatif::{ProgressBar, ProgressStyle};

/// A bar that counts to `steps`.
pub fn counting(steps: u64) -> Result<ProgressBar> {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len}  {msg}")?;
    Ok(ProgressBar::new(steps).with_style(style))
}
