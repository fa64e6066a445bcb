//! A person's own presets. Nothing of theirs is ever replaced, and no file is opened but on their request.

use std::ffi::OsStr;
use std::fs::{self, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::file::{plug_in, read_preset, write_preset};
use crate::folder::vendor_folder;

/// What the name of a preset file ends with.
pub const ENDING: &str = "vstpreset";
/// What the name of the note ends with that lies beside a preset which an installation put there.
pub const NOTE_ENDING: &str = ".installed.txt";
/// The longest name, characters: what a menu shows in one line.
const LONGEST_NAME: usize = 40;
/// The longest file that is read, bytes: some thirty times one with every parameter.
const MOST_BYTES: u64 = 64 * 1024;
/// Names of devices, which Windows has no files of ("Naming Files, Paths, and Namespaces").
const DEVICES: [&str; 4] = ["CON", "PRN", "AUX", "NUL"];

/// Why settings were not kept. Says what to do.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// There is no name.
    #[error("Type a name")]
    NoName,
    /// The name is too long.
    #[error("Takes up to {LONGEST_NAME} characters")]
    TooLong,
    /// The name is none for a file.
    #[error("Takes letters, digits, spaces and - _ + ( ) , . '")]
    BadName,
    /// The name is in use.
    #[error("This name is in use. Choose another one")]
    InUse,
    /// The folder is not known.
    #[error("${0} is not set, so the folder of presets is not known")]
    NoFolder(&'static str),
    /// The system refused.
    #[error("Not kept: {} cannot be written ({error})", path.display())]
    Refused {
        /// The folder or file.
        path: PathBuf,
        /// What the system said.
        error: io::Error,
    },
}

/// A preset that a person has kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Own {
    /// Its name.
    pub name: String,
    /// Its file.
    pub path: PathBuf,
}

/// The folder of this user's presets of a plug-in.
fn folder_of(plug_in: &str) -> Result<PathBuf, &'static str> {
    let vendor = vendor_folder(std::env::consts::OS, |name| std::env::var_os(name))?;
    Ok(vendor.join(plug_in))
}

/// Keeps the `state` of `plug_in` under a name that is not in use, for this user's hosts.
///
/// # Errors
///
/// [`KeepError`]; nothing is left behind then.
pub fn keep(plug_in: &str, name: &str, state: &[u8]) -> Result<Own, KeepError> {
    let folder = folder_of(plug_in).map_err(KeepError::NoFolder)?;
    keep_in(&folder, plug_in, name, state)
}

fn keep_in(folder: &Path, plug_in: &str, name: &str, state: &[u8]) -> Result<Own, KeepError> {
    let name = checked(name)?;
    let path = folder.join(format!("{name}.{ENDING}"));
    let refused = |error| KeepError::Refused {
        path: path.clone(),
        error,
    };
    let content = write_preset(plug_in, state).ok_or_else(|| refused(io::ErrorKind::Unsupported.into()))?;
    fs::create_dir_all(folder).map_err(refused)?;
    // Fails where there is one, whatever the system makes of capital letters.
    let file = OpenOptions::new().write(true).create_new(true).open(&path);
    let mut file = file.map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => KeepError::InUse,
        _ => refused(error),
    })?;
    if let Err(error) = file.write_all(&content).and_then(|()| file.sync_all()) {
        drop(file);
        // Made just now: half a preset is of no use.
        let _left_behind_where_the_system_refuses = fs::remove_file(&path);
        return Err(refused(error));
    }
    Ok(Own {
        name: name.to_owned(),
        path: path.clone(),
    })
}

/// The name without spaces around it, if every system can have a file of it.
fn checked(name: &str) -> Result<&str, KeepError> {
    let name = name.trim();
    if name.is_empty() {
        return Err(KeepError::NoName);
    }
    if name.chars().count() > LONGEST_NAME {
        return Err(KeepError::TooLong);
    }
    let is_plain = |sign: char| sign.is_alphanumeric() || " -_+(),.'".contains(sign);
    let stem = name.split('.').next().unwrap_or_default().trim_end();
    if name.starts_with('.') || name.ends_with('.') || !name.chars().all(is_plain) || is_device(stem) {
        return Err(KeepError::BadName);
    }
    Ok(name)
}

/// Whether Windows takes a name for that of a device: one of a list, or a port with its number.
fn is_device(name: &str) -> bool {
    let name = name.to_ascii_uppercase();
    let port = name.strip_suffix(|sign: char| sign.is_ascii_digit());
    DEVICES.contains(&name.as_str()) || port.is_some_and(|port| ["COM", "LPT"].contains(&port))
}

