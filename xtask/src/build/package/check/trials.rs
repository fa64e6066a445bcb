//! The tests of hosts on unpacked packages, each on the system that the package is for, as far as this machine has it.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};
use siskin_tests::hosts::window::Server;

use super::super::compile;
use super::super::system::System;
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
/// More of them under Wine: broken hosts, and many inserts in one program. The editor's own tests build for Windows, but the
/// editor does not paint there in their windows yet.
const WINDOWS_TESTS: [&str; 2] = ["conform_mistakes", "host_real_time"];
/// Under qemu, where everything takes some ten times as long: the sound, and what hosts do.
const ARM_TESTS: [&str; 2] = ["same_sound", "conform_clap"];

/// What the trials share.
pub struct Trials {
    workspace: Workspace,
    /// What this machine's own bundle plays, for comparison.
    sounds: PathBuf,
}

impl Trials {
    /// Plays what others are compared with, by the bundles of this machine.
    pub fn prepare(workspace: &Workspace, native: Bundles) -> Result<Self> {
        let sounds = workspace.target.join("package-sounds");
        std::fs::create_dir_all(&sounds).with_context(|| format!("cannot write {}", sounds.display()))?;
        let trials = Self {
            workspace: workspace.clone(),
            sounds,
        };
        let bundles = native.clap.parent().context("a bundle without a folder")?;
        let mut command = trials.tests(bundles, None, &TESTS[..1]);
        succeed(command.env("SISKIN_KEEP_SOUNDS_IN", &trials.sounds))?;
        Ok(trials)
    }

    /// Tries the package of `system` at `unpacked`.
    pub fn run(&self, system: System, unpacked: &Path) -> Result<()> {
        match system {
            System::LinuxX86_64 if System::here() == Some(system) => {
                self.compared(unpacked, None, &TESTS, |_| {})
            }
            System::LinuxAarch64 => self.on_arm(unpacked),
            System::Windows => self.on_windows(unpacked),
            System::LinuxX86_64 | System::MacOs => {
                println!("{} cannot be run on this machine", system.name());
                Ok(())
            }
        }
    }

    fn on_arm(&self, unpacked: &Path) -> Result<()> {
        let triple = System::LinuxAarch64.triples()[0];
        let on_qemu = |command: &mut Command| {
            command
                .env(
                    "CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_LINKER",
                    "aarch64-linux-gnu-gcc",
                )
                .env(
                    "CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_RUNNER",
                    "qemu-aarch64 -L /usr/aarch64-linux-gnu",
                );
        };
        let mut sound = self.cargo(Some(triple));
        sound.args(["--package", "siskin-dsp", "--lib"]);
        on_qemu(&mut sound);
        succeed(&mut sound)?;
        self.compared(unpacked, Some(triple), &ARM_TESTS, on_qemu)
    }

    fn on_windows(&self, unpacked: &Path) -> Result<()> {
        let server = Server::start()?;
        let wine = Wine::prepare(&self.workspace, Some(server.display()))?;
        let tests = [&TESTS[..], &WINDOWS_TESTS[..]].concat();
        self.compared(unpacked, Some(System::Windows.triples()[0]), &tests, |command| {
            wine.surround(command);
            command.env("CARGO_TARGET_X86_64_PC_WINDOWS_GNU_RUNNER", "wine");
        })
    }

    /// Runs `tests` on the bundles at `unpacked`; `surround` sets what the system needs.
    fn compared(
        &self,
        unpacked: &Path,
        triple: Option<&str>,
        tests: &[&str],
        surround: impl FnOnce(&mut Command),
    ) -> Result<()> {
        let mut command = self.tests(unpacked, triple, tests);
        command.env("SISKIN_COMPARE_SOUNDS_WITH", &self.sounds);
        surround(&mut command);
        // Figures are printed, for a person to read.
        succeed(command.args(["--", "--nocapture", "--test-threads=1"]))
    }

    fn tests(&self, bundles: &Path, triple: Option<&str>, tests: &[&str]) -> Command {
        let mut command = self.cargo(triple);
        command.args(["--package", "siskin-tests"]);
        for test in tests {
            command.args(["--test", test]);
        }
        command
            .env("SISKIN_BUNDLE_DIR", bundles)
            .env("DISPLAY", NO_DISPLAY);
        command
    }

    fn cargo(&self, triple: Option<&str>) -> Command {
        let mut command = cargo(&self.workspace);
        command.args(["test", "--no-fail-fast"]);
        if let Some(triple) = triple {
            command
                .args(["--target", triple])
                .env("CARGO_TARGET_DIR", compile::target(&self.workspace));
        }
        command
    }
}
