//! `cargo xtask survey`, as a person runs it: what it writes, held against labels, meters and browsers, and how it refuses.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::Command;

use ebur128::{EbuR128, Mode};
use siskin_tests::hosts::built::xtask;
use siskin_tests::hosts::fixtures::{names_in, output_of};
use siskin_tests::measurement::figures::properties::{RATE_HZ, Voice, breaths, double, proportions_lu};
use siskin_tests::measurement::levels::{mean, near};
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::corpus::resample::resampled;
use tempfile::TempDir;

/// A row of sibilants.csv.
#[derive(Debug)]
struct Row {
    time_s: f64,
    track: String,
    section: usize,
    class: String,
    levels_lu: [f32; 3],
}

fn folder() -> TempDir {
    tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap()
}

fn write(folder: &TempDir, name: &str, rate_hz: u32, audio: &[f32]) {
    let audio = Audio::new(rate_hz, vec![audio.to_vec()]);
    audio_file::write(&folder.path().join(name), &audio, true).unwrap();
}

fn survey(folder: &TempDir, arguments: &[&str]) -> Command {
    let mut command = Command::new(xtask());
    command.arg("survey").args(arguments).current_dir(folder.path());
    command
}

fn rows(path: &Path) -> Vec<Row> {
    let text = fs::read_to_string(path).unwrap();
    let (head, rows) = text.split_once('\n').unwrap();
    assert_eq!(head, "time_s,track,section,class,before_lu,asked_lu,left_lu");
    let row = |line: &str| {
        let fields: Vec<&str> = line.split(',').collect();
        Row {
            time_s: fields[0].parse().unwrap(),
            track: fields[1].to_owned(),
            section: fields[2].parse().unwrap(),
            class: fields[3].to_owned(),
            levels_lu: [4, 5, 6].map(|field| fields[field].parse().unwrap()),
        }
    };
    rows.lines().map(row).collect()
}

fn samples(path: PathBuf) -> Vec<f32> {
    audio_file::read(&path).unwrap().channels.remove(0)
}

#[test]
fn a_survey_of_a_session_says_what_meters_and_labels_say() {
    let folder = folder();
    let lead = Voice::singer(2026);
    let at_44100 = resampled(&double(&lead).audio, RATE_HZ, 44_100.0);
    write(&folder, "lead.wav", 48_000, &lead.levelled);
    write(&folder, "double.wav", 44_100, &at_44100);
    write(&folder, "breaths.wav", 48_000, &breaths(&lead).audio);
    let files = ["lead.wav", "--double", "double.wav", "--breaths", "breaths.wav"];
    let [printed, _] = output_of(&mut survey(&folder, &files));
    let rate = "double: The lead runs at 48000 Hz and this track at 44100 Hz: the lead was resampled.";
    assert!(printed.contains(rate), "{printed}");
    assert_eq!(
        names_in(folder.path()),
        ["breaths.wav", "double.wav", "lead-survey", "lead.wav"]
    );
    let out = folder.path().join("lead-survey");
    let of_track =
        |name: &str| ["-siskin.wav", ".json", ".vstpreset"].map(|ending| format!("{name}{ending}"));
    let mut expected: Vec<String> = ["breaths", "double", "lead"]
        .into_iter()
        .flat_map(of_track)
        .collect();
    expected.extend(["report.html", "sibilants.csv", "sound"].map(str::to_owned));
    expected.sort();
    assert_eq!(names_in(&out), expected);

    let rows = rows(&out.join("sibilants.csv"));
    held_against_labels(&lead, &samples(out.join("lead-siskin.wav")), &rows);
    for (track, class) in [("double", "sibilant"), ("breaths", "breath")] {
        let of_track = || rows.iter().filter(|row| row.track == track && row.class == class);
        assert!(of_track().count() > 5, "{track}");
        let lowered = of_track()
            .map(|row| row.levels_lu[0] - row.levels_lu[2])
            .collect::<Vec<_>>();
        assert!(mean(&lowered) > 1.0, "{track}: {lowered:?}");
    }
    loudness_is_that_of_a_meter(&folder, &out);
    a_preset_renders_the_same(&folder, &out);
    #[cfg(unix)]
    the_page_works(&out.join("report.html"));
    let again = survey(&folder, &["lead.wav"]).output().unwrap();
    assert!(!again.status.success());
    assert_eq!(
        String::from_utf8_lossy(&again.stderr).lines().last().unwrap(),
        "error: lead-survey exists; give --force to replace it"
    );
}

