//! The texts of licences, each once.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use spdx::{Expression, ParseMode};

use super::packages::Package;

/// What the name of a file with a licence's text begins with, in upper case.
const BEGINNINGS: [&str; 6] = [
    "LICENSE",
    "LICENCE",
    "COPYING",
    "NOTICE",
    "UNLICENSE",
    "COPYRIGHT",
];
/// The folders in which packages keep texts, beside their own. Every text beside a font is one about it.
const LICENCE_FOLDERS: [&str; 2] = ["LICENSES", "license"];
const FONT_FOLDER: &str = "fonts";
/// What ends a file of text or has no ending: no source, for instance.
const ENDINGS: [&str; 4] = ["", "txt", "md", "html"];

/// Texts with their numbers, from 1.
#[derive(Debug, Default)]
pub struct Texts {
    texts: Vec<Text>,
}

#[derive(Debug)]
struct Text {
    title: String,
    text: String,
}

impl Texts {
    /// The numbers of the texts of `package`: its own files, or else the standard texts of its licence.
    pub fn of(&mut self, package: &Package) -> Result<Vec<usize>> {
        let name = package.name_and_version();
        let mut files =
            files(&package.folder).with_context(|| format!("the source of {name} cannot be read"))?;
        files.sort();
        let has_own = files.iter().any(|file| file.parent() == Some(&package.folder));
        let mut numbers = Vec::new();
        for file in files {
            let text = crate::setup::files::read(&file)?;
            let title = file
                .strip_prefix(&package.folder)
                .unwrap_or(&file)
                .display()
                .to_string();
            numbers.push(self.number(&format!("{title} of {name}"), &String::from_utf8_lossy(&text)));
        }
        if !has_own {
            let licence = package
                .licence
                .as_deref()
                .with_context(|| format!("{name} tells no licence"))?;
            numbers.extend(self.standard(licence).with_context(|| name.clone())?);
        }
        numbers.sort_unstable();
        numbers.dedup();
        ensure!(!numbers.is_empty(), "{name} has no text of a licence");
        Ok(numbers)
    }

    /// The numbers of the standard texts of every licence in an SPDX expression.
    pub fn standard(&mut self, licence: &str) -> Result<Vec<usize>> {
        let expression = Expression::parse_mode(licence, ParseMode::LAX)
            .map_err(|error| anyhow::anyhow!("{licence} is no licence expression: {error}"))?;
        expression
            .requirements()
            .map(|asked| {
                let id = asked
                    .req
                    .license
                    .id()
                    .with_context(|| format!("{} has no standard text", asked.req))?;
                Ok(self.number(&format!("standard text of {}", id.name), id.text()))
            })
            .collect()
    }

    /// The number of `text`; texts that differ in white space only are one.
    fn number(&mut self, title: &str, text: &str) -> usize {
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let wanted = words(text);
        let known = self.texts.iter().position(|known| words(&known.text) == wanted);
        let index = known.unwrap_or_else(|| {
            self.texts.push(Text {
                title: title.into(),
                text: text.into(),
            });
            self.texts.len() - 1
        });
        index + 1
    }

    /// All texts, each after its number and title.
    pub fn listed(&self) -> String {
        let mut listed = String::new();
        for (index, Text { title, text }) in self.texts.iter().enumerate() {
            let _never_fails = write!(
                listed,
                "{:=<100}\n[{}] {title}\n\n{}\n\n",
                "",
                index + 1,
                text.trim()
            );
        }
        listed
    }
}

/// The files of a package that are about licences.
fn files(package: &Path) -> Result<Vec<PathBuf>> {
    let mut found = named(package, |name| {
        BEGINNINGS.iter().any(|beginning| name.starts_with(beginning))
    })?;
    for folder in LICENCE_FOLDERS {
        found.extend(named(&package.join(folder), |_| true)?);
    }
    found.extend(named(&package.join(FONT_FOLDER), |_| true)?);
    Ok(found)
}

/// The files of text in `folder` whose names, in upper case, are `wanted`; none where there is no such folder.
fn named(folder: &Path, wanted: impl Fn(&str) -> bool) -> Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let part = |part: Option<&std::ffi::OsStr>| part.unwrap_or_default().to_string_lossy().into_owned();
        let name = part(path.file_name()).to_uppercase();
        let ending = part(path.extension()).to_lowercase();
        // "LICENSE-MIT" has no ending, "LICENSE-APACHE-2.0" one that says nothing.
        let is_text =
            ENDINGS.contains(&ending.as_str()) || ending.chars().all(|letter| letter.is_ascii_digit());
        if path.is_file() && is_text && wanted(&name) {
            found.push(path);
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::packages::made_up;

    fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (file, text) in files {
            let path = folder.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        folder
    }

    #[test]
    fn own_texts_come_first_and_alike_ones_once() {
        let own = folder(&[
            ("LICENSE-MIT", "Be  kind.\n"),
            ("src/LICENSE.rs", "code"),
            ("license.rs", "code"),
        ]);
        let other = folder(&[
            ("COPYING", "Be kind."),
            ("fonts/a.txt", "A font."),
            ("fonts/a.ttf", "x"),
        ]);
        let mut texts = Texts::default();
        assert_eq!(texts.of(&made_up(own.path(), Some("MIT"))).unwrap(), [1]);
        assert_eq!(texts.of(&made_up(other.path(), Some("MIT"))).unwrap(), [1, 2]);
        let listed = texts.listed();
        assert!(listed.contains("[1] LICENSE-MIT of made-up 1.0.0\n\nBe  kind."));
        assert!(listed.contains("A font.") && !listed.contains("code"));
    }

    #[test]
    fn standard_texts_stand_in_and_nothing_is_an_error() {
        let bare = folder(&[("README.md", "hello")]);
        let mut texts = Texts::default();
        assert_eq!(
            texts.of(&made_up(bare.path(), Some("MIT/Apache-2.0"))).unwrap(),
            [1, 2]
        );
        assert!(texts.listed().contains("Permission is hereby granted"));
        assert!(texts.of(&made_up(bare.path(), None)).is_err());
        assert!(texts.of(&made_up(bare.path(), Some("whatever I like"))).is_err());
    }
}
