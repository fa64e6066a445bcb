//! What goes into a package beside the bundles.

use std::path::Path;

use anyhow::Result;

use super::compile::Binaries;
use super::layout::{self, Item};
use super::system::System;
use super::{VERSION, VERSION_MARK, manual};
use crate::build::bundle::Bundles;
use crate::build::{notices, packages, presets};
use crate::setup::files;
use crate::setup::workspace::Workspace;

const UNIX_SCRIPT: &str = include_str!("../../../package/install.sh");
const WINDOWS_SCRIPT: &str = include_str!("../../../package/install.cmd");

/// Every file of the package of `system`, around its library and its program; the starting points are those of `native`.
pub fn items(
    workspace: &Workspace,
    system: System,
    binaries: Binaries,
    native: &Bundles,
) -> Result<Vec<Item>> {
    let mut items = layout::bundles(system, &binaries.library);
    items.push(Item::program(system.program_name(), binaries.program));
    items.extend(starting_points(&native.presets)?);
    items.extend(manual::items(&workspace.root)?);
    items.push(script(system));
    items.push(Item::text(
        "INSTALL.txt",
        for_people(system, install_text(system)),
    ));
    for (name, source) in [("LICENSE.txt", "LICENSE"), ("CHANGELOG.md", "CHANGELOG.md")] {
        items.push(Item::text(name, files::read(&workspace.root.join(source))?));
    }
    let linked = packages::linked(workspace, &packages::ALL, system.triples())?;
    items.push(Item::text("THIRD_PARTY_NOTICES.txt", notices::text(&linked)?));
    Ok(items)
}

/// The starting points as VST3 hosts read them; CLAP hosts get them from the plug-in itself.
fn starting_points(folder: &Path) -> Result<Vec<Item>> {
    let is_preset = |path: &Path| {
        path.extension()
            .is_some_and(|ending| ending == presets::VST3_PRESET)
    };
    presets::files(folder)
        .into_iter()
        .filter(|path| is_preset(path))
        .map(|path| {
            let below: Vec<_> = path
                .strip_prefix(folder)?
                .iter()
                .map(|part| part.to_string_lossy())
                .collect();
            Ok(Item::text(
                format!("presets/{}", below.join("/")),
                files::read(&path)?,
            ))
        })
        .collect()
}

fn script(system: System) -> Item {
    match system {
        System::Windows => Item::program("install.cmd", for_people(system, WINDOWS_SCRIPT)),
        _ => Item::program("install.sh", for_people(system, UNIX_SCRIPT)),
    }
}

fn install_text(system: System) -> &'static str {
    match system {
        System::LinuxX86_64 | System::LinuxAarch64 => include_str!("../../../package/INSTALL-linux.txt"),
        System::Windows => include_str!("../../../package/INSTALL-windows.txt"),
        System::MacOs => include_str!("../../../package/INSTALL-macos.txt"),
    }
}

/// With the version, and with the line ends of the system: the shell of Windows misses labels without them.
fn for_people(system: System, text: &str) -> String {
    let text = text.replace(VERSION_MARK, VERSION);
    match system {
        System::Windows => text.replace('\n', "\r\n"),
        _ => text,
    }
}
