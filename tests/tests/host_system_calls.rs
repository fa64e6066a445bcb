//! The plug-ins reach nothing outside themselves: no network, no file unless a person has kept presets, and no system call
//! at all while they process, hence no log and no lock that waits.
//!
//! A child process, which is this test program itself, plays the host under `strace`. It marks its steps by asking for files
//! that do not exist, and each call of `process` by [`mark_for_a_tracer`]. The editor is not opened here.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle, insert};
use siskin_tests::hosts::clap::{Bundle, Render};
use siskin_tests::hosts::fixtures::{ALL_STAGES, RATE_HZ, voice, vst3_insert, with_lead};
use siskin_tests::hosts::{HostBlock, Insert, ParamEvent, ProcessStatus, blocks, mark_for_a_tracer};

const LENGTH: usize = 96_000;
/// Set in the child process: what it plays.
const PLAY_HERE: &str = "SISKIN_PLAY_TRACED";

const LOADING: &str = "/siskin-mark/loading";
const LOADED: &str = "/siskin-mark/loaded";
const DONE: &str = "/siskin-mark/done";

/// What names a file, or reaches another machine or process, in Linux on any processor.
const REACHING_OUT: &str = "open creat access faccess stat lstat newfstatat readlink rename unlink mkdir rmdir link symlink \
    chmod chown truncate statfs chdir getcwd execve socket connect bind listen accept send recv mount inotify utime mknod";

/// One line of a trace: who called what.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Call {
    thread: String,
    name: String,
    text: String,
}

impl Call {
    /// Reads "123 name(...) = 0"; the second half of a call that was interrupted counts as no call.
    fn parse(line: &str) -> Option<Self> {
        let (thread, text) = line.split_once(' ')?;
        let (name, _arguments) = text.trim_start().split_once('(')?;
        let is_name = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
        (!name.is_empty() && name.chars().all(is_name)).then(|| Self {
            thread: thread.into(),
            name: name.into(),
            text: text.trim_start().into(),
        })
    }

    fn reaches_out(&self) -> bool {
        let is_mark = self.text.contains("\"/siskin-mark/");
        // Where a host lists presets, the plug-in asks whether there are a person's own. (The first such call in a program
        // asks the system whether it has that call.)
        let asked = ["/.vst3/presets/Siskin\"", "statx(0, NULL"];
        let looks_for_presets = self.name == "statx" && asked.iter().any(|asked| self.text.contains(asked));
        !is_mark && !looks_for_presets && REACHING_OUT.split(' ').any(|name| self.name.starts_with(name))
    }
}

fn mark(step: &str) {
    assert!(fs::metadata(step).is_err(), "{step} exists");
}

/// The calls of a child process that runs `test` with `what` to play.
fn trace(test: &str, what: &str) -> Vec<Call> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let file = folder.path().join("trace.txt");
    let run = Command::new("strace")
        .args(["-f", "-qq", "-s", "256", "-o"])
        .arg(&file)
        .arg(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture", "--test-threads", "1"])
        .env(PLAY_HERE, what)
        .output()
        .expect("strace is wanted: cargo xtask test --setup installs it");
    assert!(
        run.status.success(),
        "{what}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    let lines = fs::read_to_string(file).unwrap();
    lines.lines().filter_map(Call::parse).collect()
}

/// Everything that a host does with a plug-in but for its window.
fn play_host() {
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    mark(LOADING);
    let bundle = Bundle::load_strict(&clap_bundle()).unwrap();
    mark(LOADED);
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = bundle.plugin(name).unwrap();
        let presets = bundle.presets().unwrap();
        let is_mine = |preset: &&_| {
            siskin_tests::hosts::clap::Preset::plug_in(preset, &bundle).as_deref() == Some(name)
        };
        plugin
            .load_preset(&presets.iter().find(is_mine).unwrap().word)
            .unwrap();
        plugin.set_all(ALL_STAGES).unwrap();
        let steps = (0..40).map(|turn| (turn * 2_301, ["-6 LU", "-18 LU"][turn % 2]));
        let events: Vec<ParamEvent> = steps
            .map(|(sample, value)| plugin.event(sample, "sib_prop", value).unwrap())
            .collect();
        let job = Render {
            reference: if name == SISKIN_FOLLOW { &voice } else { &[] },
            blocks: &[512, 64, 333],
            events: &events,
            ..Render::new(RATE_HZ, &voice)
        };
        let played = plugin.render(&job, &mut |_| {}).unwrap().audio;
        assert_ne!(played, voice, "{name} did nothing");
        let state = plugin.save_state().unwrap();
        plugin.load_state(&state).unwrap();
        assert!(!plugin.text_of("sib_prop", 0.5).unwrap().is_empty());
    }
    mark(DONE);
}

#[test]
fn no_file_and_no_network_is_reached() {
    const TEST: &str = "no_file_and_no_network_is_reached";
    if std::env::var_os(PLAY_HERE).is_some() {
        return play_host();
    }
    let calls = trace(TEST, "host");
    let position = |step: &str| {
        let found = calls
            .iter()
            .position(|call| call.text.contains(&format!("\"{step}\"")));
        found.unwrap_or_else(|| panic!("the trace does not show {step}"))
    };
    let [loading, loaded, done] = [LOADING, LOADED, DONE].map(position);
    assert!(loading < loaded && loaded < done);
    // Loading maps the library, and what the system's loader looks up for it.
    let opened: Vec<&Call> = calls[loading..loaded]
        .iter()
        .filter(|call| call.name.starts_with("open"))
        .collect();
    assert!(
        opened.iter().any(|call| call.text.contains("Siskin.clap")),
        "the trace shows no loading"
    );
    for call in opened {
        let known = ["Siskin.clap\"", ".so", "/etc/ld.so.cache\""];
        let is_known = known.iter().any(|known| call.text.contains(known));
        assert!(is_known && call.text.contains("O_RDONLY"), "{}", call.text);
    }
    let reached: Vec<&Call> = calls[loaded..done]
        .iter()
        .filter(|call| call.reaches_out())
        .collect();
    assert!(reached.is_empty(), "the plug-ins reached {reached:#?}");
}

