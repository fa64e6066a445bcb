//! Python environments with pinned packages, under the target folder.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Result, bail};

use super::files::read_text;
use super::process::{line, output, succeed};
use super::workspace::Workspace;

/// Prints the installed versions of the packages that its arguments name, as `name==version` lines.
const LIST_VERSIONS: &str = "import sys, importlib.metadata as m
for name in sys.argv[1:]: print(f'{name}=={m.version(name)}')";

/// An environment: where it lies and what it is to hold.
pub struct Environment {
    /// Its folder in the target folder.
    folder: &'static str,
    /// Lists of `name==version` lines, in the workspace.
    files: &'static [&'static str],
    /// The command that makes it.
    setup: &'static str,
}

/// What the voices that tests listen to are made with.
const TEST_REQUIREMENTS: &str = "tests/python/requirements.txt";

/// What only tests need, and what is checked with.
pub const TESTS: Environment = Environment {
    folder: "venv",
    files: &[TEST_REQUIREMENTS, "tests/python/tools.txt"],
    setup: "cargo xtask test --setup",
};

/// What links for older Linux.
pub const PACKAGING: Environment = Environment {
    folder: "package-tools",
    files: &["xtask/package/requirements.txt"],
    setup: "cargo xtask package --setup",
};

impl Environment {
    /// The interpreter of the environment, if it holds what it is to hold.
    pub fn interpreter(&self, workspace: &Workspace) -> Result<PathBuf> {
        if !self.is_complete(workspace)? {
            bail!(
                "Python packages under target/{} are missing; run: {}",
                self.folder,
                self.setup
            );
        }
        Ok(self.python(workspace))
    }

    /// Makes the environment and installs the pinned packages, where that has not been done.
    pub fn install(&self, workspace: &Workspace) -> Result<()> {
        if self.is_complete(workspace)? {
            return Ok(());
        }
        let mut make = Command::new("python3");
        make.args(["-m", "venv"]).arg(workspace.target.join(self.folder));
        let mut install = Command::new(self.python(workspace));
        install.args(["-m", "pip", "install", "--disable-pip-version-check"]);
        for file in self.files {
            install.arg("--requirement").arg(workspace.root.join(file));
        }
        for command in [&mut make, &mut install] {
            println!("{}", line(command));
            succeed(command)?;
        }
        Ok(())
    }

    /// A program that the environment brings.
    pub fn tool(&self, workspace: &Workspace, name: &str) -> Result<Command> {
        Ok(Command::new(self.interpreter(workspace)?.with_file_name(name)))
    }

    /// The folder of its programs.
    pub fn programs(&self, workspace: &Workspace) -> PathBuf {
        let folder = if cfg!(windows) { "Scripts" } else { "bin" };
        workspace.target.join(self.folder).join(folder)
    }

    /// The folder of its packages.
    pub fn packages(&self, workspace: &Workspace) -> Result<PathBuf> {
        let ask = "import sysconfig; print(sysconfig.get_path('purelib'))";
        let told = output(Command::new(self.interpreter(workspace)?).args(["-c", ask]))?;
        Ok(PathBuf::from(told.trim()))
    }

    fn python(&self, workspace: &Workspace) -> PathBuf {
        let name = if cfg!(windows) { "python.exe" } else { "python" };
        self.programs(workspace).join(name)
    }

    /// Whether every pinned package is there in the very version.
    pub fn is_complete(&self, workspace: &Workspace) -> Result<bool> {
        let mut wanted = String::new();
        for file in self.files {
            wanted += &read_text(&workspace.root.join(file))?;
        }
        let names = wanted
            .lines()
            .filter_map(|line| line.split_once("==").map(|(name, _version)| name));
        let listed = Command::new(self.python(workspace))
            .args(["-c", LIST_VERSIONS])
            .args(names)
            .output();
        Ok(listed.is_ok_and(|listed| {
            let found = String::from_utf8_lossy(&listed.stdout);
            listed.status.success() && found.lines().eq(wanted.lines())
        }))
    }
}

/// What the environment of the tests is to hold.
pub fn requirements_file(workspace: &Workspace) -> PathBuf {
    workspace.root.join(TEST_REQUIREMENTS)
}
