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

#[cfg(all(test, unix))]
mod tests {
    use std::fs;
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::process::Command;

    use super::super::super::{archive, layout};
    use super::*;

    /// Bytes that cannot be compressed.
    fn library() -> Vec<u8> {
        let mut state = 1_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        };
        (0..200_000).map(|_| next()).collect()
    }

    #[test]
    fn both_bundles_come_out_of_an_archive_that_holds_the_library_once() {
        let system = System::LinuxX86_64;
        let library = library();
        let bundles = layout::bundles(system, &library);
        let archived = archive::pack(system, &bundles).unwrap();
        assert!(archived.len() < 3 * library.len() / 2, "{} bytes", archived.len());

        let [by_us, by_tar] = [(); 2].map(|()| tempfile::tempdir().unwrap());
        unpack(system, &archived, by_us.path()).unwrap();
        let packed = by_tar.path().join("packed.tar.gz");
        fs::write(&packed, &archived).unwrap();
        let mut tar = Command::new("tar");
        tar.arg("-xzf").arg(&packed).arg("-C").arg(by_tar.path());
        assert!(tar.status().unwrap().success());

        for place in [by_us.path(), by_tar.path()] {
            let found = bundles.iter().map(|item| {
                let path = place.join(system.folder_name()).join(&item.path);
                assert!(fs::read(&path).unwrap() == library, "{}", path.display());
                let metadata = fs::metadata(&path).unwrap();
                assert_eq!(metadata.permissions().mode() & 0o777, 0o755, "{}", path.display());
                metadata.ino()
            });
            let files: Vec<u64> = found.collect();
            assert!(files.len() == 2 && files[0] == files[1], "{files:?}");
        }
    }
}
