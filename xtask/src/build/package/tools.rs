//! What the packages are built and checked with: each tool, how its absence is noticed, and what installs it.

use std::path::Path;
use std::process::Command;

use anyhow::{Result, bail};

use super::system::System;
use crate::setup::debian::{self, Package};
use crate::setup::process::{line, output, succeed};
use crate::setup::python::PACKAGING;
use crate::setup::workspace::Workspace;

/// Links for Windows.
const MINGW: Package = ("gcc-mingw-w64-x86-64", "x86_64-w64-mingw32-gcc --version");
/// Run what was built for other systems, the editor with it.
const WINE: &[Package] = &[
    ("wine", "wine --version"),
    ("wine64", "ls /usr/lib/wine/wine64"),
    ("xvfb", "command -v Xvfb"),
];
const ARM: &[Package] = &[
    ("qemu-user", "qemu-aarch64 --version"),
    ("gcc-aarch64-linux-gnu", "aarch64-linux-gnu-gcc --version"),
    // The C library that the tests are built against and load there; the compiler only recommends it.
    (
        "libc6-dev-arm64-cross",
        "ls /usr/aarch64-linux-gnu/include/stdlib.h",
    ),
];

/// Sees that everything is there that builds the packages of `systems` (and, for `check`, runs them): installs it, for
/// `setup`, or fails with a line for each thing that is missing.
pub fn provide(workspace: &Workspace, systems: &[System], setup: bool, check: bool) -> Result<()> {
    let debian = debian::missing(&packages(systems, check));
    let mut others: Vec<Command> = Vec::new();
    for triple in systems.iter().flat_map(|system| system.triples()) {
        let library = output(Command::new("rustc").args(["--print", "target-libdir", "--target", triple]))?;
        if !Path::new(library.trim()).exists() {
            let mut rustup = Command::new("rustup");
            rustup.args(["target", "add", triple]);
            others.push(rustup);
        }
    }
    // For Linux it links; what is linked for macOS is checked against its lists.
    let uses_zig = |system: &System| match system {
        System::LinuxX86_64 | System::LinuxAarch64 => true,
        System::MacOs => check,
        System::Windows => false,
    };
    let wants_zig = systems.iter().any(uses_zig) && !PACKAGING.is_complete(workspace)?;
    if setup {
        debian::install(&debian, "the packages")?;
        others.iter_mut().try_for_each(|command| {
            println!("{}", line(command));
            succeed(command)
        })?;
        return if wants_zig {
            PACKAGING.install(workspace)
        } else {
            Ok(())
        };
    }
    let mut missing: Vec<String> = debian
        .iter()
        .map(|package| format!("missing: {package}; apt-get install {package}"))
        .collect();
    missing.extend(
        others
            .iter()
            .map(|command| format!("missing: a target of Rust; {}", line(command))),
    );
    if wants_zig {
        missing.push("missing: zig, under target/package-tools; cargo xtask package --setup".into());
    }
    if missing.is_empty() {
        return Ok(());
    }
    bail!(
        "{}\ncargo xtask package --setup installs all of it",
        missing.join("\n")
    )
}

/// Whether the library of `system` can be built without installing anything.
pub fn are_ready(workspace: &Workspace, system: System) -> bool {
    provide(workspace, &[system], false, false).is_ok()
}

/// `cargo-zigbuild`, which finds zig beside itself.
pub fn zigbuild(workspace: &Workspace) -> Result<Command> {
    let mut command = PACKAGING.tool(workspace, "cargo-zigbuild")?;
    let folder = PACKAGING.programs(workspace);
    let inherited = std::env::var_os("PATH").unwrap_or_default();
    let path = std::iter::once(folder).chain(std::env::split_paths(&inherited));
    command.env("PATH", std::env::join_paths(path)?);
    // An exported linker would be taken instead of zig.
    for triple in System::ALL.iter().flat_map(|system| system.triples()) {
        let name = triple.to_uppercase().replace('-', "_");
        command.env_remove(format!("CARGO_TARGET_{name}_LINKER"));
    }
    Ok(command)
}

fn packages(systems: &[System], check: bool) -> Vec<Package> {
    let mut packages = Vec::new();
    for system in systems {
        match system {
            System::Windows => {
                packages.push(MINGW);
                packages.extend(check.then_some(WINE).into_iter().flatten());
            }
            System::LinuxAarch64 => packages.extend(check.then_some(ARM).into_iter().flatten()),
            System::LinuxX86_64 | System::MacOs => {}
        }
    }
    packages
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_the_chosen_systems_need_is_asked_for() {
        let names = |systems: &[System], check| -> Vec<&str> {
            packages(systems, check)
                .into_iter()
                .map(|(name, _)| name)
                .collect()
        };
        assert!(names(&[System::MacOs, System::LinuxX86_64], true).is_empty());
        assert_eq!(names(&[System::Windows], false), ["gcc-mingw-w64-x86-64"]);
        assert!(names(&[System::Windows], true).contains(&"wine"));
        assert!(names(&[System::LinuxAarch64], true).contains(&"qemu-user"));
    }
}
