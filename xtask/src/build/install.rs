//! `cargo xtask install` and `cargo xtask uninstall`.
//!
//! Beside each bundle that is put into a plug-in folder, and each VST3 preset that is put where hosts look for them, lies a
//! note that says so. What has no note was put there by somebody else: it is neither replaced nor removed.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, ensure};
use siskin_presets::{NOTE_ENDING, vendor_folder};

use super::bundle::{self, Bundles};
use super::package;
use super::presets::{self, VST3_PRESET};
use crate::setup::files;
use crate::setup::workspace::Workspace;

/// What the note beside an installed bundle says. The scripts of the packages read the version from its first line.
const NOTE: &str = concat!(
    "Siskin ",
    env!("CARGO_PKG_VERSION"),
    "\nPut here by `cargo xtask install` of Siskin. `cargo xtask uninstall` removes it.\n"
);

/// Builds the bundles and copies them to this user's plug-in folders, and the VST3 presets to this user's.
pub fn install() -> Result<()> {
    let folders = Folders::of_this_user()?;
    let bundles = match package::portable_bundles(&Workspace::locate()?)? {
        Some(bundles) => bundles,
        None => bundle::build()?,
    };
    for (bundle, target) in folders.targets(&bundles)? {
        put(bundle, &target)?;
        println!("installed {}", target.display());
    }
    take_away_presets(&folders.presets)?;
    put_presets(&bundles.presets, &folders.presets)
}

/// Removes the bundles and the presets from this user's folders.
pub fn uninstall() -> Result<()> {
    let bundles = Bundles::of(&Workspace::locate()?);
    let folders = Folders::of_this_user()?;
    for (_, target) in folders.targets(&bundles)? {
        match take_away(&target)? {
            Found::Ours => println!("removed {}", target.display()),
            Found::Nothing => println!("not installed: {}", target.display()),
            Found::Foreign => println!("left alone, not installed by this command: {}", target.display()),
        }
    }
    for target in take_away_presets(&folders.presets)? {
        println!("removed {}", target.display());
    }
    Ok(())
}

/// Copies the VST3 presets among `built` to `vendor`, the vendor's folder of presets. A preset of somebody else that has
/// one's name stays and is reported.
fn put_presets(built: &Path, vendor: &Path) -> Result<()> {
    for preset in presets::files(built) {
        let Ok(below) = preset.strip_prefix(built) else {
            continue;
        };
        let target = vendor.join(below);
        if preset.extension().is_none_or(|ending| ending != VST3_PRESET) {
            continue;
        }
        if find(&target) == Found::Foreign {
            println!("left alone, not installed by this command: {}", target.display());
            continue;
        }
        put(&preset, &target)?;
        println!("installed {}", target.display());
    }
    Ok(())
}

/// Removes the presets in `vendor` that have a note, of whatever version, then the folders that are empty: which presets
/// they were.
fn take_away_presets(vendor: &Path) -> Result<Vec<PathBuf>> {
    let noted = |note: &PathBuf| Some(PathBuf::from(note.to_str()?.strip_suffix(NOTE_ENDING)?));
    let targets: Vec<PathBuf> = presets::files(vendor).iter().filter_map(noted).collect();
    for target in &targets {
        take_away(target)?;
    }
    let emptied = targets.iter().filter_map(|target| target.parent());
    for folder in emptied.chain((!targets.is_empty()).then_some(vendor)) {
        // Refused while anything else is in it.
        let _kept = fs::remove_dir(folder);
    }
    Ok(targets)
}

/// Where this user's hosts look: the folders that the CLAP and VST3 standards name.
pub struct Folders {
    /// For CLAP bundles.
    pub clap: PathBuf,
    /// For VST3 bundles.
    pub vst3: PathBuf,
    /// The vendor's folder of presets.
    pub presets: PathBuf,
}

impl Folders {
    fn of_this_user() -> Result<Self> {
        Self::on(std::env::consts::OS, |variable| std::env::var_os(variable))
    }