/// What the list says of the lead, against the labels of the singer and against levels measured apart from the engine.
fn held_against_labels(lead: &Voice, after: &[f32], rows: &[Row]) {
    let rows: Vec<&Row> = rows.iter().filter(|row| row.track == "lead").collect();
    let [sibilants, vowels] = [lead.sibilants(), lead.vowels()];
    let is_near = |row: &Row, span: &Range<usize>| {
        (span.start.saturating_sub(2400)..span.end + 2400).contains(&((row.time_s * RATE_HZ) as usize))
    };
    // The list also has soft consonants, which leave as they come.
    let lowered: Vec<&Row> = rows
        .iter()
        .copied()
        .filter(|row| row.levels_lu[0] - row.levels_lu[2] > 0.5)
        .collect();
    let placed = lowered
        .iter()
        .filter(|row| sibilants.iter().any(|span| is_near(row, span)));
    assert!(
        placed.count() as f64 >= 0.95 * lowered.len() as f64,
        "{lowered:?}"
    );
    let found = sibilants
        .iter()
        .filter(|span| lowered.iter().any(|row| is_near(row, span)));
    assert!(
        found.count() as f64 >= 0.9 * sibilants.len() as f64,
        "{lowered:?}"
    );
    let [before, after] = [&lead.levelled[..], after].map(|audio| proportions_lu(audio, &sibilants, &vowels));
    // Sibilants that the list has as one event for one label.
    let alone = sibilants.iter().enumerate().filter_map(|(index, span)| {
        let mut within = rows.iter().filter(|row| is_near(row, span));
        let row = within.next()?;
        within.next().is_none().then_some((index, *row))
    });
    let errors: Vec<f32> = alone
        .map(|(index, row)| (row.levels_lu[0] - row.levels_lu[2]) - (before[index] - after[index]))
        .collect();
    println!(
        "{} of {} sibilants, mean {:.2} LU",
        errors.len(),
        sibilants.len(),
        mean(&errors)
    );
    assert!(errors.len() > 50);
    near(mean(&errors), 0.0, 0.5, "reduction of the sibilants");
    assert!(rows.is_sorted_by_key(|row| row.section));
}

/// The loudness on the page, against a meter that reads the files (crate `ebur128`, EBU R 128).
fn loudness_is_that_of_a_meter(folder: &TempDir, out: &Path) {
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    for name in ["lead", "double", "breaths"] {
        let [before, after] = [
            folder.path().join(format!("{name}.wav")),
            out.join(format!("{name}-siskin.wav")),
        ]
        .map(|path| {
            let mut reader = hound::WavReader::open(path).unwrap();
            let spec = reader.spec();
            let mut meter = EbuR128::new(u32::from(spec.channels), spec.sample_rate, Mode::I).unwrap();
            let samples: Vec<f32> = reader.samples().map(Result::unwrap).collect();
            meter.add_frames_f32(&samples).unwrap();
            meter.loudness_global().unwrap()
        });
        let row = page
            .split("<tr>")
            .find(|row| row.starts_with(&format!("<td class=\"text\">{name}<td")))
            .unwrap();
        let cells: Vec<&str> = row.trim_end_matches("</tr>").split("<td>").collect();
        for (cell, measured) in cells[cells.len() - 2..].iter().zip([before, after]) {
            let shown: f64 = cell.split('<').next().unwrap().parse().unwrap_or(f64::NAN);
            near(shown as f32, measured as f32, 0.1, name);
        }
    }
}