/// The presets of a plug-in that this user has kept, by name. Those that an installation put there are left out.
#[must_use]
pub fn list(plug_in: &str) -> Vec<Own> {
    folder_of(plug_in)
        .map(|folder| list_in(&folder, plug_in))
        .unwrap_or_default()
}

fn list_in(folder: &Path, plug_in: &str) -> Vec<Own> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<Own> = entries
        .filter_map(|entry| own(entry.path()))
        .filter(|own| load(plug_in, &own.path).is_some())
        .collect();
    found.sort_by_key(|own| own.name.to_lowercase());
    found
}

/// A file of a person's own.
fn own(path: PathBuf) -> Option<Own> {
    let is_preset = path.extension() == Some(OsStr::new(ENDING));
    let name = path.file_stem()?.to_str()?.to_owned();
    let note = path.with_file_name(format!("{name}.{ENDING}{NOTE_ENDING}"));
    (is_preset && !note.exists()).then_some(Own { name, path })
}

/// The state in the preset file at `path`; `None` where it is no preset of `plug_in`.
#[must_use]
pub fn load(plug_in: &str, path: &Path) -> Option<Vec<u8>> {
    let file = read(path)?;
    (self::plug_in(&file)? == plug_in).then(|| read_preset(&file).map(<[u8]>::to_vec))?
}

/// The name of a person's own preset at `path` and the plug-in that it is for; `None` for any other file.
#[must_use]
pub fn plug_in_of(path: &Path) -> Option<(String, &'static str)> {
    let own = own(path.to_owned())?;
    let file = read(path)?;
    Some((own.name, plug_in(&file)?))
}

fn read(path: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let file = fs::File::open(path).ok()?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).ok()?;
    (bytes.len() as u64 <= MOST_BYTES).then_some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::{SISKIN, SISKIN_FOLLOW};

    #[test]
    fn what_is_kept_is_listed_and_loads_and_is_never_replaced() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("presets").join(SISKIN);
        assert_eq!(list_in(&folder, SISKIN), []);
        let kept = keep_in(&folder, SISKIN, " My lead, close (2) ", b"one").unwrap();
        assert_eq!(kept.name, "My lead, close (2)");
        let refused = keep_in(&folder, SISKIN, "My lead, close (2)", b"two").unwrap_err();
        assert!(matches!(refused, KeepError::InUse), "{refused}");
        keep_in(&folder, SISKIN, "a second", b"two").unwrap();
        let names: Vec<_> = list_in(&folder, SISKIN).into_iter().map(|own| own.name).collect();
        assert_eq!(names, ["a second", "My lead, close (2)"]);
        assert_eq!(load(SISKIN, &kept.path).unwrap(), b"one");
        assert_eq!(load(SISKIN_FOLLOW, &kept.path), None, "of the other plug-in");
        assert_eq!(plug_in_of(&kept.path), Some((kept.name.clone(), SISKIN)));
    }

    #[test]
    fn what_is_no_preset_of_a_person_is_left_out() {
        let home = tempfile::tempdir().unwrap();
        let at = |name: &str| home.path().join(name);
        keep_in(home.path(), SISKIN, "Lead", b"state").unwrap();
        fs::write(at("Lead.vstpreset.installed.txt"), "note").unwrap();
        fs::write(at("song.txt"), "VST3").unwrap();
        assert_eq!(list_in(home.path(), SISKIN), []);
        fs::write(at("broken.vstpreset"), "VST3").unwrap();
        fs::write(at("huge.vstpreset"), vec![0; MOST_BYTES as usize + 1]).unwrap();
        for name in ["broken", "huge", "missing"] {
            let path = at(&format!("{name}.vstpreset"));
            assert_eq!((load(SISKIN, &path), plug_in_of(&path)), (None, None), "{name}");
        }
    }

    #[test]
    fn names_that_some_system_lacks_files_of_are_refused() {
        for name in [
            "a/b", "a\\b", "..", ".hidden", "a:b", "con", "COM1", "nul.x", "end.", "tab\t1", "what?",
        ] {
            assert!(matches!(checked(name), Err(KeepError::BadName)), "{name}");
        }
        assert!(matches!(checked("  "), Err(KeepError::NoName)));
        assert!(matches!(checked(&"x".repeat(41)), Err(KeepError::TooLong)));
        for name in ["Zoë's lead", "consonants", "COMB", "com12", "v1.2"] {
            assert_eq!(checked(name).unwrap(), name);
        }
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_named() {
        let home = tempfile::tempdir().unwrap();
        let in_the_way = home.path().join("presets");
        fs::write(&in_the_way, "a file").unwrap();
        let refused = keep_in(&in_the_way.join(SISKIN), SISKIN, "mine", b"state").unwrap_err();
        assert!(refused.to_string().contains("presets"), "{refused}");
        assert_eq!(fs::read(&in_the_way).unwrap(), b"a file");
    }
}