    /// On the system that Rust calls `system`, with the variables of its environment.
    pub fn on(system: &str, variable: impl Fn(&str) -> Option<OsString>) -> Result<Self> {
        let unset = |name: &str| format!("${name} is not set, so your plug-in folders are not known");
        let folder = |name: &str| {
            variable(name)
                .filter(|folder| !folder.is_empty())
                .map(PathBuf::from)
                .with_context(|| unset(name))
        };
        let presets = vendor_folder(system, &variable).map_err(|name| anyhow!(unset(name)))?;
        let (above, clap, vst3) = match system {
            "macos" => (folder("HOME")?.join("Library/Audio/Plug-Ins"), "CLAP", "VST3"),
            "windows" => (
                folder("LOCALAPPDATA")?.join("Programs").join("Common"),
                "CLAP",
                "VST3",
            ),
            _ => (folder("HOME")?, ".clap", ".vst3"),
        };
        Ok(Self {
            clap: above.join(clap),
            vst3: above.join(vst3),
            presets,
        })
    }

    /// Each bundle, and where it belongs.
    fn targets<'a>(&self, bundles: &'a Bundles) -> Result<[(&'a Path, PathBuf); 2]> {
        let target = |bundle: &'a Path, folder: &Path| {
            let name = bundle.file_name().context("a bundle without a name")?;
            anyhow::Ok((bundle, folder.join(name)))
        };
        Ok([
            target(&bundles.clap, &self.clap)?,
            target(&bundles.vst3, &self.vst3)?,
        ])
    }
}

/// What lies where a bundle belongs.
#[derive(Debug, PartialEq, Eq)]
enum Found {
    Nothing,
    Ours,
    Foreign,
}

/// The note beside the bundle at `target`.
fn note(target: &Path) -> PathBuf {
    let mut name = target.as_os_str().to_owned();
    name.push(NOTE_ENDING);
    PathBuf::from(name)
}

fn find(target: &Path) -> Found {
    match (target.symlink_metadata().is_ok(), note(target).exists()) {
        (_, true) => Found::Ours,
        (true, false) => Found::Foreign,
        (false, false) => Found::Nothing,
    }
}

/// Copies `bundle` to `target`. The note is written first: a copy that is cut short can still be removed.
fn put(bundle: &Path, target: &Path) -> Result<()> {
    ensure!(
        find(target) != Found::Foreign,
        "{} was not installed by this command: move it away, then install again",
        target.display()
    );
    ensure!(
        bundle.exists(),
        "{} is missing: run `cargo xtask bundle` first",
        bundle.display()
    );
    take_away(target)?;
    files::write(&note(target), NOTE)?;
    files::copy(bundle, target)
}

