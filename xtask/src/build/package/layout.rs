//! How the bundles of each system are laid out.
//!
//! CLAP: a file, on macOS a bundle (`clap/entry.h`). VST3: a folder on every system (VST3 developer portal, "Plug-in
//! Format Structure").

use std::path::Path;

use anyhow::Result;

use super::macos;
use super::system::System;
use crate::setup::files;

/// A file of a package.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its path in the package, with `/`.
    pub path: String,
    /// What is in it.
    pub content: Vec<u8>,
    /// Whether it may be run.
    pub is_program: bool,
}

impl Item {
    /// A file that is only read.
    pub fn text(path: impl Into<String>, content: impl Into<Vec<u8>>) -> Self {
        Self {
            path: path.into(),
            content: content.into(),
            is_program: false,
        }
    }

    /// A library or a script.
    pub fn program(path: impl Into<String>, content: impl Into<Vec<u8>>) -> Self {
        Self {
            is_program: true,
            ..Self::text(path, content)
        }
    }

    /// Writes it below `folder`, in place of what is there: whoever has that loaded keeps what it loaded.
    pub fn write_into(&self, folder: &Path) -> Result<()> {
        let path = folder.join(&self.path);
        files::remove(&path)?;
        files::write(&path, &self.content)
    }
}

/// Where the library of the CLAP bundle lies in a package.
pub fn clap_library(system: System) -> &'static str {
    match system {
        System::MacOs => "Siskin.clap/Contents/MacOS/Siskin",
        _ => "Siskin.clap",
    }
}

/// Both bundles of `system` around its library.
pub fn bundles(system: System, library: &[u8]) -> Vec<Item> {
    let vst3 = |path: &str| Item::program(format!("Siskin.vst3/Contents/{path}"), library);
    let clap_file = || Item::program("Siskin.clap", library);
    match system {
        System::LinuxX86_64 => vec![clap_file(), vst3("x86_64-linux/Siskin.so")],
        System::LinuxAarch64 => vec![clap_file(), vst3("aarch64-linux/Siskin.so")],
        System::Windows => vec![clap_file(), vst3("x86_64-win/Siskin.vst3")],
        System::MacOs => ["clap", "vst3"]
            .into_iter()
            .flat_map(|format| macos::bundle(format, library))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn libraries_lie_where_hosts_of_each_system_look() {
        let paths = |system| -> Vec<String> {
            bundles(system, b"library")
                .into_iter()
                .filter(|item| item.is_program && item.content == b"library")
                .map(|item| item.path)
                .collect()
        };
        for (system, vst3) in [
            (System::LinuxX86_64, "x86_64-linux/Siskin.so"),
            (System::LinuxAarch64, "aarch64-linux/Siskin.so"),
            (System::Windows, "x86_64-win/Siskin.vst3"),
        ] {
            let vst3 = format!("Siskin.vst3/Contents/{vst3}");
            assert_eq!(paths(system), ["Siskin.clap", vst3.as_str()]);
        }
        assert_eq!(
            paths(System::MacOs),
            [
                "Siskin.clap/Contents/MacOS/Siskin",
                "Siskin.vst3/Contents/MacOS/Siskin"
            ]
        );
    }
}
