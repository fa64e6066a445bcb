//! The Python environment that only tests need: pinned packages under `target/venv`.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use super::process::{line, succeed};
use super::workspace::Workspace;

/// Prints the installed versions of the packages that its arguments name, as `name==version` lines.
const LIST_VERSIONS: &str = "import sys, importlib.metadata as m
for name in sys.argv[1:]: print(f'{name}=={m.version(name)}')";

/// The interpreter of the environment, if it holds what the tests need.
pub fn interpreter(workspace: &Workspace) -> Result<PathBuf> {
    let python = path(workspace);
    if !is_complete(workspace, &python)? {
        bail!("the tests need Python packages under target/venv; run: cargo xtask test --setup");
    }
    Ok(python)
}

/// Makes the environment and installs the pinned packages, where that has not been done.
pub fn install(workspace: &Workspace) -> Result<()> {
    let python = path(workspace);
    if is_complete(workspace, &python)? {
        return Ok(());
    }
    let mut make = Command::new("python3");
    make.args(["-m", "venv"]).arg(workspace.target.join("venv"));
    let mut install = Command::new(&python);
    install
        .args([
            "-m",
            "pip",
            "install",
            "--disable-pip-version-check",
            "--requirement",
        ])
        .arg(requirements_file(workspace))
        .arg("--requirement")
        .arg(tools_file(workspace));
    for command in [&mut make, &mut install] {
        println!("{}", line(command));
        succeed(command)?;
    }
    Ok(())
}

fn path(workspace: &Workspace) -> PathBuf {
    let venv = workspace.target.join("venv");
    if cfg!(windows) {
        venv.join("Scripts").join("python.exe")
    } else {
        venv.join("bin").join("python")
    }
}

/// What the environment is to hold.
pub fn requirements_file(workspace: &Workspace) -> PathBuf {
    workspace.root.join("tests/python/requirements.txt")
}

/// What is checked with, and no test reads.
fn tools_file(workspace: &Workspace) -> PathBuf {
    workspace.root.join("tests/python/tools.txt")
}

/// A program that the environment brings.
pub fn tool(workspace: &Workspace, name: &str) -> Result<Command> {
    Ok(Command::new(interpreter(workspace)?.with_file_name(name)))
}

/// Whether every pinned package is there in the very version.
fn is_complete(workspace: &Workspace, python: &Path) -> Result<bool> {
    let mut wanted = String::new();
    for file in [requirements_file(workspace), tools_file(workspace)] {
        wanted +=
            &std::fs::read_to_string(&file).with_context(|| format!("{} cannot be read", file.display()))?;
    }
    let names = wanted
        .lines()
        .filter_map(|line| line.split_once("==").map(|(name, _version)| name));
    let listed = Command::new(python)
        .args(["-c", LIST_VERSIONS])
        .args(names)
        .output();
    Ok(listed.is_ok_and(|listed| {
        let found = String::from_utf8_lossy(&listed.stdout);
        listed.status.success() && found.lines().eq(wanted.lines())
    }))
}
