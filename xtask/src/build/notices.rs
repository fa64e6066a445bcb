//! Third-party notices: who wrote what the plug-ins and the program hold, and under which licence, with the texts.
//!
//! `cargo xtask bundle` writes them beside the bundles. Whoever passes a bundle on passes this file on with it, as most of
//! the licences ask.

use std::fmt::Write;
use std::path::Path;

use anyhow::Result;

use super::licence_texts::Texts;
use super::packages::Package;
use crate::setup::files;

/// What the standard library of Rust is, for it is linked as well and no package of the registry.
const STANDARD_LIBRARY: &str = "the standard library of Rust";
const STANDARD_LIBRARY_LICENCE: &str = "MIT OR Apache-2.0";
const STANDARD_LIBRARY_AUTHORS: &str = "The Rust Project Developers";

const HEAD: &str = "\
Third-party notices of Siskin

Siskin.clap and Siskin.vst3, and the program siskin where it lies beside them, hold code, and the editor's fonts, of the packages
below, each with its licence and the numbers of its texts, which follow. A text is the package's own; where it ships none, it is
the standard text of the licence (SPDX). The source of each package is at https://crates.io/crates/NAME/VERSION. Siskin itself is
under the MIT licence.
";

/// Writes the notices of the `linked` packages to `path`, unless they are there already.
pub fn write(linked: &[Package], path: &Path) -> Result<()> {
    let notices = text(linked)?;
    if std::fs::read_to_string(path).is_ok_and(|written| written == notices) {
        return Ok(());
    }
    files::write(path, notices)
}

/// The notices of `packages`.
pub fn text(packages: &[Package]) -> Result<String> {
    let mut texts = Texts::default();
    let mut list = String::new();
    for package in packages {
        let numbers = texts.of(package)?;
        let authors = match package.authors.is_empty() {
            true => String::new(),
            false => format!("; {}", package.authors.join(", ")),
        };
        let licence = package.licence.as_deref().unwrap_or("see its text");
        entry(
            &mut list,
            &package.name_and_version(),
            &format!("{licence}{authors}"),
            &numbers,
        )?;
    }
    let numbers = texts.standard(STANDARD_LIBRARY_LICENCE)?;
    let terms = format!("{STANDARD_LIBRARY_LICENCE}; {STANDARD_LIBRARY_AUTHORS}");
    entry(&mut list, STANDARD_LIBRARY, &terms, &numbers)?;
    Ok(format!("{HEAD}\n{list}\n{}", texts.listed()))
}

fn entry(list: &mut String, name: &str, terms: &str, numbers: &[usize]) -> Result<()> {
    let numbers: Vec<String> = numbers.iter().map(|number| format!("[{number}]")).collect();
    writeln!(list, "{name} -- {terms} {}", numbers.join(" "))?;
    Ok(())
}
