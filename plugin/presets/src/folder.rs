//! Where hosts look for the presets of this user: VST3's developer portal, "Preset Locations" (read for macOS and Windows;
//! for Linux from memory).

use std::ffi::OsString;
use std::path::PathBuf;

/// The vendor, as the plug-ins tell it to hosts.
const VENDOR: &str = "Siskin";

/// The vendor's folder of presets on the system that Rust calls `system`, with the variables of its environment. Below it is
/// one folder for each plug-in.
///
/// # Errors
///
/// The variable that is not set.
pub fn vendor_folder(
    system: &str,
    variable: impl Fn(&str) -> Option<OsString>,
) -> Result<PathBuf, &'static str> {
    let (home, below) = match system {
        "macos" => ("HOME", "Library/Audio/Presets"),
        "windows" => ("USERPROFILE", "Documents/VST3 Presets"),
        _ => ("HOME", ".vst3/presets"),
    };
    let folder = variable(home).filter(|folder| !folder.is_empty()).ok_or(home)?;
    // Part by part: each gets the system's own separator.
    Ok(below
        .split('/')
        .chain([VENDOR])
        .fold(PathBuf::from(folder), |path, part| path.join(part)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folder_of_each_system() {
        let set = |name: &str| Some(OsString::from(format!("/{name}/Zoë K")));
        for (system, folder) in [
            ("linux", "/HOME/Zoë K/.vst3/presets/Siskin"),
            ("macos", "/HOME/Zoë K/Library/Audio/Presets/Siskin"),
            ("windows", "/USERPROFILE/Zoë K/Documents/VST3 Presets/Siskin"),
        ] {
            assert_eq!(vendor_folder(system, set), Ok(PathBuf::from(folder)), "{system}");
        }
        assert_eq!(vendor_folder("linux", |_| Some(OsString::new())), Err("HOME"));
    }
}
