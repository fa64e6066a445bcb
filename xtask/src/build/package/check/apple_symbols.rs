//! What the library and the program for macOS take from Apple's system library, held to the list of that library's symbols that zig brings.
//!
//! The stubs that they are linked against (`xtask/package/macos-sdk`) were written by hand: a name in them proves nothing.

use std::collections::HashSet;

use anyhow::{Result, ensure};

use super::super::mac_binary;
use crate::setup::files;
use crate::setup::python::PACKAGING;
use crate::setup::workspace::Workspace;

/// The system library; other libraries of Apple's are not in zig's list.
const LIBRARY: &str = "/usr/lib/libSystem.B.dylib";
/// The list, below the folder of zig's programs.
const LIST: &str = "ziglang/lib/libc/darwin/libSystem.tbd";

/// Fails where a slice of the universal `binary` takes from the system library what that does not have for the slice's processor.
pub fn check(workspace: &Workspace, binary: &[u8]) -> Result<()> {
    let list = files::read_text(&PACKAGING.packages(workspace)?.join(LIST))?;
    for slice in mac_binary::slices(binary)? {
        let target = if slice.is_arm() {
            "arm64e-macos"
        } else {
            "x86_64-macos"
        };
        let listed = symbols(&list, target);
        let imports = slice.binary.imports()?;
        let taken = imports.iter().filter(|import| import.dylib == LIBRARY);
        let taken: HashSet<&str> = taken.map(|import| import.name).collect();
        let unknown: Vec<_> = taken.difference(&listed).collect();
        ensure!(unknown.is_empty(), "{target} has no {unknown:?}");
        println!(
            "{target}: has all {} symbols that are taken from {LIBRARY}",
            taken.len()
        );
    }
    Ok(())
}

/// Every symbol that `list` (TAPI, version 4) has for `target`.
fn symbols<'a>(list: &'a str, target: &str) -> HashSet<&'a str> {
    let parts = list.split("targets:").skip(1);
    let parts = parts.filter_map(|part| part.split_once(']'));
    let of_target = parts.filter(|(targets, _)| words(targets).any(|listed| listed == target));
    let lists = of_target.flat_map(|(_, part)| part.split("symbols:").skip(1));
    lists
        .flat_map(|symbols| words(symbols.split(']').next().unwrap_or("")))
        .collect()
}

/// The words of a list, "[ one, 'two$three' ".
fn words(list: &str) -> impl Iterator<Item = &str> {
    list.trim_start_matches([' ', '\n', '['])
        .split(',')
        .map(|word| word.trim_matches([' ', '\n', '\'']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_are_listed_by_target() {
        let list = "--- !tapi-tbd\ntargets: [ x86_64-macos, arm64e-macos ]\nexports:
  - targets:         [ x86_64-macos ]
    symbols:         [ '_fstat$INODE64', _a, \n _b ]
    weak-symbols:    [ _c ]
  - targets:         [ x86_64-macos, arm64e-macos ]
    symbols:         [ _d ]
...
";
        assert_eq!(symbols(list, "arm64e-macos"), HashSet::from(["_d"]));
        let intel = HashSet::from(["_fstat$INODE64", "_a", "_b", "_c", "_d"]);
        assert_eq!(symbols(list, "x86_64-macos"), intel);
    }
}
