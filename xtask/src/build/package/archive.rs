//! Files as one archive: the same files give the same bytes, whenever and wherever it is written.
//!
//! Both bundles of Linux hold the same library. A tar archive holds it once: the second is a hard link to the first.

use std::io::{Cursor, Write};

use anyhow::{Context, Result};
use flate2::{Compression, GzBuilder};
use tar::EntryType;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::layout::Item;
use super::system::System;

/// When every file says it was written, in seconds since 1970: 1 January 1980, the first day that a zip archive knows.
const WRITTEN_S: u64 = 315_532_800;
const PROGRAM_MODE: u32 = 0o755;
const TEXT_MODE: u32 = 0o644;

/// The archive of `system` with `items`, which unpack to a folder of their own.
pub fn pack(system: System, items: &[Item]) -> Result<Vec<u8>> {
    let mut items: Vec<&Item> = items.iter().collect();
    items.sort_by(|one, other| one.path.cmp(&other.path));
    let folder = system.folder_name();
    match system {
        System::LinuxX86_64 | System::LinuxAarch64 => tar_gz(&folder, &items),
        System::Windows | System::MacOs => zipped(&folder, &items),
    }
    .with_context(|| format!("{} cannot be packed", system.archive_name()))
}

fn mode(item: &Item) -> u32 {
    if item.is_program { PROGRAM_MODE } else { TEXT_MODE }
}

fn tar_gz(folder: &str, items: &[&Item]) -> Result<Vec<u8>> {
    // Without a time and a name of its own.
    let packed = GzBuilder::new().mtime(0).write(Vec::new(), Compression::best());
    let mut archive = tar::Builder::new(packed);
    for (index, item) in items.iter().enumerate() {
        let path = format!("{folder}/{}", item.path);
        let mut header = tar::Header::new_ustar();
        header.set_mode(mode(item));
        header.set_mtime(WRITTEN_S);
        let is_same = |earlier: &&&Item| item.is_program && earlier.content == item.content;
        if let Some(same) = items[..index].iter().find(is_same) {
            header.set_entry_type(EntryType::Link);
            header.set_size(0);
            archive.append_link(&mut header, path, format!("{folder}/{}", same.path))?;
        } else {
            header.set_size(item.content.len() as u64);
            archive.append_data(&mut header, path, item.content.as_slice())?;
        }
    }
    Ok(archive.into_inner()?.finish()?)
}

fn zipped(folder: &str, items: &[&Item]) -> Result<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for item in items {
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .compression_level(Some(9))
            .last_modified_time(DateTime::default())
            .unix_permissions(mode(item));
        archive.start_file(format!("{folder}/{}", item.path), options)?;
        archive.write_all(&item.content)?;
    }
    Ok(archive.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    fn items() -> Vec<Item> {
        vec![
            Item::text("presets/Siskin Follow/double.vstpreset", "preset"),
            Item::program("Siskin.clap", vec![7; 100_000]),
        ]
    }

    #[test]
    fn order_of_the_files_changes_no_byte() {
        for system in System::ALL {
            let forward = pack(system, &items()).unwrap();
            let mut turned = items();
            turned.reverse();
            assert_eq!(forward, pack(system, &turned).unwrap(), "{system:?}");
            turned[0].content[99_999] = 8;
            assert_ne!(forward, pack(system, &turned).unwrap(), "{system:?}");
        }
    }

    #[test]
    fn what_was_packed_is_unpacked() {
        let packed = pack(System::LinuxX86_64, &items()).unwrap();
        let mut archive = tar::Archive::new(flate2::read::GzDecoder::new(packed.as_slice()));
        let mut found = Vec::new();
        for entry in archive.entries().unwrap() {
            let mut entry = entry.unwrap();
            let mut content = Vec::new();
            entry.read_to_end(&mut content).unwrap();
            let (path, header) = (entry.path().unwrap().display().to_string(), entry.header());
            found.push((path, header.mode().unwrap(), header.mtime().unwrap(), content));
        }
        let folder = System::LinuxX86_64.folder_name();
        let expected = |item: &Item, mode| {
            (
                format!("{folder}/{}", item.path),
                mode,
                WRITTEN_S,
                item.content.clone(),
            )
        };
        let [preset, program] = <[Item; 2]>::try_from(items()).unwrap();
        assert_eq!(found, [expected(&program, 0o755), expected(&preset, 0o644)]);

        let packed = pack(System::MacOs, &items()).unwrap();
        let mut archive = zip::ZipArchive::new(Cursor::new(packed)).unwrap();
        let mut file = archive.by_index(0).unwrap();
        assert_eq!(
            file.name().unwrap(),
            format!("{}/Siskin.clap", System::MacOs.folder_name())
        );
        assert_eq!(file.unix_mode().unwrap() & 0o777, 0o755);
        let mut content = Vec::new();
        file.read_to_end(&mut content).unwrap();
        assert_eq!(content, program.content);
    }
}
