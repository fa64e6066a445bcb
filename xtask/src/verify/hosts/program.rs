//! The audio programs that are tried.

use anyhow::{Result, bail, ensure};
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};

/// What is done in a program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Case {
    /// Siskin on the voice's track.
    Alone,
    /// Siskin Follow on the voice's track, the lead on its side-chain.
    SideChain,
    /// Siskin on the lead's track, set as a survey proposes.
    Surveyed,
}

impl Case {
    /// The plug-in's name.
    pub fn plug_in(self) -> &'static str {
        match self {
            Case::Alone | Case::Surveyed => SISKIN,
            Case::SideChain => SISKIN_FOLLOW,
        }
    }
}

/// A command that must be there, and the Debian package that brings it.
#[derive(Debug)]
struct Need {
    command: &'static str,
    package: &'static str,
}

const fn need(command: &'static str, package: &'static str) -> Need {
    Need { command, package }
}

/// An audio program.
#[derive(Debug)]
pub struct Program {
    /// Its name, in lower case.
    pub name: &'static str,
    /// The script in `tests/hosts` that drives it.
    pub script: &'static str,
    /// What it wants beside the Python environment.
    needs: &'static [Need],
    /// What is tried in it.
    pub cases: &'static [Case],
}

impl Program {
    /// The Debian packages that are missing.
    pub fn missing(&self) -> Vec<&'static str> {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let is_there =
            |command: &str| std::env::split_paths(&path).any(|folder| folder.join(command).is_file());
        let missing = self.needs.iter().filter(|need| !is_there(need.command));
        missing.map(|need| need.package).collect()
    }
}

/// Every program, the quick ones first.
pub const PROGRAMS: &[Program] = &[
    Program {
        name: "pedalboard",
        script: "pedalboard_host.py",
        needs: &[],
        cases: &[Case::Alone],
    },
    Program {
        name: "dawdreamer",
        script: "dawdreamer_host.py",
        needs: &[],
        cases: &[Case::Alone],
    },
    Program {
        name: "ardour",
        script: "ardour_host.py",
        needs: &[need("ardour7-lua", "ardour")],
        cases: &[Case::Alone, Case::SideChain, Case::Surveyed],
    },
    Program {
        name: "qtractor",
        script: "qtractor_host.py",
        needs: &[
            need("qtractor", "qtractor"),
            need("jackd", "jackd2"),
            need("Xvfb", "xvfb"),
            need("gcc", "gcc"),
        ],
        cases: &[Case::Alone],
    },
];

/// The programs that are named, which must be there; all where none is.
pub fn chosen(only: &[String]) -> Result<Vec<&'static Program>> {
    if only.is_empty() {
        return Ok(PROGRAMS.iter().collect());
    }
    only.iter().map(|name| by_name(name)).collect()
}

fn by_name(name: &str) -> Result<&'static Program> {
    let Some(program) = PROGRAMS.iter().find(|program| program.name == name) else {
        let names: Vec<&str> = PROGRAMS.iter().map(|program| program.name).collect();
        bail!("there is no host \"{name}\"; there are {}", names.join(", "));
    };
    let missing = program.missing();
    ensure!(
        missing.is_empty(),
        "{name} needs these Debian packages: {}; install them, then run this again",
        missing.join(" ")
    );
    Ok(program)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hosts_are_chosen_by_name() {
        assert_eq!(chosen(&[]).unwrap().len(), PROGRAMS.len());
        let only = chosen(&["dawdreamer".into()]).unwrap();
        assert_eq!(
            only.iter().map(|program| program.name).collect::<Vec<_>>(),
            ["dawdreamer"]
        );
        let refused = chosen(&["abacus".into()]).unwrap_err().to_string();
        assert_eq!(
            refused,
            "there is no host \"abacus\"; there are pedalboard, dawdreamer, ardour, qtractor"
        );
    }

    #[test]
    fn a_missing_host_names_its_packages() {
        const NEEDS: &[Need] = &[
            need("sh", "dash"),
            need("no-such-command-anywhere", "no-such-package"),
        ];
        let program = Program {
            name: "none",
            script: "",
            needs: NEEDS,
            cases: &[],
        };
        assert_eq!(program.missing(), ["no-such-package"]);
    }
}
