//! What a library of macOS must be: for both kinds of Mac, each part whole, signed, and bound to Apple's libraries alone.

use anyhow::{Context, Result, bail, ensure};
use goblin::mach::constants::cputype::{CPU_TYPE_ARM64, CPU_TYPE_X86_64};
use goblin::mach::fat::FatArch;
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
    /// The power of two that is a page of memory: a part of a universal library begins with one.
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

/// The part of a library of macOS that one processor loads.
pub struct Slice<'a> {
    /// As it is read.
    pub library: MachO<'a>,
    bytes: &'a [u8],
    place: FatArch,
}

impl Slice<'_> {
    /// Whether it is for Apple's processors.
    pub fn is_arm(&self) -> bool {
        self.library.header.cputype() == CPU_TYPE_ARM64
    }

    fn check(&self, processor: &Processor) -> Result<()> {
        ensure!(
            self.place.align >= processor.page && self.place.offset.trailing_zeros() >= self.place.align,
            "begins within a page"
        );
        ensure!(
            self.library.name == Some("@rpath/Siskin"),
            "called {:?}",
            self.library.name
        );
        let exports = self.library.exports()?;
        check_entries(exports.iter().map(|export| export.name.as_str()), ENTRIES)?;
        for import in self.library.imports()? {
            let is_found = import.dylib.starts_with("/usr/lib/") || import.dylib.starts_with("/System/");
            ensure!(is_found, "{} is in no library of the system", import.name);
        }
        let (mut found, mut signature) = (None, None);
        for command in &self.library.load_commands {
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

/// The parts of a universal `library`.
pub fn slices(library: &[u8]) -> Result<Vec<Slice<'_>>> {
    let Mach::Fat(found) = Mach::parse(library)? else {
        bail!("not for several processors");
    };
    let read = |place: FatArch| {
        let bytes = place.slice(library);
        Ok(Slice {
            library: MachO::parse(bytes, 0)?,
            bytes,
            place,
        })
    };
    found.arches()?.into_iter().map(read).collect()
}

/// Fails where the universal `library` is not what it must be.
pub fn check(library: &[u8]) -> Result<()> {
    let slices = slices(library)?;
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
        slice.check(processor).context(part)?;
    }
    Ok(())
}
