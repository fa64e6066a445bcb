//! `cargo xtask render`, as a person runs it: what it writes, and how it refuses.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use siskin_tests::hosts::built::{presets_folder, xtask};
use siskin_tests::hosts::fixtures::names_in;
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::signals::{noise, phrases};
use siskin_tests::measurement::voices::singer::sing;
use tempfile::TempDir;

const RATE_HZ: u32 = 48_000;
const LENGTH: usize = 48_000;

/// A folder of its own for each test, with sounds in it.
struct Folder(TempDir);

impl Folder {
    fn new() -> Self {
        let folder = Self(tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap());
        folder.write_wav("in.wav", RATE_HZ, &[voice(1), voice(2)]);
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write_wav(&self, name: &str, sample_rate_hz: u32, channels: &[Vec<f32>]) {
        let audio = Audio::new(sample_rate_hz, channels.to_vec());
        audio_file::write(&self.path(name), &audio, true).unwrap();
    }

    fn files(&self) -> Vec<String> {
        names_in(self.0.path())
    }

    fn render(&self, arguments: &[&str]) -> Output {
        Command::new(xtask())
            .arg("render")
            .args(arguments)
            .current_dir(self.0.path())
            .output()
            .unwrap()
    }

    /// Renders and must be refused: one line, in which `...` stands for any text, no file more and none changed.
    fn refuse(&self, arguments: &[&str], line: &str) {
        let before = self.files();
        let output = self.render(arguments);
        let printed = String::from_utf8_lossy(&output.stderr);
        let mut rest = printed.lines().filter(|line| line.starts_with("error: "));
        let error = rest.next().unwrap_or_default();
        assert_eq!(rest.next(), None, "{arguments:?} printed: {printed}");
        assert_eq!(
            printed.lines().last(),
            Some(error),
            "{arguments:?} printed: {printed}"
        );
        assert!(
            matches(error, &format!("error: {line}")),
            "{arguments:?} printed: {printed}"
        );
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert_eq!(self.files(), before, "{arguments:?}");
    }

    /// Renders and must succeed: the sound that was written.
    fn accept(&self, arguments: &[&str], result: &str) -> Audio {
        let output = self.render(arguments);
        let printed = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{arguments:?} printed: {printed}");
        audio_file::read(&self.path(result)).unwrap()
    }
}

/// Whether `text` is `pattern`, in which `...` stands for any text.
fn matches(text: &str, pattern: &str) -> bool {
    let Some((start, rest)) = pattern.split_once("...") else {
        return text == pattern;
    };
    let Some(text) = text.strip_prefix(start) else {
        return false;
    };
    (0..=text.len()).any(|from| text.is_char_boundary(from) && matches(&text[from..], rest))
}

fn voice(seed: u64) -> Vec<f32> {
    phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9)
}

/// Arguments under which there is nothing to do.
const NOTHING_TO_DO: [&str; 2] = ["--set", "sib_on=off"];

