//! What a library must be before it is packed: for the right processors, loadable on old systems, and open to hosts by
//! the functions of both formats and nothing else.

use std::collections::BTreeSet;

use anyhow::{Context, Result, bail, ensure};
use goblin::Object;
use goblin::elf::Elf;
use goblin::elf::header::{EM_AARCH64, EM_X86_64};
use goblin::mach::Mach;
use goblin::pe::PE;

use super::compile::OLDEST_GLIBC;
use super::mac_binary;
use super::system::System;

/// What hosts call: CLAP's entry, and VST3's factory with the functions that open and close a library on each system.
const LINUX_ENTRIES: [&str; 4] = ["GetPluginFactory", "ModuleEntry", "ModuleExit", "clap_entry"];
const WINDOWS_ENTRIES: [&str; 4] = ["ExitDll", "GetPluginFactory", "InitDll", "clap_entry"];

/// Libraries that belong to every glibc.
const GLIBC: [&str; 7] = [
    "ld-linux-aarch64.so.1",
    "ld-linux-x86-64.so.2",
    "libc.so.6",
    "libdl.so.2",
    "libm.so.6",
    "libpthread.so.0",
    "librt.so.1",
];
/// Libraries of the compiler that no Windows has.
const MINGW: [&str; 3] = ["libgcc", "libstdc++", "libwinpthread"];

/// Fails where the `library` of `system` is not what it must be.
pub fn check(system: System, library: &[u8]) -> Result<()> {
    let checked = match (system, Object::parse(library)?) {
        (System::LinuxX86_64, Object::Elf(elf)) => check_linux(&elf, EM_X86_64),
        (System::LinuxAarch64, Object::Elf(elf)) => check_linux(&elf, EM_AARCH64),
        (System::Windows, Object::PE(library)) => check_windows(&library),
        (System::MacOs, Object::Mach(Mach::Fat(_))) => mac_binary::check_library(library),
        _ => bail!("not a library of this system"),
    };
    checked.with_context(|| format!("the library for {}", system.name()))
}

/// Fails where the `program` of `system` does not start on old systems.
pub fn check_program(system: System, program: &[u8]) -> Result<()> {
    let checked = match (system, Object::parse(program)?) {
        (System::LinuxX86_64, Object::Elf(elf)) => check_needs(&elf, EM_X86_64),
        (System::LinuxAarch64, Object::Elf(elf)) => check_needs(&elf, EM_AARCH64),
        (System::Windows, Object::PE(program)) => check_imports(&program),
        (System::MacOs, Object::Mach(Mach::Fat(_))) => mac_binary::check_program(program),
        _ => bail!("not a program of this system"),
    };
    checked.with_context(|| format!("the program for {}", system.name()))
}

fn check_linux(elf: &Elf, machine: u16) -> Result<()> {
    let exported = elf.dynsyms.iter().filter(|symbol| !symbol.is_import());
    let exported = exported.filter_map(|symbol| elf.dynstrtab.get_at(symbol.st_name));
    check_entries(exported.filter(|name| !name.is_empty()), LINUX_ENTRIES)?;
    check_needs(elf, machine)
}

fn check_needs(elf: &Elf, machine: u16) -> Result<()> {
    ensure!(elf.header.e_machine == machine, "for another processor");
    for library in &elf.libraries {
        ensure!(GLIBC.contains(library), "needs {library}");
    }
    let needed = elf.verneed.as_ref().into_iter().flat_map(|needed| needed.iter());
    let versions = needed.flat_map(|file| file.iter().map(|version| version.vna_name).collect::<Vec<_>>());
    for version in versions.filter_map(|name| elf.dynstrtab.get_at(name)) {
        let is_old = glibc_version(version).is_some_and(|version| version <= OLDEST_GLIBC);
        ensure!(is_old, "needs {version}");
    }
    Ok(())
}

/// Reads "GLIBC_2.17" or "GLIBC_2.2.5".
fn glibc_version(name: &str) -> Option<(u32, u32)> {
    let mut numbers = name.strip_prefix("GLIBC_")?.split('.').map(str::parse);
    Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
}

fn check_windows(library: &PE) -> Result<()> {
    ensure!(library.is_lib, "not a library");
    let exported = library.exports.iter().filter_map(|export| export.name);
    check_entries(exported, WINDOWS_ENTRIES)?;
    check_imports(library)
}

fn check_imports(binary: &PE) -> Result<()> {
    ensure!(binary.is_64, "not of 64 bits");
    check_libraries(&binary.libraries)
}

