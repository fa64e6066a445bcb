//! The Debian packages that only tests need.

use std::process::{Command, Stdio};

use anyhow::{Result, bail};

use super::{line, succeed};

/// A package, and a command that succeeds where what it brings is there already, from whatever source.
struct Package {
    name: &'static str,
    probe: &'static [&'static str],
}

/// Python with virtual environments: it hosts the VST3 bundle and prepares the voices. The library of a speech
/// synthesiser, which brings its data. What shows the system calls of a plug-in, and what tests memory. An X server
/// without a screen, and what the editor opens at run time: X11, its keyboard, EGL and a driver that draws by the processor.
const PACKAGES: &[Package] = &[
    Package {
        name: "python3-venv",
        probe: &["python3", "-c", "import ensurepip, venv"],
    },
    Package {
        name: "libespeak-ng1",
        probe: &["python3", "-c", "import ctypes; ctypes.CDLL('libespeak-ng.so.1')"],
    },
    Package {
        name: "strace",
        probe: &["strace", "--version"],
    },
    Package {
        name: "valgrind",
        probe: &["valgrind", "--version"],
    },
    Package {
        name: "xvfb",
        probe: &["sh", "-c", "command -v Xvfb"],
    },
    Package {
        name: "libx11-xcb1",
        probe: &["python3", "-c", "import ctypes; ctypes.CDLL('libX11-xcb.so.1')"],
    },
    Package {
        name: "libxkbcommon-x11-0",
        probe: &[
            "python3",
            "-c",
            "import ctypes; ctypes.CDLL('libxkbcommon-x11.so.0')",
        ],
    },
    Package {
        name: "libegl1",
        probe: &["python3", "-c", "import ctypes; ctypes.CDLL('libEGL.so.1')"],
    },
    Package {
        name: "libgl1-mesa-dri",
        probe: &["sh", "-c", "ls /usr/lib/*/dri/swrast_dri.so"],
    },
];

/// Installs the packages that are missing; prints the commands first. Without root it prints what to run and stops.
pub fn install_missing() -> Result<()> {
    let missing: Vec<&str> = PACKAGES
        .iter()
        .filter(|package| !succeeds(package.probe))
        .map(|package| package.name)
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    let mut update = Command::new("apt-get");
    update.arg("update");
    let mut install = Command::new("apt-get");
    install
        .args(["install", "--yes", "--no-install-recommends"])
        .args(&missing)
        .env("DEBIAN_FRONTEND", "noninteractive");
    if !succeeds(&["apt-get", "--version"]) {
        bail!(
            "the tests need {}: install it, then run this again",
            missing.join(", ")
        );
    }
    if !is_root() {
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

fn is_root() -> bool {
    Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}

fn succeeds(command: &[&str]) -> bool {
    Command::new(command[0])
        .args(&command[1..])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}
