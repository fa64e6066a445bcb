//! The systems that there are packages for.

use clap::ValueEnum;

use super::VERSION;

/// A system, and the processors that one package serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum System {
    /// Linux on 64-bit Intel and AMD processors, glibc 2.17 or later
    #[value(name = "linux-x86_64")]
    LinuxX86_64,
    /// Linux on 64-bit ARM processors, glibc 2.17 or later
    #[value(name = "linux-aarch64")]
    LinuxAarch64,
    /// Windows on 64-bit Intel and AMD processors
    #[value(name = "windows-x86_64")]
    Windows,
    /// macOS on Apple's and Intel's processors
    #[value(name = "macos-universal")]
    MacOs,
}

impl System {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::LinuxX86_64, Self::LinuxAarch64, Self::Windows, Self::MacOs];

    /// The name in options and in the archive's name.
    pub fn name(self) -> String {
        let value = self.to_possible_value();
        value.map_or_else(String::new, |value| value.get_name().to_owned())
    }

    /// The targets of the compiler, one a processor.
    pub fn triples(self) -> &'static [&'static str] {
        match self {
            Self::LinuxX86_64 => &["x86_64-unknown-linux-gnu"],
            Self::LinuxAarch64 => &["aarch64-unknown-linux-gnu"],
            Self::Windows => &["x86_64-pc-windows-gnu"],
            Self::MacOs => &["aarch64-apple-darwin", "x86_64-apple-darwin"],
        }
    }

    /// The system of this machine, where there is a Linux package for it.
    pub fn here() -> Option<Self> {
        match (std::env::consts::OS, std::env::consts::ARCH) {
            ("linux", "x86_64") => Some(Self::LinuxX86_64),
            ("linux", "aarch64") => Some(Self::LinuxAarch64),
            _ => None,
        }
    }

    /// The folder that the archive unpacks to.
    pub fn folder_name(self) -> String {
        format!("siskin-{VERSION}-{}", self.name())
    }

    /// The file name of the archive.
    pub fn archive_name(self) -> String {
        let ending = match self {
            Self::LinuxX86_64 | Self::LinuxAarch64 => "tar.gz",
            Self::Windows | Self::MacOs => "zip",
        };
        format!("{}.{ending}", self.folder_name())
    }

    /// The file name of the library that the compiler writes.
    pub fn library_name(self) -> &'static str {
        match self {
            Self::LinuxX86_64 | Self::LinuxAarch64 => "libsiskin.so",
            Self::Windows => "siskin.dll",
            Self::MacOs => "libsiskin.dylib",
        }
    }
    /// The file name of the program, as the compiler writes it and in the package.
    pub fn program_name(self) -> &'static str {
        match self {
            Self::Windows => "siskin.exe",
            _ => "siskin",
        }
    }
}