/// Commands in a folder that holds `in.wav` and the files of [`BAD_FILES`], and the one line that refuses each.
const REFUSALS: &str = r#"
gone.wav => gone.wav cannot be opened: No such file or directory (os error 2)
folder.wav => folder.wav cannot be opened: is a directory
empty.wav => empty.wav holds no sound: its length is zero
three.wav => three.wav has 3 channels; only mono and stereo can be rendered
words.wav => words.wav is not a WAV, FLAC or AIFF file that can be read: ...
nothing.wav => nothing.wav is not a WAV, FLAC or AIFF file that can be read: ...
in.wav --set sib_prop => --set takes ID=VALUE, not "sib_prop"
in.wav --set sib_prop=-30 => sib_prop: -30 is out of range; it takes -24.0 LU to 12.0 LU
in.wav --set out_gain=loud => out_gain: "loud" is not a value; it takes -24.0 dB to 24.0 dB
in.wav --set look=3 => look: "3" is none of its values; it takes 0 ms, 2 ms, 5 ms, 300 ms
in.wav --set sib_propp=-6 => unknown parameter "sib_propp"; known are ...sib_prop,...
in.wav --block 0 => --block takes 1 to 2880000 samples, not 0
in.wav --automation two_fields.csv => two_fields.csv: line 2: "0.5,sib_prop" is not time_s,id,value
in.wav --automation unsorted.csv => unsorted.csv: line 2: 0.4 s comes after 0.5 s; sort the lines by time
in.wav --automation no_time.csv => no_time.csv: line 1: "soon" is not a time in seconds from 0
in.wav --automation range.csv => range.csv: line 4: sib_prop: 99 is out of range; it takes -24.0 LU to 12.0 LU
in.wav --automation fixed.csv => fixed.csv: line 1: look cannot be automated; set it for the whole sound instead
in.wav --automation unknown.csv => unknown.csv: line 1: unknown parameter "sib_propp"...
in.wav --automation gone.csv => gone.csv: cannot be read: No such file or directory (os error 2)
in.wav --reference slow.wav => slow.wav runs at 44100 Hz and the input at 48000 Hz; convert one of them
in.wav --reference gone.wav => gone.wav cannot be opened: No such file or directory (os error 2)
in.wav --start led => there is no starting point "led"; there are lead, breaths, double, backing-stack
in.wav --start lead --reference lead.wav => that start is for Siskin, which takes no reference voice; leave --reference away
in.wav --state no.json => no.json is not a saved state
in.wav --state gone.json => gone.json cannot be read: No such file or directory (os error 2)
in.wav --out words.wav/below => words.wav/below/in-siskin.wav cannot be written: ...
"#;

/// Files that a command refuses, by their names.
const BAD_FILES: [(&str, &str); 9] = [
    (
        "words.wav",
        "these are words and no sound at all, however long they go on",
    ),
    ("nothing.wav", ""),
    ("no.json", "{}"),
    ("two_fields.csv", "time_s,id,value\n0.5,sib_prop\n"),
    ("unsorted.csv", "0.5,sib_prop,-6\n0.4,sib_prop,-9\n"),
    ("no_time.csv", "soon,sib_prop,-6\n"),
    ("range.csv", "time_s,id,value\n\n0,sib_prop,-6\n1,sib_prop,99\n"),
    ("fixed.csv", "0,look,5 ms\n"),
    ("unknown.csv", "0,sib_propp,-6\n"),
];

#[test]
fn what_cannot_be_rendered_is_refused_in_one_line() {
    let folder = Folder::new();
    for (name, content) in BAD_FILES {
        fs::write(folder.path(name), content).unwrap();
    }
    folder.write_wav("empty.wav", RATE_HZ, &[Vec::new()]);
    folder.write_wav("three.wav", RATE_HZ, &[voice(1), voice(2), voice(3)]);
    folder.write_wav("slow.wav", 44_100, &[voice(3)]);
    folder.write_wav("lead.wav", RATE_HZ, &[voice(3)]);
    fs::create_dir(folder.path("folder.wav")).unwrap();
    for case in REFUSALS.trim().lines() {
        let (command, line) = case.split_once(" => ").unwrap();
        folder.refuse(&command.split(' ').collect::<Vec<_>>(), line);
    }
}

#[test]
fn start_by_word_by_file_and_by_values_sounds_alike() {
    let folder = Folder::new();
    folder.write_wav("lead.wav", RATE_HZ, &[voice(9)]);
    let render = |arguments: &[&str]| {
        let arguments = [&["in.wav", "--force", "--reference", "lead.wav"], arguments].concat();
        folder.accept(&arguments, "in-siskin.wav").channels
    };
    let file = presets_folder().join("Siskin Follow/Backing stack.json");
    let by_word = render(&["--start", "backing-stack"]);
    let by_file = render(&["--state", file.to_str().unwrap()]);
    let by_hand = render(&[
        "--set",
        "sib_prop=-14",
        "sib_range=18",
        "sib_reach=10",
        "chan=Apart",
        "sib_rel=60",
        "br_on=on",
        "br_prop=-28",
        "br_range=18",
    ]);
    let further = render(&["--start", "backing-stack", "--set", "sib_prop=-20"]);
    for channel in 0..2 {
        assert!(by_word[channel] == by_file[channel]);
        assert!(residual_db(&by_hand[channel], &by_word[channel]) < -80.0);
        assert!(residual_db(&further[channel], &by_word[channel]) > -60.0);
    }
}