/// The preset of the lead, rendered by itself, gives the survey's sound.
fn a_preset_renders_the_same(folder: &TempDir, out: &Path) {
    let mut render = Command::new(xtask());
    render
        .args(["render", "lead.wav", "--out", "again", "--state"])
        .arg(out.join("lead.json"));
    output_of(render.current_dir(folder.path()));
    let again = samples(folder.path().join("again/lead-siskin.wav"));
    assert!(
        again == samples(out.join("lead-siskin.wav")),
        "the preset sounds otherwise"
    );
}

#[cfg(unix)]
fn the_page_works(page: &Path) {
    use siskin_tests::hosts::browser::Browser;

    let mut browser = Browser::start().unwrap();
    browser.open(page).unwrap();
    browser.press("t").unwrap();
    browser.press("2").unwrap();
    browser.click("button[data-at][data-track='track-3']").unwrap();
    browser
        .wait_for("document.querySelector('#player .play').textContent === 'Stop'")
        .unwrap();
    browser
        .wait_for("document.querySelectorAll('head > script').length === 0")
        .unwrap();
    assert_eq!(browser.complaints(), Vec::<String>::new());
    let folder = format!(
        "file://{}/",
        page.parent().unwrap().canonicalize().unwrap().display()
    );
    let requests = browser.requests();
    assert!(
        requests.iter().any(|url| url.ends_with("sound/track-3-0.js")),
        "{requests:?}"
    );
    assert!(
        requests.iter().all(|url| url.starts_with(&folder)),
        "{requests:?}"
    );
}

#[test]
fn what_cannot_be_surveyed_is_refused_in_one_line_and_leaves_nothing() {
    let folder = folder();
    let second = vec![0.0; 48_000];
    write(&folder, "lead.wav", 48_000, &second);
    let three = Audio::new(48_000, vec![second.clone(), second.clone(), second]);
    audio_file::write(&folder.path().join("three.wav"), &three, true).unwrap();
    fs::write(folder.path().join("words.wav"), "these are words and no sound").unwrap();
    fs::create_dir(folder.path().join("other")).unwrap();
    let before = names_in(folder.path());
    for (arguments, line) in [
        (
            &["gone.wav"][..],
            "gone.wav cannot be opened: No such file or directory (os error 2)",
        ),
        (
            &["lead.wav", "--double", "gone.wav"],
            "gone.wav cannot be opened: No such file or directory (os error 2)",
        ),
        (
            &["lead.wav", "--stack", "words.wav"],
            "words.wav is not a WAV, FLAC or AIFF file that can be read: ",
        ),
        (
            &["lead.wav", "--double", "three.wav"],
            "three.wav has 3 channels; only mono and stereo can be rendered",
        ),
        (
            &["lead.wav", "--out", "other"],
            "other exists; give --force to replace it",
        ),
        (
            &["lead.wav", "--out", "other", "--force"],
            "other holds no survey; choose another folder",
        ),
    ] {
        let output = survey(&folder, arguments).output().unwrap();
        let printed = String::from_utf8_lossy(&output.stderr);
        let error = printed.lines().last().unwrap_or_default();
        assert!(
            error.starts_with(&format!("error: {line}")),
            "{arguments:?}: {printed}"
        );
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert_eq!(names_in(folder.path()), before, "{arguments:?}");
    }
    // An earlier survey is replaced as a whole; a track without a voice is told.
    for force in [&[][..], &["--force"]] {
        let [printed, _] = output_of(&mut survey(&folder, &[&["lead.wav"], force].concat()));
        assert!(printed.contains("lead: No voice was found."), "{printed}");
        let stray = folder.path().join("lead-survey/stray.txt");
        assert!(!stray.exists());
        fs::write(stray, "old").unwrap();
    }
}
