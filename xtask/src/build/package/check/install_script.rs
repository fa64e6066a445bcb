//! The install script of an unpacked package, run in an empty home.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

use super::super::system::System;
use super::wine::Wine;
use crate::build::install::Folders;
use crate::setup::process::quiet;
use crate::setup::workspace::Workspace;

/// A version that no package will have.
const NEWER: &str = "Siskin 99.0.0\n";

/// What runs the script with arguments, and says whether it succeeded.
type Script<'a> = Box<dyn Fn(&[&str]) -> Result<bool> + 'a>;

/// Runs the script of the package at `unpacked`: it copies everything, replaces nothing newer unasked, leaves alone what is
/// not its own, and removes what it copied.
pub fn check(workspace: &Workspace, system: System, unpacked: &Path) -> Result<()> {
    let home = tempfile::Builder::new().prefix("Zoë K").tempdir()?;
    let script: Script<'_> = match system {
        System::Windows => {
            let wine = Wine::prepare(workspace, None)?;
            let (unpacked, home) = (unpacked.to_owned(), home.path().to_owned());
            Box::new(move |arguments| on_windows(&wine, &unpacked, &home, arguments))
        }
        _ => {
            let tools = tempfile::tempdir()?;
            let (unpacked, home) = (unpacked.to_owned(), home.path().to_owned());
            Box::new(move |arguments| on_unix(system, &unpacked, &home, tools.path(), arguments))
        }
    };
    check_with(&*script, &folders(system, home.path())?, unpacked, home.path())
}

/// Where the script is to put things, for a person whose home is `home`.
fn folders(system: System, home: &Path) -> Result<Folders> {
    let name = match system {
        System::LinuxX86_64 | System::LinuxAarch64 => "linux",
        System::MacOs => "macos",
        System::Windows => "windows",
    };
    Folders::on(name, |variable| {
        let below = if variable == "LOCALAPPDATA" {
            "AppData/Local"
        } else {
            ""
        };
        Some(home.join(below).into())
    })
}

fn check_with(
    script: &dyn Fn(&[&str]) -> Result<bool>,
    folders: &Folders,
    unpacked: &Path,
    home: &Path,
) -> Result<()> {
    ensure!(script(&[])?, "the script does not install");
    let (clap, vst3) = (folders.clap.join("Siskin.clap"), folders.vst3.join("Siskin.vst3"));
    let pairs = [
        ("Siskin.clap", &clap),
        ("Siskin.vst3", &vst3),
        ("presets", &folders.presets),
    ];
    for (source, target) in pairs {
        for file in files(&unpacked.join(source)) {
            let copy = match file.strip_prefix(unpacked.join(source))? {
                below if below.as_os_str().is_empty() => target.clone(),
                below => target.join(below),
            };
            let is_alike =
                fs::read(&copy).is_ok_and(|copied| fs::read(&file).is_ok_and(|given| copied == given));
            ensure!(is_alike, "{} was not copied", copy.display());
        }
    }
    let note = vst3.with_file_name("Siskin.vst3.installed.txt");
    fs::write(&note, NEWER).context("no note was left")?;
    ensure!(!script(&[])?, "the script replaces a newer version unasked");
    ensure!(
        fs::read_to_string(&note)? == NEWER,
        "the script changed a newer version"
    );
    // What a person keeps beside the starting points.
    let own = folders.presets.join("Siskin").join("My own.vstpreset");
    fs::write(&own, "a person's").context("no starting points were copied")?;
    ensure!(script(&["remove"])?, "the script does not remove");
    ensure!(files(home) == [own], "the script leaves {:?}", files(home));
    fs::write(&clap, "somebody else's").context("the folder has gone")?;
    ensure!(!script(&[])?, "the script replaces what it did not install");
    ensure!(
        script(&["remove"])? && clap.exists(),
        "the script removes what it did not install"
    );
    Ok(())
}

/// Every file in `folder`, or `folder` itself where it is one; sorted.
fn files(folder: &Path) -> Vec<PathBuf> {
    if folder.is_file() {
        return vec![folder.to_owned()];
    }
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.flat_map(|entry| files(&entry.path())).collect();
    files.sort();
    files
}

/// Runs the script where `uname` names `system`, with no one to answer.
fn on_unix(system: System, unpacked: &Path, home: &Path, tools: &Path, arguments: &[&str]) -> Result<bool> {
    let name = if system == System::MacOs {
        "Darwin"
    } else {
        "Linux"
    };
    let uname = tools.join("uname");
    fs::write(&uname, format!("#!/bin/sh\necho {name}\n"))?;
    #[cfg(unix)]
    fs::set_permissions(&uname, std::os::unix::fs::PermissionsExt::from_mode(0o755))?;
    let inherited = std::env::var_os("PATH").unwrap_or_default();
    let path = std::iter::once(tools.to_owned()).chain(std::env::split_paths(&inherited));
    let mut script = Command::new("sh");
    script
        .arg(unpacked.join("install.sh"))
        .args(arguments)
        .env("HOME", home)
        .env("PATH", std::env::join_paths(path)?);
    quiet(&mut script)
        .status()
        .map(|status| status.success())
        .context("sh cannot be started")
}

/// Runs the script in Windows' shell, for a person whose home is `home`.
fn on_windows(wine: &Wine, unpacked: &Path, home: &Path, arguments: &[&str]) -> Result<bool> {
    let home = Wine::path(home);
    let line = format!(
        "set LOCALAPPDATA={home}\\AppData\\Local&&set USERPROFILE={home}&&install.cmd {}",
        arguments.join(" ")
    );
    let mut script = wine.command("cmd");
    script.args(["/c", line.trim_end()]).current_dir(unpacked);
    quiet(&mut script)
        .status()
        .map(|status| status.success())
        .context("wine cannot be started")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn script_installs_and_removes_without_a_trace() {
        for system in [System::LinuxX86_64, System::MacOs] {
            let place = tempfile::Builder::new().prefix("Stück 1").tempdir().unwrap();
            let script = include_str!("../../../../package/install.sh").replace("@VERSION@", "1.2.3");
            for (path, content) in [
                ("install.sh", script.as_str()),
                ("Siskin.clap", "clap"),
                ("Siskin.vst3/Contents/library", "vst3"),
                ("presets/Siskin/Lead.vstpreset", "one"),
                ("presets/Siskin Follow/Backing stack.vstpreset", "two"),
            ] {
                let path = place.path().join(path);
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, content).unwrap();
            }
            let workspace = Workspace {
                root: PathBuf::new(),
                target: PathBuf::new(),
            };
            check(&workspace, system, place.path()).unwrap();
        }
    }
}