#[test]
fn siskin_follow_renders_mono_as_stereo() {
    let folder = Folder::new();
    folder.write_wav("mono.wav", RATE_HZ, &[voice(4)]);
    let audio = folder.accept(&["mono.wav", "--start", "double"], "mono-siskin.wav");
    assert_eq!(audio.channels.len(), 2);
    assert!(audio.channels[0] == audio.channels[1] && audio.channels[0] != voice(4));
}

#[test]
fn existing_result_is_replaced_only_with_force() {
    let folder = Folder::new();
    fs::write(folder.path("in-siskin.wav"), "precious").unwrap();
    folder.refuse(&["in.wav"], "in-siskin.wav exists; give --force to replace it");
    assert_eq!(fs::read(folder.path("in-siskin.wav")).unwrap(), b"precious");
    let audio = folder.accept(&["in.wav", "--force"], "in-siskin.wav");
    assert_eq!(audio.length(), LENGTH);
    assert_eq!(folder.files(), ["in-siskin.wav", "in.wav"]);
}

#[test]
fn every_file_format_is_read_and_latency_is_removed() {
    let folder = Folder::new();
    let ramp: Vec<i32> = noise(3)
        .take(LENGTH)
        .map(|sample| (sample * 8_000_000.0) as i32)
        .collect();
    let expected: Vec<f32> = ramp.iter().map(|&sample| sample as f32 / 8_388_608.0).collect();
    write_wav_of(&folder.path("d24.wav"), 24, &ramp);
    fs::write(folder.path("d24.aiff"), aiff(&ramp)).unwrap();
    fs::write(folder.path("d24.flac"), flac(&ramp)).unwrap();
    for name in ["d24.wav", "d24.aiff", "d24.flac"] {
        let mut arguments = vec![name, "--out", "done", "--force"];
        arguments.extend(NOTHING_TO_DO);
        let audio = folder.accept(&arguments, "done/d24-siskin.wav");
        assert_eq!(audio.sample_rate_hz, RATE_HZ, "{name}");
        assert!(audio.channels == [expected.clone()], "{name}");
    }
    let coarse: Vec<i32> = ramp.iter().map(|sample| sample >> 8).collect();
    write_wav_of(&folder.path("d16.wav"), 16, &coarse);
    let audio = folder.accept(&["d16.wav", NOTHING_TO_DO[0], NOTHING_TO_DO[1]], "d16-siskin.wav");
    assert!(
        audio.channels
            == [coarse
                .iter()
                .map(|&sample| sample as f32 / 32_768.0)
                .collect::<Vec<f32>>()]
    );
}

#[test]
fn block_size_changes_nothing_automation_and_reference_do() {
    let folder = Folder::new();
    fs::write(
        folder.path("a.csv"),
        "time_s,id,value\n0,sib_prop,-12\n0.5,bypass,on\n",
    )
    .unwrap();
    folder.write_wav(
        "lead.wav",
        RATE_HZ,
        &[voice(9).iter().map(|sample| sample * 3.0).collect()],
    );
    let render = |arguments: &[&str]| {
        let arguments = [&["in.wav", "--force"], arguments].concat();
        folder.accept(&arguments, "in-siskin.wav").channels
    };
    let prop = ["--set", "sib_prop=-12 LU", "sib_range=24"];
    let plain = render(&prop);
    assert_eq!(plain.len(), 2);
    assert!(render(&[&prop[..], &["--block", "37"]].concat()) == plain);
    let automated = render(&["--automation", "a.csv"]);
    let followed = render(&[&prop[..], &["--reference", "lead.wav"]].concat());
    for channel in 0..2 {
        assert!(automated[channel] != plain[channel] && followed[channel] != plain[channel]);
        // Bypassed since 0.5 s: its glide is long over.
        assert_eq!(automated[channel][36_000..], voice(channel as u64 + 1)[36_000..]);
    }
}

