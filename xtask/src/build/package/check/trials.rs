//! The tests of hosts on unpacked packages, each on the system that the package is for, as far as this machine has it.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};
use siskin_tests::hosts::window::Server;

use super::super::system::System;
use super::super::{compile, tools};
use super::rendering::Rendering;
use super::wine::Wine;
use crate::build::bundle::Bundles;
use crate::setup::process::{NO_DISPLAY, cargo, succeed};
use crate::setup::workspace::Workspace;

/// The tests that run on every package; the first compares its sound with that of this machine.
const TESTS: [&str; 7] = [
    "same_sound",
    "conform",
    "conform_clap",
    "conform_vst3",
    "conform_text",
    "host_clap",
    "state_keeping",
];
/// More of them under Wine: broken hosts, many inserts in one program, and the editor: opened, clicked, dragged, zoomed,
/// closed, opened again, on screens of several scales. `editor_pictures` is not among them: the song creeps on while a picture is
/// taken, and where that takes long a hop ends, which moves the bars (docs/systems.md).
const WINDOWS_TESTS: [&str; 4] = [
    "conform_mistakes",
    "host_real_time",
    "editor_windows",
    "editor_scale",
];
/// Tests among them of what only this machine's tests build.
const WITH_GUARD: [&str; 2] = ["guard_is_in_the_guarded", "nothing_is_allocated_while"];
/// More of them in an older root file system: the editor, which loads libraries of the system.
const ROOT_TESTS: [&str; 2] = ["editor_windows", "editor_pictures"];
/// Under qemu, where everything takes some ten times as long: the sound, and what hosts do.
const ARM_TESTS: [&str; 2] = ["same_sound", "conform_clap"];

/// Runs a program for ARM.
const QEMU: [&str; 3] = ["qemu-aarch64", "-L", "/usr/aarch64-linux-gnu"];

/// What the trials share.
pub struct Trials {
    workspace: Workspace,
    /// What this machine's own bundle plays, for comparison.
    sounds: PathBuf,
    /// What this machine's own bundle renders.
    rendering: Rendering,
    /// The root file system of an older Linux, if there is one.
    root: Option<PathBuf>,
}

impl Trials {
    /// Plays what others are compared with, by the bundles of this machine.
    pub fn prepare(workspace: &Workspace, native: Bundles, root: Option<&Path>) -> Result<Self> {
        let sounds = workspace.target.join("package-sounds");
        std::fs::create_dir_all(&sounds).with_context(|| format!("cannot write {}", sounds.display()))?;
        let root = root.map(Path::canonicalize).transpose();
        let trials = Self {
            workspace: workspace.clone(),
            sounds,
            rendering: Rendering::prepare(&native.clap)?,
            root: root.context("the root file system is not there")?,
        };
        let bundles = native.clap.parent().context("a bundle without a folder")?;
        let mut command = with_bundles(trials.here(), bundles, &TESTS[..1]);
        succeed(command.env("SISKIN_KEEP_SOUNDS_IN", &trials.sounds))?;
        Ok(trials)
    }

    /// Tries the package of `system` at `unpacked`.
    pub fn run(&self, system: System, unpacked: &Path) -> Result<()> {
        match system {
            System::LinuxX86_64 if System::here() == Some(system) => {
                self.program(Command::new(unpacked.join(system.program_name())))?;
                self.compared(self.here(), unpacked, &TESTS, &[])?;
                self.root
                    .as_ref()
                    .map_or(Ok(()), |root| self.in_root(root, unpacked))
            }
            System::LinuxAarch64 => self.on_arm(unpacked),
            System::Windows => self.on_windows(unpacked),
            System::LinuxX86_64 | System::MacOs => {
                println!("{} cannot be run on this machine", system.name());
                Ok(())
            }
        }
    }

    /// Has the program of a package render, started by `command`.
    fn program(&self, command: Command) -> Result<()> {
        let left_db = self.rendering.compare(command).context("the program")?;
        println!("the program: {left_db:.0} dB are left of the difference to this machine's rendering");
        Ok(())
    }

