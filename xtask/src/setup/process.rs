//! Other programs, run and waited for.

use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};

use super::workspace::Workspace;

/// A `DISPLAY` that no server has. Hosts built with JUCE take `:0` where none is set, and end on an X server without
/// settings; tests of windows and scripts that want a screen bring their own.
pub const NO_DISPLAY: &str = "none";

/// The cargo that runs this program, in the workspace's folder.
pub fn cargo(workspace: &Workspace) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(&workspace.root);
    command
}

/// Runs this very command again in the release profile, which measures and takes minutes; true where it succeeds.
pub fn again_in_release(workspace: &Workspace) -> Result<bool> {
    let mut command = cargo(workspace);
    command
        .current_dir(std::env::current_dir().context("the current folder is gone")?)
        .args(["run", "--release", "--package", "xtask", "--manifest-path"])
        .arg(workspace.root.join("Cargo.toml"))
        .arg("--")
        .args(std::env::args_os().skip(1));
    let status = command.status().context("cargo cannot be started")?;
    Ok(status.success())
}

/// Runs `command`, and fails where it does.
pub fn succeed(command: &mut Command) -> Result<()> {
    let line = line(command);
    let status = command
        .status()
        .with_context(|| format!("cannot be started: {line}"))?;
    ensure!(status.success(), "failed: {line}");
    Ok(())
}

/// `command` without input; what it prints is discarded.
pub fn quiet(command: &mut Command) -> &mut Command {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
}

/// What `command` prints.
pub fn output(command: &mut Command) -> Result<String> {
    let line = line(command);
    let ran = command
        .output()
        .with_context(|| format!("cannot be started: {line}"))?;
    let said = String::from_utf8_lossy(&ran.stderr);
    ensure!(ran.status.success(), "failed: {line}: {}", said.trim());
    String::from_utf8(ran.stdout).with_context(|| format!("not text: what {line} printed"))
}

/// `command` as a person would type it.
pub fn line(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    let words: Vec<_> = words.map(|word| word.to_string_lossy()).collect();
    words.join(" ")
}

/// The file name of the plug-ins' library on this platform.
pub fn library_name() -> String {
    use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
    format!("{DLL_PREFIX}siskin{DLL_SUFFIX}")
}
