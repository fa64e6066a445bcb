//! Wine, with a folder of its own that stands for a Windows computer.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result};

use crate::setup::process::{NO_DISPLAY, succeed};
use crate::setup::workspace::Workspace;

/// A Windows computer.
pub struct Wine {
    prefix: PathBuf,
    display: String,
}

impl Wine {
    /// Makes the computer under the target folder, where that has not been done; its windows open on `display`.
    ///
    /// Wine 8 lacks a library that Rust's standard library needs: it gets one with that one function.
    pub fn prepare(workspace: &Workspace, display: Option<&str>) -> Result<Self> {
        let wine = Self {
            prefix: workspace.target.join("wine"),
            display: display.unwrap_or(NO_DISPLAY).to_owned(),
        };
        // A server that was started for another display keeps it.
        wine.end();
        let system = wine.prefix.join("drive_c/windows/system32");
        let shim = system.join("bcryptprimitives.dll");
        if !shim.exists() {
            fs::create_dir_all(&wine.prefix)
                .with_context(|| format!("cannot write {}", wine.prefix.display()))?;
            succeed(wine.command("wineboot").arg("--init").stderr(Stdio::null()))?;
            succeed(
                Command::new("x86_64-w64-mingw32-gcc")
                    .args(["-shared", "-O2", "-o"])
                    .arg(&shim)
                    .arg(workspace.root.join("xtask/package/bcryptprimitives.c"))
                    .arg("-ladvapi32"),
            )?;
        }
        // Wine 8 has every program scale for each screen by itself until the desktop says how it scales: then a program
        // chooses, as on Windows.
        let mut registry = wine.command("reg");
        registry
            .args(["add", r"HKCU\Control Panel\Desktop", "/v", "DpiScalingVer"])
            .args(["/t", "REG_DWORD", "/d", "4096", "/f"]);
        succeed(registry.stdout(Stdio::null()).stderr(Stdio::null()))?;
        Ok(wine)
    }

    /// A command that runs the Windows program `program`.
    pub fn command(&self, program: &str) -> Command {
        let mut command = Command::new("wine");
        command.arg(program);
        self.surround(&mut command);
        command
    }

    /// Sets what a command finds that starts Wine itself.
    pub fn surround(&self, command: &mut Command) {
        command
            .env("WINEPREFIX", &self.prefix)
            .env("WINEDEBUG", "-all")
            .env("DISPLAY", &self.display)
            // Without it Wine reads names beyond ASCII wrongly.
            .env("LC_ALL", "C.UTF-8");
    }

    /// A path of this machine as Windows programs see it.
    pub fn path(path: &Path) -> String {
        format!("Z:{}", path.display().to_string().replace('/', "\\"))
    }

    /// Ends every program of this computer.
    fn end(&self) {
        let mut server = Command::new("wineserver");
        server.arg("-k").env("WINEPREFIX", &self.prefix);
        // It says so where none runs.
        let _none_may_run = server.stderr(Stdio::null()).status();
    }
}

impl Drop for Wine {
    fn drop(&mut self) {
        self.end();
    }
}
