//! The plug-ins reach for nothing outside themselves: no network, no file, and no system call at all while they process.
//!
//! A child process, which is this test program itself, plays the host under `strace`. It marks its steps by asking for files
//! that do not exist, which the trace shows. The editor is not opened here.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::Path;
use std::process::Command;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle};
use siskin_tests::hosts::clap::{Bundle, Event, Render};
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 96_000;
/// Two plug-ins play some 630 blocks. The rig begins a new thread where a plug-in asks for its main thread, so that some lie
/// between no marks; of the rest so many at least must be found silent.
const LEAST_BLOCKS: usize = 500;
/// Set in the child process, where the host is to be played.
const PLAY_HERE: &str = "SISKIN_PLAY_TRACED";

const LOADING: &str = "/siskin-mark/loading";
const LOADED: &str = "/siskin-mark/loaded";
const BLOCK: &str = "/siskin-mark/block";
const DONE: &str = "/siskin-mark/done";

/// What names a file, or reaches another machine or process, in Linux on any processor.
const REACHING_OUT: &[&str] = &[
    "open",
    "creat",
    "access",
    "faccess",
    "stat",
    "lstat",
    "newfstatat",
    "readlink",
    "rename",
    "unlink",
    "mkdir",
    "rmdir",
    "link",
    "symlink",
    "chmod",
    "chown",
    "truncate",
    "statfs",
    "chdir",
    "getcwd",
    "execve",
    "socket",
    "connect",
    "bind",
    "listen",
    "accept",
    "send",
    "recv",
    "mount",
    "inotify",
    "utime",
    "mknod",
];

/// The rig's buffers grow while it plays. That the plug-ins allocate nothing then is what `host_guard` shows.
const MEMORY: &[&str] = &["brk", "mmap", "munmap", "mremap", "mprotect", "madvise"];

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
        let text = text.trim_start();
        let (name, _arguments) = text.split_once('(')?;
        let is_name = !name.is_empty()
            && name
                .chars()
                .all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
        is_name.then(|| Self {
            thread: thread.into(),
            name: name.into(),
            text: text.into(),
        })
    }

    fn is_about_memory(&self) -> bool {
        MEMORY.contains(&self.name.as_str())
    }

    fn marks(&self, mark: &str) -> bool {
        self.text.contains(&format!("\"{mark}\""))
    }

    fn is_mark(&self) -> bool {
        self.text.contains("\"/siskin-mark/")
    }

    fn reaches_out(&self) -> bool {
        !self.is_mark() && REACHING_OUT.iter().any(|name| self.name.starts_with(name))
    }
}

fn mark(step: &str) {
    assert!(fs::metadata(step).is_err(), "{step} exists");
}

/// Automation all over the sound, on every block and between them.
fn automation(plugin: &mut siskin_tests::hosts::clap::Plugin) -> Vec<Event> {
    let steps = (0..40).map(|turn| (turn * 2_301, ["-6 LU", "-18 LU"][turn % 2]));
    steps
        .map(|(sample, value)| plugin.event(sample, "sib_prop", value).unwrap())
        .collect()
}

/// Everything that a host does with a plug-in but for its window.
fn play_host(bundle: &Path) {
    let voice: Vec<Vec<f32>> = (1..=2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
        .collect();
    mark(LOADING);
    let bundle = Bundle::load(bundle).unwrap();
    mark(LOADED);
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = bundle.plugin(name).unwrap();
        let presets = bundle.presets().unwrap();
        let mine = presets
            .iter()
            .find(|preset| preset.plug_in(&bundle).as_deref() == Some(name));
        plugin.load_preset(&mine.unwrap().word).unwrap();
        for (id, value) in [
            ("lev_on", "on"),
            ("lev_auto", "on"),
            ("br_on", "on"),
            ("br_cut", "200 Hz"),
        ] {
            plugin.set(id, value).unwrap();
        }
        let events = automation(&mut plugin);
        let job = Render {
            reference: if name == SISKIN_FOLLOW { &voice } else { &[] },
            blocks: &[512, 64, 333],
            events: &events,
            ..Render::new(RATE_HZ, &voice)
        };
        // Called on the audio thread, after each block.
        let mut progress = |_frames: usize| mark(BLOCK);
        let played = plugin.render(&job, &mut progress).unwrap().audio;
        assert_ne!(played, voice, "{name} did nothing");
        let state = plugin.save_state().unwrap();
        plugin.load_state(&state).unwrap();
        assert!(!plugin.text_of("sib_prop", 0.5).unwrap().is_empty());
    }
    mark(DONE);
}

