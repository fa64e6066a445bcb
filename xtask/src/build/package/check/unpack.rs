//! An archive, unpacked as a person does.

use std::io::Cursor;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use flate2::read::GzDecoder;

use super::super::system::System;

/// Unpacks `archived` into `place`; the folder that the archive brings.
pub fn unpack(system: System, archived: &[u8], place: &Path) -> Result<PathBuf> {
    match system {
        System::LinuxX86_64 | System::LinuxAarch64 => {
            tar::Archive::new(GzDecoder::new(archived)).unpack(place)
        }
        System::Windows | System::MacOs => zip::ZipArchive::new(Cursor::new(archived))
            .and_then(|mut archive| archive.extract(place))
            .map_err(Into::into),
    }
    .context("cannot be unpacked")?;
    let unpacked = place.join(system.folder_name());
    ensure!(unpacked.is_dir(), "unpacks to another folder");
    Ok(unpacked)
}
