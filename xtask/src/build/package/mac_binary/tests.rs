//! Programs of a few words, one thing wrong at a time.

use super::super::macos::universal;
use super::super::signature::tests::signed;
use super::*;

/// What a part of a program says about itself.
#[derive(Clone, Copy)]
struct Part {
    cpu: u32,
    kind: u32,
    flags: u32,
    oldest_macos: u32,
    library: &'static str,
}

const ON_ARM: Part = Part {
    cpu: CPU_TYPE_ARM64,
    kind: MH_EXECUTE,
    flags: MH_PIE,
    oldest_macos: 0x000b_0000,
    library: "/usr/lib/libSystem.B.dylib",
};
const ON_INTEL: Part = Part {
    cpu: CPU_TYPE_X86_64,
    oldest_macos: 0x000a_0c00,
    ..ON_ARM
};

/// Where the signature begins, which lies behind what it signs.
const LENGTH: u32 = 8192;

/// The segment "__TEXT", which is all of it: name, places in memory and in the file, protection, sections.
const TEXT: [u32; 16] = [
    0x4554_5f5f,
    0x5458,
    0,
    0,
    0,
    0,
    LENGTH,
    0,
    0,
    0,
    LENGTH,
    0,
    5,
    5,
    0,
    0,
];

/// A command of the header (`loader.h`): its number, its numbers and a name at its end.
fn command(number: u32, numbers: &[u32], name: &str) -> Vec<u8> {
    let mut words = vec![number, (8 + 4 * numbers.len() + name.len()) as u32];
    words.extend(numbers);
    let words = words.iter().flat_map(|word| word.to_le_bytes());
    words.chain(name.bytes()).collect()
}

impl Part {
    fn bytes(self) -> Vec<u8> {
        let name = format!("{}\0\0\0\0\0\0\0\0", self.library);
        let name = &name[..name.len() / 8 * 8];
        let commands = [
            command(0x19, &TEXT, ""),
            command(0x8000_0028, &[0; 4], ""),
            command(0xc, &[24, 0, 0, 0], name),
            command(0x32, &[1, self.oldest_macos, 0, 0], ""),
            command(0x1d, &[LENGTH, 512], ""),
        ];
        let size = commands.concat().len() as u32;
        let header = [0xfeed_facf, self.cpu, 0, self.kind, 5, size, self.flags, 0];
        let mut content: Vec<u8> = header.iter().flat_map(|word| word.to_le_bytes()).collect();
        content.extend(commands.concat());
        content.resize(LENGTH as usize, 0);
        signed(&content)
    }
}

fn refusal(parts: &[Part]) -> String {
    let parts = parts.iter().map(|part| part.bytes()).collect();
    format!("{:#}", check_program(&universal(parts).unwrap()).unwrap_err())
}

#[test]
fn a_program_of_both_processors_passes() {
    let parts = vec![ON_ARM.bytes(), ON_INTEL.bytes()];
    let mut program = universal(parts).unwrap();
    check_program(&program).unwrap();
    assert!(check_library(&program).is_err(), "a library");

    let in_second_page = program.len() - 2 * 512;
    program[in_second_page] ^= 1;
    let refusal = format!("{:#}", check_program(&program).unwrap_err());
    assert!(refusal.contains("its signature"), "{refusal}");
}

#[test]
fn programs_that_some_mac_does_not_start_are_refused() {
    let changed = |change: fn(&mut Part)| {
        let mut part = ON_ARM;
        change(&mut part);
        refusal(&[part, ON_INTEL])
    };
    for (refusal, reason) in [
        (refusal(&[ON_INTEL]), "for 1 processors"),
        (changed(|part| part.kind = MH_DYLIB), "not a program"),
        (changed(|part| part.flags = 0), "lies at one place"),
        (
            changed(|part| part.oldest_macos = 0x000c_0000),
            "needs another macOS",
        ),
        (
            changed(|part| part.library = "/opt/local/lib/libz.dylib"),
            "needs /opt/local/lib/libz.dylib",
        ),
    ] {
        assert!(refusal.contains(reason), "{reason}: {refusal}");
    }
}