/// The calls of a child process that plays the host with the library at `bundle`.
fn trace(bundle: &Path) -> Vec<Call> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("trace.txt");
    let run = Command::new("strace")
        .args(["-f", "-qq", "-s", "256", "-o"])
        .arg(&file)
        .arg(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "nothing_is_reached_for",
            "--nocapture",
            "--test-threads",
            "1",
        ])
        .env(PLAY_HERE, bundle)
        .output()
        .expect("strace is wanted: cargo xtask test --setup installs it");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    fs::read_to_string(file)
        .unwrap()
        .lines()
        .filter_map(Call::parse)
        .collect()
}

fn position(calls: &[Call], step: &str) -> usize {
    let found = calls.iter().position(|call| call.marks(step));
    found.unwrap_or_else(|| panic!("the trace does not show {step}"))
}

/// The number of blocks between whose marks nothing is called by their thread, but for memory, and what is called between
/// others.
fn while_processing(calls: &[Call]) -> (usize, Vec<&Call>) {
    let mut threads: Vec<&str> = calls
        .iter()
        .filter(|call| call.marks(BLOCK))
        .map(|call| call.thread.as_str())
        .collect();
    threads.sort_unstable();
    threads.dedup();
    let (mut silent_blocks, mut heard) = (0, Vec::new());
    for thread in threads {
        let own: Vec<&Call> = calls
            .iter()
            .filter(|call| call.thread == *thread && !call.is_about_memory())
            .collect();
        let marks: Vec<usize> = (0..own.len()).filter(|&index| own[index].marks(BLOCK)).collect();
        for pair in marks.windows(2) {
            let between = &own[pair[0] + 1..pair[1]];
            silent_blocks += usize::from(between.is_empty());
            heard.extend(between);
        }
    }
    (silent_blocks, heard)
}

#[test]
fn nothing_is_reached_for() {
    if let Some(bundle) = std::env::var_os(PLAY_HERE) {
        return play_host(Path::new(&bundle));
    }
    let calls = trace(&clap_bundle());
    let [loading, loaded, done] = [LOADING, LOADED, DONE].map(|step| position(&calls, step));
    assert!(loading < loaded && loaded < done);

    // Loading maps the library, and what the system's loader looks up for it.
    let opened = calls[loading..loaded]
        .iter()
        .filter(|call| call.name.starts_with("open"));
    let opened: Vec<&Call> = opened.collect();
    assert!(
        opened.iter().any(|call| call.text.contains("Siskin.clap")),
        "the trace shows no loading"
    );
    for call in opened {
        let known = ["Siskin.clap\"", ".so", "/etc/ld.so.cache\""]
            .iter()
            .any(|known| call.text.contains(known));
        assert!(known && call.text.contains("O_RDONLY"), "{}", call.text);
    }

    let reached: Vec<&str> = calls[loaded..done]
        .iter()
        .filter(|call| call.reaches_out())
        .map(|call| call.text.as_str())
        .collect();
    assert!(reached.is_empty(), "the plug-ins reached for {reached:#?}");

    let (silent_blocks, heard) = while_processing(&calls[loaded..done]);
    assert!(heard.is_empty(), "while processing: {heard:#?}");
    assert!(
        silent_blocks > LEAST_BLOCKS,
        "{silent_blocks} blocks only lie between marks"
    );
}

#[test]
fn a_trace_is_read() {
    let call = |line: &str| Call::parse(line).unwrap();
    assert!(call("12 openat(AT_FDCWD, \"/etc/passwd\", O_RDONLY) = 3").reaches_out());
    assert!(call("12  connect(3, {sa_family=AF_UNIX}, 110 <unfinished ...>").reaches_out());
    assert!(!call("12 futex(0x7f, FUTEX_WAKE_PRIVATE, 1) = 0").reaches_out());
    assert!(!call("12 statx(AT_FDCWD, \"/siskin-mark/done\", 0) = -1").reaches_out());
    assert_eq!(Call::parse("12 <... futex resumed>) = 0"), None);
    assert_eq!(Call::parse("12 +++ exited with 0 +++"), None);

    let lines = [
        "1 mmap(0x7f) = 0",
        "1 statx(AT_FDCWD, \"/siskin-mark/block\") = -1",
        "2 futex(0x7f) = 0",
        "1 statx(AT_FDCWD, \"/siskin-mark/block\") = -1",
        "1 write(2, \"oh\", 2) = 2",
        "1 statx(AT_FDCWD, \"/siskin-mark/block\") = -1",
        "1 munmap(0x7f, 4096) = 0",
    ];
    let calls: Vec<Call> = lines.iter().map(|line| call(line)).collect();
    assert_eq!(while_processing(&calls), (1, vec![&calls[4]]));
}