/// A call that wakes another thread and waits for nothing.
const WAKES: &str = "wakes another thread";

/// The system calls between the marks of `process` on each thread, by name, and how many pairs of marks there were.
fn calls_while_processing(calls: &[Call]) -> (usize, BTreeMap<&str, usize>) {
    let mut is_inside: BTreeMap<&str, bool> = BTreeMap::new();
    let (mut marks, mut found) = (0, BTreeMap::new());
    for call in calls {
        let is_inside = is_inside.entry(&call.thread).or_default();
        if call.name == "getppid" {
            *is_inside = !*is_inside;
            marks += 1;
        } else if *is_inside {
            let wakes = call.name == "futex" && call.text.contains("FUTEX_WAKE");
            *found.entry(if wakes { WAKES } else { &call.name }).or_insert(0) += 1;
        }
    }
    (marks / 2, found)
}

/// In the child: every parameter moves, the lookahead too, while each call is marked.
fn play_marked(format: &str, name: &str) {
    let parameters = insert(name).parameters().to_vec();
    let [sound, lead] = [1, 8].map(|seed| voice(seed, 2, RATE_HZ, LENGTH));
    let mut played = with_lead(name, blocks(&sound, &[512, 64, 1, 333, 480]), &lead);
    for (index, block) in played.iter_mut().enumerate() {
        let parameter = &parameters[index % parameters.len()];
        let highest = if format == "CLAP" { parameter.highest } else { 1.0 };
        let value = (index * 37 % 101) as f64 / 100.0 * highest;
        // A lookahead asks for a restart: it comes at the end.
        if format != "VST3-still" && (parameter.id != "look" || index > 300) {
            block.events = vec![ParamEvent::value(
                block.samples as u32 / 2,
                parameter.clap_id,
                value,
            )];
        }
    }
    let mut insert = if format == "CLAP" {
        Insert::Clap(insert(name))
    } else {
        Insert::Vst3(vst3_insert(name))
    };
    insert.activate(RATE_HZ, 512).unwrap();
    insert
        .process(&mut HostBlock::new(&[vec![0.0; 512], vec![0.0; 512]]))
        .unwrap();
    mark_for_a_tracer();
    let statuses = match &mut insert {
        Insert::Clap(plugin) => plugin
            .process_while(&mut played, |plugin| drop(plugin.save_state().unwrap()))
            .unwrap(),
        Insert::Vst3(insert) => insert.process_all(&mut played),
    };
    assert!(!statuses.contains(&ProcessStatus::Refused));
}

#[test]
fn audio_thread_makes_no_system_call() {
    const TEST: &str = "audio_thread_makes_no_system_call";
    if let Ok(what) = std::env::var(PLAY_HERE) {
        let (format, name) = what.split_once(' ').unwrap();
        return play_marked(format, name);
    }
    // In VST3 on Linux the framework hands each value that a host changes to its background thread, and wakes it: that is
    // beyond this bundle's reach. It never waits there.
    for format in ["CLAP", "VST3", "VST3-still"] {
        for name in [SISKIN, SISKIN_FOLLOW] {
            let calls = trace(TEST, &format!("{format} {name}"));
            let (blocks, found) = calls_while_processing(&calls);
            println!("{format} {name}: {blocks} blocks, {found:?}");
            assert!(blocks > 300, "{blocks}");
            let is_allowed = |call: &&str| format == "VST3" && *call == WAKES;
            assert!(found.keys().all(is_allowed), "{format} {name}: {found:?}");
        }
    }
}

#[test]
fn traces_are_read() {
    let call = |line: &str| Call::parse(line).unwrap();
    assert!(call("12 openat(AT_FDCWD, \"/etc/passwd\", O_RDONLY) = 3").reaches_out());
    assert!(call("12  connect(3, {sa_family=AF_UNIX}, 110 <unfinished ...>").reaches_out());
    assert!(!call("12 futex(0x7f, FUTEX_WAKE_PRIVATE, 1) = 0").reaches_out());
    assert!(!call("12 statx(AT_FDCWD, \"/siskin-mark/done\", 0) = -1").reaches_out());
    assert_eq!(Call::parse("12 <... futex resumed>) = 0"), None);
    assert_eq!(Call::parse("12 +++ exited with 0 +++"), None);
    let lines = [
        "1 mmap(0x7f) = 0",
        "1 getppid() = 7",
        "2 futex(0x7f) = 0",
        "1 getppid() = 7",
        "1 brk(0x7f) = 0",
        "1 getppid() = 7",
        "1 write(2, \"oh\", 2) = 2",
        "1 futex(0x7f, FUTEX_WAKE_PRIVATE, 1) = 0",
        "1 getppid() = 7",
    ];
    let calls: Vec<Call> = lines.iter().map(|line| call(line)).collect();
    assert_eq!(
        calls_while_processing(&calls),
        (2, BTreeMap::from([("write", 1), (WAKES, 1)]))
    );
}
