//! What only macOS has: one library for both processors, and bundles with a property list.

use anyhow::{Context, Result};
use fat_macho::FatWriter;

use super::layout::Item;
use super::{VERSION, VERSION_MARK};

/// The property list of a bundle. The minimum is what Rust builds for on Intel; on Apple's processors the system itself
/// asks for 11.0.
const PROPERTIES: &str = include_str!("../../../package/Info.plist");
/// What stands in [`PROPERTIES`] where the bundle's identifier belongs.
const IDENTIFIER_MARK: &str = "@IDENTIFIER@";

/// The libraries of several processors as one.
pub fn universal(libraries: Vec<Vec<u8>>) -> Result<Vec<u8>> {
    let mut writer = FatWriter::new();
    for library in libraries {
        writer.add(library).context("not a library of macOS")?;
    }
    let mut joined = Vec::new();
    writer
        .write_to(&mut joined)
        .context("the libraries cannot be joined")?;
    Ok(joined)
}

/// The bundle `Siskin.FORMAT`.
pub fn bundle(format: &str, library: &[u8]) -> Vec<Item> {
    let path = |below: &str| format!("Siskin.{format}/Contents/{below}");
    vec![
        Item::text(path("Info.plist"), properties(format)),
        Item::program(path("MacOS/Siskin"), library),
        Item::text(path("PkgInfo"), "BNDL????"),
    ]
}

fn properties(format: &str) -> String {
    PROPERTIES
        .replace(IDENTIFIER_MARK, &format!("audio.siskin.{format}"))
        .replace(VERSION_MARK, VERSION)
}

#[cfg(test)]
mod tests {
    use std::io::Write;
    use std::process::{Command, Stdio};

    use super::*;

    /// Reads a property list from its input and prints the values of the keys that it gets.
    const READ: &str = "import plistlib, sys
values = plistlib.loads(sys.stdin.buffer.read())
print(*[values[key] for key in sys.argv[1:]], sep='|')";

    #[test]
    fn property_lists_name_the_bundle_and_its_version() {
        let python = std::env::var_os("SISKIN_PYTHON").unwrap_or_else(|| "python3".into());
        for format in ["clap", "vst3"] {
            let mut reader = Command::new(&python)
                .args(["-c", READ, "CFBundleIdentifier", "CFBundleExecutable"])
                .args([
                    "CFBundleShortVersionString",
                    "CFBundleVersion",
                    "CFBundlePackageType",
                ])
                .stdin(Stdio::piped())
                .stdout(Stdio::piped())
                .spawn()
                .unwrap();
            let mut input = reader.stdin.take().unwrap();
            input.write_all(properties(format).as_bytes()).unwrap();
            drop(input);
            let output = reader.wait_with_output().unwrap();
            assert_eq!(
                String::from_utf8_lossy(&output.stdout).trim(),
                format!("audio.siskin.{format}|Siskin|{VERSION}|{VERSION}|BNDL")
            );
        }
    }
}
