//! Debian packages: those that only tests need, and whether and how packages are installed.

use std::process::Command;

use anyhow::{Result, bail};

use super::process::{line, quiet, succeed};

/// A package, with a command that succeeds where what it brings is there already, from whatever source.
pub type Package = (&'static str, &'static str);

/// What the tests need.
///
/// Python with virtual environments hosts the VST3 bundle and prepares the voices. The library of a speech synthesiser
/// brings its data. strace shows the system calls of a plug-in, valgrind tests memory. Xvfb is an X server without a
/// screen, Chromium shows the reports; the others are what the editor opens at run time: X11, its keyboard, EGL and a driver that needs no graphics card.
pub const FOR_TESTS: &[Package] = &[
    ("python3-venv", "python3 -c 'import ensurepip, venv'"),
    (
        "libespeak-ng1",
        "python3 -c 'import ctypes; ctypes.CDLL(\"libespeak-ng.so.1\")'",
    ),
    ("strace", "strace --version"),
    ("valgrind", "valgrind --version"),
    ("xvfb", "command -v Xvfb"),
    (
        "libx11-xcb1",
        "python3 -c 'import ctypes; ctypes.CDLL(\"libX11-xcb.so.1\")'",
    ),
    (
        "libxkbcommon-x11-0",
        "python3 -c 'import ctypes; ctypes.CDLL(\"libxkbcommon-x11.so.0\")'",
    ),
    (
        "libegl1",
        "python3 -c 'import ctypes; ctypes.CDLL(\"libEGL.so.1\")'",
    ),
    ("libgl1-mesa-dri", "ls /usr/lib/*/dri/swrast_dri.so"),
    ("chromium", "chromium --version"),
];

/// Those of `packages` that are not there.
pub fn missing(packages: &[Package]) -> Vec<&'static str> {
    packages
        .iter()
        .filter(|(_, probe)| !succeeds(probe))
        .map(|(name, _)| *name)
        .collect()
}

/// Installs the `missing` packages, which `user` needs; prints the commands first. Without root it prints what to run and
/// stops.
pub fn install(missing: &[&str], user: &str) -> Result<()> {
    if missing.is_empty() {
        return Ok(());
    }
    let mut update = Command::new("apt-get");
    update.arg("update");
    let mut install = Command::new("apt-get");
    install
        .args(["install", "--yes", "--no-install-recommends"])
        .args(missing)
        .env("DEBIAN_FRONTEND", "noninteractive");
    if !succeeds("apt-get --version") {
        bail!(
            "{user} need {}: install it, then run this again",
            missing.join(", ")
        );
    }
    if !succeeds("test $(id -u) = 0") {
        bail!(
            "run this as root, then this command again: {} && {}",
            line(&update),
            line(&install)
        );
    }
    for command in [&mut update, &mut install] {
        println!("{}", line(command));
        succeed(command)?;
    }
    Ok(())
}

/// Whether a line of the shell succeeds, whatever it prints.
pub fn succeeds(line: &str) -> bool {
    quiet(Command::new("sh").args(["-c", line]))
        .status()
        .is_ok_and(|status| status.success())
}