/// Fails where one of `libraries` comes with a compiler instead of Windows.
fn check_libraries(libraries: &[&str]) -> Result<()> {
    for import in libraries {
        let name = import.to_lowercase();
        ensure!(
            !MINGW.iter().any(|library| name.starts_with(library)),
            "needs {import}"
        );
    }
    Ok(())
}

/// Fails where the functions `found` are others than those `expected`.
pub fn check_entries<'a>(found: impl Iterator<Item = &'a str>, expected: [&str; 4]) -> Result<()> {
    let found: BTreeSet<&str> = found.collect();
    ensure!(found == BTreeSet::from(expected), "shows {found:?} to hosts");
    Ok(())
}

#[cfg(test)]
mod tests {
    #[cfg(target_os = "linux")]
    use std::path::Path;
    #[cfg(target_os = "linux")]
    use std::process::Command;

    use super::*;

    #[test]
    fn versions_of_glibc_are_read() {
        assert_eq!(glibc_version("GLIBC_2.17"), Some((2, 17)));
        assert_eq!(glibc_version("GLIBC_2.2.5"), Some((2, 2)));
        assert_eq!(glibc_version("GCC_3.0"), None);
    }

    #[test]
    fn entries_are_these_and_no_others() {
        assert!(check_entries(WINDOWS_ENTRIES.into_iter(), WINDOWS_ENTRIES).is_ok());
        let more = LINUX_ENTRIES.into_iter().chain(["malloc"]);
        let error = check_entries(more, LINUX_ENTRIES).unwrap_err();
        assert!(error.to_string().contains("malloc"), "{error}");
        assert!(check_entries(LINUX_ENTRIES.into_iter().skip(1), LINUX_ENTRIES).is_err());
    }

    #[test]
    fn libraries_of_a_compiler_are_refused() {
        check_libraries(&["KERNEL32.dll", "opengl32.dll"]).unwrap();
        let refusal = check_libraries(&["KERNEL32.dll", "libgcc_s_seh-1.dll"]).unwrap_err();
        assert_eq!(refusal.to_string(), "needs libgcc_s_seh-1.dll");
    }

    /// Runs the C compiler in `folder` on `source`.
    #[cfg(target_os = "linux")]
    fn compile(folder: &Path, source: &str, arguments: &[&str]) {
        std::fs::write(folder.join("source.c"), source).unwrap();
        let mut compiler = Command::new("cc");
        compiler.args(["-nostdlib", "source.c"]).args(arguments);
        assert!(compiler.current_dir(folder).status().unwrap().success());
    }

    /// A program that takes a function of `version` from the library `library`.
    #[cfg(target_os = "linux")]
    fn program_that_needs(library: &str, version: &str) -> Vec<u8> {
        let folder = tempfile::tempdir().unwrap();
        let versions = format!("{version} {{ global: taken; }};");
        std::fs::write(folder.path().join("versions"), versions).unwrap();
        let name = format!("-Wl,-soname,{library}");
        let as_library = ["-shared", "-o", "taken.so", "-Wl,--version-script=versions"];
        let as_library = [&as_library[..], &[name.as_str()]].concat();
        compile(folder.path(), "void taken(void) {}", &as_library);
        let source = "void taken(void); void _start(void) { taken(); }";
        compile(folder.path(), source, &["taken.so", "-o", "program"]);
        std::fs::read(folder.path().join("program")).unwrap()
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn programs_that_old_systems_do_not_start_are_refused() {
        let here = System::here().unwrap();
        let old = program_that_needs("libc.so.6", "GLIBC_2.17");
        check_program(here, &old).unwrap();
        let refused = |system, program: &[u8]| format!("{:#}", check_program(system, program).unwrap_err());
        for (library, version, reason) in [
            ("libc.so.6", "GLIBC_2.18", "needs GLIBC_2.18"),
            ("libgcc_s.so.1", "GCC_3.0", "needs libgcc_s.so.1"),
        ] {
            let refusal = refused(here, &program_that_needs(library, version));
            assert!(refusal.contains(reason), "{refusal}");
        }
        for system in System::ALL.into_iter().filter(|system| *system != here) {
            let refusal = refused(system, &old);
            let reason = match system {
                System::LinuxX86_64 | System::LinuxAarch64 => "for another processor",
                _ => "not a program of this system",
            };
            assert!(refusal.contains(reason), "{refusal}");
        }
    }

    #[test]
    fn a_library_of_this_machine_is_not_one_for_windows() {
        let program = std::fs::read(std::env::current_exe().unwrap()).unwrap();
        let error = check(System::Windows, &program).unwrap_err();
        assert!(
            error.to_string().contains("not a library of this system"),
            "{error}"
        );
    }
}