/// Removes the bundle at `target`, then its note, if it is ours.
fn take_away(target: &Path) -> Result<Found> {
    let found = find(target);
    if found == Found::Ours {
        files::remove(target)?;
        files::remove(&note(target))?;
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of one test alone with a built bundle.
    fn scratch() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let contents = folder.path().join("Siskin.vst3/Contents");
        fs::create_dir_all(&contents).unwrap();
        fs::write(contents.join("Siskin.so"), "built").unwrap();
        folder
    }

    #[test]
    fn folders_of_each_system() {
        let homes = [
            ("HOME", "/home/Zoë K"),
            ("LOCALAPPDATA", "C:/Users/Zoë K/AppData/Local"),
            ("USERPROFILE", "C:/Users/Zoë K"),
        ];
        let set = |name: &str| {
            let mut known = homes.into_iter();
            known
                .find(|(known, _)| *known == name)
                .map(|(_, folder)| folder.into())
        };
        for (system, clap, vst3, presets) in [
            (
                "linux",
                "/home/Zoë K/.clap",
                "/home/Zoë K/.vst3",
                "/home/Zoë K/.vst3/presets/Siskin",
            ),
            (
                "macos",
                "/home/Zoë K/Library/Audio/Plug-Ins/CLAP",
                "/home/Zoë K/Library/Audio/Plug-Ins/VST3",
                "/home/Zoë K/Library/Audio/Presets/Siskin",
            ),
            (
                "windows",
                "C:/Users/Zoë K/AppData/Local/Programs/Common/CLAP",
                "C:/Users/Zoë K/AppData/Local/Programs/Common/VST3",
                "C:/Users/Zoë K/Documents/VST3 Presets/Siskin",
            ),
        ] {
            let folders = Folders::on(system, set).unwrap();
            let found = [folders.clap, folders.vst3, folders.presets];
            assert_eq!(found, [clap, vst3, presets].map(PathBuf::from), "{system}");
            let error = Folders::on(system, |_| Some(OsString::new())).err().unwrap();
            assert!(error.to_string().contains("is not set"), "{error}");
        }
    }

    #[test]
    fn what_was_installed_is_replaced_and_removed_without_a_trace() {
        let scratch = scratch();
        let (bundle, folder) = (
            scratch.path().join("Siskin.vst3"),
            scratch.path().join("plug-ins"),
        );
        let target = folder.join("Siskin.vst3");
        put(&bundle, &target).unwrap();
        fs::write(target.join("of an older version"), "").unwrap();
        put(&bundle, &target).unwrap();
        assert_eq!(
            fs::read_to_string(target.join("Contents/Siskin.so")).unwrap(),
            "built"
        );
        assert!(!target.join("of an older version").exists());
        assert_eq!(take_away(&target).unwrap(), Found::Ours);
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 0);
        assert_eq!(take_away(&target).unwrap(), Found::Nothing);
    }

    #[test]
    fn what_somebody_else_put_there_stays() {
        let scratch = scratch();
        let target = scratch.path().join("theirs.vst3");
        fs::write(&target, "theirs").unwrap();
        let error = put(&scratch.path().join("Siskin.vst3"), &target).unwrap_err();
        assert!(
            error.to_string().contains("was not installed by this command"),
            "{error}"
        );
        assert_eq!(take_away(&target).unwrap(), Found::Foreign);
        assert_eq!(fs::read_to_string(&target).unwrap(), "theirs");
    }

    #[test]
    fn presets_come_and_go_without_a_trace_and_without_those_of_others() {
        let scratch = scratch();
        let (built, vendor) = (
            scratch.path().join("built"),
            scratch.path().join("presets/Siskin"),
        );
        for file in [
            "Siskin/One.vstpreset",
            "Siskin/One.json",
            "Siskin Follow/Two.vstpreset",
        ] {
            let file = built.join(file);
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(file, "built").unwrap();
        }
        put_presets(&built, &vendor).unwrap();
        let one = vendor.join("Siskin/One.vstpreset");
        assert_eq!(fs::read_to_string(&one).unwrap(), "built");
        assert!(!vendor.join("Siskin/One.json").exists());
        assert_eq!(take_away_presets(&vendor).unwrap().len(), 2);
        assert!(!vendor.exists() && scratch.path().join("presets").exists());

        fs::create_dir_all(one.parent().unwrap()).unwrap();
        fs::write(&one, "theirs").unwrap();
        put_presets(&built, &vendor).unwrap();
        assert_eq!(take_away_presets(&vendor).unwrap().len(), 1);
        assert_eq!(fs::read_to_string(&one).unwrap(), "theirs");
        assert!(!vendor.join("Siskin Follow").exists());
    }

    #[test]
    fn a_bundle_that_was_not_built_is_one_clear_line() {
        let scratch = scratch();
        let error = put(
            &scratch.path().join("none.clap"),
            &scratch.path().join("x/none.clap"),
        )
        .unwrap_err();
        assert!(
            error.to_string().contains("run `cargo xtask bundle` first"),
            "{error}"
        );
        assert!(!scratch.path().join("x").exists());
    }
}
