//! The plug-ins' library and the program for each system, built on this machine.
//!
//! Linux: zig links, against the symbols of an old glibc. Windows: mingw links. macOS: the linker that comes with Rust,
//! against stubs of Apple's libraries that list only what the plug-ins and the program import (`xtask/package/macos-sdk`): where the code
//! comes to import more, linking fails and names the symbol, which belongs into the stub of its library.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};

use super::system::System;
use super::{macos, tools};
use crate::setup::files;
use crate::setup::process::{cargo, succeed};
use crate::setup::workspace::Workspace;

/// The oldest glibc that loads the plug-ins: of 2012, older than what any host of either format needs (from memory).
pub const OLDEST_GLIBC: (u32, u32) = (2, 17);
/// The linker for macOS signs what it links, without an identity: Apple's processors run nothing unsigned. It names every
/// symbol that the stubs lack at once.
const MACOS_LINK: [&str; 6] = [
    "-C",
    "linker=rust-lld",
    "-C",
    "linker-flavor=ld64.lld",
    "-C",
    "link-args=-adhoc_codesign --error-limit=0",
];

/// What the compiler makes for a package.
pub struct Binaries {
    /// Of the plug-ins.
    pub library: Vec<u8>,
    /// The program `siskin`.
    pub program: Vec<u8>,
}

/// What is built at a time.
struct Product {
    /// By cargo's words.
    selected: &'static [&'static str],
    /// For the compiler, on macOS alone.
    macos: &'static [&'static str],
}

/// A library knows its own name on macOS, so that nobody looks for it under the name that it was built with.
const LIBRARY: Product = Product {
    selected: &["--package", "siskin", "--lib"],
    macos: &["-C", "link-args=-install_name @rpath/Siskin"],
};
const PROGRAM: Product = Product {
    selected: &["--package", "siskin-program", "--bin", "siskin"],
    macos: &[],
};

/// Builds the library of `system`; on macOS that of every processor, as one.
pub fn library(workspace: &Workspace, system: System) -> Result<Vec<u8>> {
    built(workspace, system, &LIBRARY, system.library_name())
}

/// Builds the library and the program `siskin` of `system`.
pub fn binaries(workspace: &Workspace, system: System) -> Result<Binaries> {
    Ok(Binaries {
        library: library(workspace, system)?,
        program: built(workspace, system, &PROGRAM, system.program_name())?,
    })
}

fn built(workspace: &Workspace, system: System, product: &Product, file: &str) -> Result<Vec<u8>> {
    let mut built = Vec::new();
    for triple in system.triples() {
        println!("building {file} for {triple}");
        succeed(&mut command(workspace, system, triple, product)?)?;
        built.push(files::read(
            &target(workspace).join(triple).join("release").join(file),
        )?);
    }
    match system {
        System::MacOs => macos::universal(built),
        _ => built.pop().context("a system without a processor"),
    }
}

/// Out of the way of other builds, whose flags differ.
pub fn target(workspace: &Workspace) -> PathBuf {
    workspace.target.join("cross")
}

/// The target `triple` as zig takes it, with the glibc that is linked against.
pub fn with_oldest_glibc(triple: &str) -> String {
    let (major, minor) = OLDEST_GLIBC;
    format!("{triple}.{major}.{minor}")
}

fn command(workspace: &Workspace, system: System, triple: &str, product: &Product) -> Result<Command> {
    let (mut build, work, target) = match system {
        System::LinuxX86_64 | System::LinuxAarch64 => {
            (tools::zigbuild(workspace)?, "zigbuild", with_oldest_glibc(triple))
        }
        System::Windows => (cargo(workspace), "build", triple.to_owned()),
        System::MacOs => (cargo(workspace), "rustc", triple.to_owned()),
    };
    if system == System::MacOs {
        build.env("SDKROOT", workspace.root.join("xtask/package/macos-sdk"));
    } else {
        build.env("CARGO_PROFILE_RELEASE_STRIP", "symbols");
    }
    build
        .args([work, "--target", &target])
        .args(product.selected)
        .args(["--release", "--locked"])
        .current_dir(&workspace.root)
        .env("CARGO_TARGET_DIR", self::target(workspace))
        .env("CARGO_ENCODED_RUSTFLAGS", flags(&workspace.root)?);
    if system == System::MacOs {
        build.arg("--").args(MACOS_LINK).args(product.macos);
    }
    Ok(build)
}

/// Flags that keep the folders of this machine out of the library: panics name the files of packages.
fn flags(root: &Path) -> Result<String> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home
        .or_else(|| Some(std::env::home_dir()?.join(".cargo")))
        .context("neither $CARGO_HOME nor a home folder is known")?;
    let renamed = |from: &Path, to: &str| format!("--remap-path-prefix={}={to}", from.display());
    // The character that separates flags in this variable.
    Ok([
        renamed(root, "siskin"),
        renamed(&home.join("registry/src"), "registry"),
    ]
    .join("\u{1f}"))
}