/// The singer breathes; the voice of the other tests does not.
#[test]
fn parts_are_written_apart_and_add_up() {
    let folder = Folder::new();
    let mut song = sing(f64::from(RATE_HZ), 1).audio;
    song.truncate(12 * RATE_HZ as usize);
    folder.write_wav("song.wav", RATE_HZ, &[song]);
    let settings = ["song.wav", "--set", "look=300 ms", "br_on=on"];
    let whole = folder.accept(&settings, "song-siskin.wav").channels;
    let voice = folder.accept(
        &[&settings[..], &["--part", "both"]].concat(),
        "song-siskin-voice.wav",
    );
    let breaths = audio_file::read(&folder.path("song-siskin-breaths.wav")).unwrap();
    for part in [&voice, &breaths] {
        assert!(part.channels[0].iter().any(|&sample| sample != 0.0) && part.channels != whole);
    }
    let sums = voice.channels[0].iter().zip(&breaths.channels[0]);
    for ((voice, breath), whole) in sums.zip(&whole[0]) {
        // -120 dB of full scale.
        assert!((voice + breath - whole).abs() <= 1e-6);
    }
    let alone = folder.accept(
        &[&settings[..], &["--part", "breaths", "--out", "alone"]].concat(),
        "alone/song-siskin-breaths.wav",
    );
    assert!(alone == breaths);
}

fn write_wav_of(path: &Path, bits_per_sample: u16, samples: &[i32]) {
    let specification = hound::WavSpec {
        channels: 1,
        sample_rate: RATE_HZ,
        bits_per_sample,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, specification).unwrap();
    for &sample in samples {
        writer.write_sample(sample).unwrap();
    }
    writer.finalize().unwrap();
}

/// 24-bit mono AIFF (Apple, Audio Interchange File Format 1.3, from memory).
fn aiff(samples: &[i32]) -> Vec<u8> {
    let data: Vec<u8> = samples
        .iter()
        .flat_map(|sample| sample.to_be_bytes()[1..].to_vec())
        .collect();
    let mut common = Vec::new();
    common.extend(1_u16.to_be_bytes());
    common.extend((samples.len() as u32).to_be_bytes());
    common.extend(24_u16.to_be_bytes());
    // 48 000 as an 80-bit float: exponent 15 above its bias, mantissa with its leading one.
    common.extend((16_383_u16 + 15).to_be_bytes());
    common.extend((48_000_u64 << 48).to_be_bytes());
    let chunk = |name: &[u8; 4], body: &[u8]| [name, &(body.len() as u32).to_be_bytes()[..], body].concat();
    let sound = [&[0; 8], &data[..]].concat();
    let form = [&b"AIFF"[..], &chunk(b"COMM", &common), &chunk(b"SSND", &sound)].concat();
    chunk(b"FORM", &form)
}

/// 24-bit mono FLAC.
fn flac(samples: &[i32]) -> Vec<u8> {
    use flacenc::component::BitRepr;
    use flacenc::error::Verify;

    let mut configuration = flacenc::config::Encoder::default();
    // A divisor of the length: this encoder declares a shorter last block in a way that strict decoders refuse.
    configuration.block_size = 4000;
    let configuration = configuration.into_verified().unwrap();
    let source = flacenc::source::MemSource::from_samples(samples, 1, 24, RATE_HZ as usize);
    let stream =
        flacenc::encode_with_fixed_block_size(&configuration, source, configuration.block_size).unwrap();
    let mut sink = flacenc::bitsink::ByteSink::new();
    stream.write(&mut sink).unwrap();
    sink.into_inner()
}
