//! What a library and a program of macOS must be: for both kinds of Mac, each part whole, signed, and bound to Apple's libraries alone.

use anyhow::{Context, Result, bail, ensure};
use goblin::mach::constants::cputype::{CPU_TYPE_ARM64, CPU_TYPE_X86_64};
use goblin::mach::fat::FatArch;
use goblin::mach::header::{MH_DYLIB, MH_EXECUTE, MH_PIE};
use goblin::mach::load_command::CommandVariant;
use goblin::mach::{Mach, MachO};

use super::binary::check_entries;
use super::signature;

/// What hosts call.
const ENTRIES: [&str; 4] = ["_GetPluginFactory", "_bundleEntry", "_bundleExit", "_clap_entry"];

/// A kind of Mac.
struct Processor {
    kind: u32,
    /// The oldest macOS that the compiler builds for, as the load command packs it.
    oldest_macos: u32,
    /// The power of two that is a page of memory: a part of a universal file begins with one.
    page: u32,
}

/// Intel's, from 10.12 on, and Apple's, from 11.0 on.
const PROCESSORS: [Processor; 2] = [
    Processor {
        kind: CPU_TYPE_X86_64,
        oldest_macos: 0x000a_0c00,
        page: 12,
    },
    Processor {
        kind: CPU_TYPE_ARM64,
        oldest_macos: 0x000b_0000,
        page: 14,
    },
];

/// The part of a library or a program that one processor loads.
pub struct Slice<'a> {
    /// As it is read.
    pub binary: MachO<'a>,
    bytes: &'a [u8],
    place: FatArch,
}

impl Slice<'_> {
    /// Whether it is for Apple's processors.
    pub fn is_arm(&self) -> bool {
        self.binary.header.cputype() == CPU_TYPE_ARM64
    }

    fn check_library(&self) -> Result<()> {
        ensure!(self.binary.header.filetype == MH_DYLIB, "not a library");
        let name = self.binary.name;
        ensure!(name == Some("@rpath/Siskin"), "called {name:?}");
        let exports = self.binary.exports()?;
        check_entries(exports.iter().map(|export| export.name.as_str()), ENTRIES)
    }

    /// Apple's processors start a program only where it may lie anywhere in memory.
    fn check_program(&self) -> Result<()> {
        let header = &self.binary.header;
        ensure!(header.filetype == MH_EXECUTE, "not a program");
        ensure!(header.flags & MH_PIE != 0, "lies at one place in memory");
        let mut commands = self.binary.load_commands.iter();
        let begins = commands.any(|command| matches!(command.command, CommandVariant::Main(_)));
        ensure!(begins, "has no begin");
        Ok(())
    }

    fn check(&self, processor: &Processor) -> Result<()> {
        ensure!(
            self.place.align >= processor.page && self.place.offset.trailing_zeros() >= self.place.align,
            "begins within a page"
        );
        let is_apples = |library: &str| library.starts_with("/usr/lib/") || library.starts_with("/System/");
        // The first is the file itself.
        for library in self.binary.libs.iter().skip(1) {
            ensure!(is_apples(library), "needs {library}");
        }
        for import in self.binary.imports()? {
            ensure!(
                is_apples(import.dylib),
                "{} is in no library of the system",
                import.name
            );
        }
        let (mut found, mut signature) = (None, None);
        for command in &self.binary.load_commands {
            match command.command {
                CommandVariant::VersionMinMacosx(version) => found = Some(version.version),
                CommandVariant::BuildVersion(version) => found = Some(version.minos),
                CommandVariant::CodeSignature(place) => signature = Some(place.dataoff as usize),
                _ => {}
            }
        }
        ensure!(
            found == Some(processor.oldest_macos),
            "needs another macOS: {found:#x?}"
        );
        signature::check(self.bytes, signature.context("not signed")?).context("its signature")
    }
}

/// The parts of a universal library or program.
pub fn slices(universal: &[u8]) -> Result<Vec<Slice<'_>>> {
    let Mach::Fat(found) = Mach::parse(universal)? else {
        bail!("not for several processors");
    };
    let read = |place: FatArch| {
        let bytes = place.slice(universal);
        Ok(Slice {
            binary: MachO::parse(bytes, 0)?,
            bytes,
            place,
        })
    };
    found.arches()?.into_iter().map(read).collect()
}

/// Fails where the universal `library` is not what it must be.
pub fn check_library(library: &[u8]) -> Result<()> {
    check(library, |slice| slice.check_library())
}

/// Fails where the universal `program` is not what it must be.
pub fn check_program(program: &[u8]) -> Result<()> {
    check(program, |slice| slice.check_program())
}

fn check(universal: &[u8], check_kind: fn(&Slice<'_>) -> Result<()>) -> Result<()> {
    let slices = slices(universal)?;
    ensure!(
        slices.len() == PROCESSORS.len(),
        "for {} processors",
        slices.len()
    );
    for processor in &PROCESSORS {
        let part = format!("the part for processor {:#x}", processor.kind);
        let slice = slices
            .iter()
            .find(|slice| slice.place.cputype() == processor.kind);
        let slice = slice.with_context(|| format!("{part} is missing"))?;
        let checked = check_kind(slice).and_then(|()| slice.check(processor));
        checked.context(part)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