    /// The tests, too, are linked against an old glibc.
    fn in_root(&self, root: &Path, unpacked: &Path) -> Result<()> {
        let triple = System::LinuxX86_64.triples()[0];
        let script = self.workspace.root.join("xtask/package/in-root.sh");
        let runner = [
            Path::new("unshare"),
            "--mount".as_ref(),
            "sh".as_ref(),
            &script,
            root,
        ];
        let folders = [
            &self.workspace.root,
            &self.workspace.target,
            unpacked,
            self.rendering.folder(),
        ];
        let folders = std::env::join_paths(folders)?;
        println!("in {}:", root.display());
        let mut program = Command::new(runner[0]);
        program
            .args(&runner[1..])
            .arg(unpacked.join(System::LinuxX86_64.program_name()))
            .env("SISKIN_FOLDERS", &folders);
        self.program(program)?;
        let runner = runner.map(|word| format!("{:?}", word.display().to_string()));
        let mut command = tools::zigbuild(&self.workspace)?;
        command
            .current_dir(&self.workspace.root)
            .args(["test", "--no-fail-fast", "--package", "siskin-tests", "--target"])
            .arg(compile::with_oldest_glibc(triple))
            .arg("--config")
            .arg(format!("target.{triple}.runner=[{}]", runner.join(",")))
            .env("CARGO_TARGET_DIR", compile::target(&self.workspace))
            .env("DISPLAY", NO_DISPLAY)
            .env("SISKIN_FOLDERS", folders);
        self.compared(command, unpacked, &[&TESTS[..], &ROOT_TESTS].concat(), &[])
    }

    fn on_arm(&self, unpacked: &Path) -> Result<()> {
        let on_qemu = |package| {
            let mut command = self.across(System::LinuxAarch64, package);
            command
                .env(
                    "CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_LINKER",
                    "aarch64-linux-gnu-gcc",
                )
                .env("CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_RUNNER", QEMU.join(" "));
            command
        };
        let mut program = Command::new(QEMU[0]);
        program
            .args(&QEMU[1..])
            .arg(unpacked.join(System::LinuxAarch64.program_name()));
        self.program(program)?;
        succeed(on_qemu("siskin-dsp").arg("--lib"))?;
        self.compared(on_qemu("siskin-tests"), unpacked, &ARM_TESTS, &[])
    }

    fn on_windows(&self, unpacked: &Path) -> Result<()> {
        let server = Server::start_for_windows()?;
        let wine = Wine::prepare(&self.workspace, Some(server.display()))?;
        let program = unpacked.join(System::Windows.program_name());
        self.program(wine.command(&program.display().to_string()))?;
        let mut command = self.across(System::Windows, "siskin-tests");
        wine.surround(&mut command);
        command
            .env("SISKIN_WINE_DISPLAY", format!("127.0.0.1{}", server.display()))
            .env("CARGO_TARGET_X86_64_PC_WINDOWS_GNU_RUNNER", "wine");
        let tests = [&TESTS[..], &WINDOWS_TESTS].concat();
        self.compared(command, unpacked, &tests, &WITH_GUARD)
    }

    /// Runs `tests` by `command` on the bundles at `unpacked`, and compares their sound; `skipped` are parts of names.
    fn compared(&self, command: Command, unpacked: &Path, tests: &[&str], skipped: &[&str]) -> Result<()> {
        let mut command = with_bundles(command, unpacked, tests);
        command
            .env("SISKIN_COMPARE_SOUNDS_WITH", &self.sounds)
            // Figures are printed, for a person to read.
            .args(["--", "--nocapture", "--test-threads=1"]);
        for skipped in skipped {
            command.args(["--skip", skipped]);
        }
        succeed(&mut command)
    }

    /// Tests for this machine. Of the whole workspace: for one package alone dependencies are built anew.
    fn here(&self) -> Command {
        let mut command = cargo(&self.workspace);
        command
            .args(["test", "--no-fail-fast", "--workspace"])
            .env("DISPLAY", NO_DISPLAY);
        command
    }

    /// Tests of `package` for another system.
    fn across(&self, system: System, package: &str) -> Command {
        let mut command = cargo(&self.workspace);
        command
            .args(["test", "--no-fail-fast", "--package", package])
            .args(["--target", system.triples()[0]])
            .env("CARGO_TARGET_DIR", compile::target(&self.workspace))
            .env("DISPLAY", NO_DISPLAY);
        command
    }
}

fn with_bundles(mut command: Command, bundles: &Path, tests: &[&str]) -> Command {
    for test in tests {
        command.args(["--test", test]);
    }
    command.env("SISKIN_BUNDLE_DIR", bundles);
    command
}
