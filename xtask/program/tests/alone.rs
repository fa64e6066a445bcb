//! The program `siskin` as a person has it: in a folder with the bundle, without a compiler.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use siskin_host::audio_file::{self, Audio};
use siskin_tests::hosts::built::clap_bundle;
use siskin_tests::hosts::fixtures::{names_in, output_of};
use siskin_tests::hosts::vst3::library_in;
use siskin_tests::measurement::voices::singer::sing;
use tempfile::TempDir;

const RATE_HZ: u32 = 48_000;
/// Enough of a song for a few sibilants, samples.
const SAMPLES: usize = 6 * RATE_HZ as usize;

/// A package with the program and, where asked for, the bundle; a person's sound lies in another folder.
fn unpacked(with_bundle: bool) -> (TempDir, PathBuf) {
    let folder = tempfile::Builder::new()
        .prefix("Gesang, 2. Stück")
        .tempdir()
        .unwrap();
    let package = folder.path().join("package");
    let program = Path::new(env!("CARGO_BIN_EXE_siskin"));
    fs::create_dir(&package).unwrap();
    fs::copy(program, package.join(program.file_name().unwrap())).unwrap();
    if with_bundle {
        fs::copy(clap_bundle(), package.join("Siskin.clap")).unwrap();
    }
    let mut voice = sing(f64::from(RATE_HZ), 3).audio;
    voice.truncate(SAMPLES);
    let voice = Audio::new(RATE_HZ, vec![voice]);
    audio_file::write(&folder.path().join("lead.wav"), &voice, false).unwrap();
    let program = package.join(program.file_name().unwrap());
    (folder, program)
}

/// Runs the program in `folder`, where it finds no other one.
fn run(program: &Path, folder: &TempDir, arguments: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(arguments).current_dir(folder.path()).env("PATH", "");
    command
}

#[test]
fn program_and_bundle_are_enough_to_render_and_to_survey() {
    let (folder, program) = unpacked(true);
    let render = ["render", "lead.wav", "--set", "sib_prop=-20", "--out", "out"];
    output_of(&mut run(&program, &folder, &render));
    let [before, after] =
        ["lead.wav", "out/lead-siskin.wav"].map(|name| audio_file::read(&folder.path().join(name)).unwrap());
    assert_eq!(after.length(), SAMPLES);
    assert!(after != before, "nothing was done");

    let [printed, _] = output_of(&mut run(&program, &folder, &["survey", "lead.wav"]));
    assert!(printed.contains("lead-survey"), "{printed}");
    assert_eq!(
        names_in(&folder.path().join("lead-survey")),
        [
            "lead-siskin.wav",
            "lead.json",
            "lead.vstpreset",
            "report.html",
            "sibilants.csv",
            "sound"
        ]
    );
}

#[test]
fn a_missing_bundle_is_told_before_anything_is_written() {
    let (folder, program) = unpacked(false);
    let before = names_in(folder.path());
    for arguments in [&["render", "lead.wav"], &["survey", "lead.wav"]] {
        let output = run(&program, &folder, arguments).output().unwrap();
        let printed = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{printed}");
        assert!(
            printed.starts_with("error: ")
                && printed.contains("Siskin.clap does not exist; leave the program in the folder"),
            "{printed}"
        );
        assert_eq!(names_in(folder.path()), before);
    }
    // A bundle elsewhere, in the other format too: the library is the same.
    let elsewhere = library_in(&clap_bundle().with_file_name("Siskin.vst3"));
    let elsewhere = elsewhere.to_str().unwrap();
    output_of(&mut run(
        &program,
        &folder,
        &["render", "lead.wav", "--bundle", elsewhere],
    ));
}
