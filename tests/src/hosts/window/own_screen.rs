//! Runs a test on an X server of its own, in a process of its own: pointer, keys and leaks are not shared.

use std::any::type_name;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use anyhow::Context;
use tempfile::TempDir;

use super::{Ended, Screen, Server, Session};

/// Set in the process that runs on the server.
const ON_SERVER: &str = "SISKIN_ON_SERVER";
/// A test that takes longer hangs: an idle machine needs a minute at most.
const LIMIT: Duration = Duration::from_secs(1200);

/// Runs `test`, the whole body of a test, on an X server of its own.
///
/// # Panics
///
/// Where the test fails, or where no X server can be started: the message says what to install.
pub fn on_own_screen<F: FnOnce(Screen)>(test: F) {
    run_test(type_name::<F>(), test);
}

/// As [`on_own_screen`], in an open editor of Siskin while bursts play.
pub fn in_editor<F: FnOnce(Session)>(test: F) {
    run_test(type_name::<F>(), |screen| test(Session::of_bursts(screen)));
}

/// `path` is that of the closure which is the body of the test.
fn run_test(path: &str, test: impl FnOnce(Screen)) {
    if std::env::var_os(ON_SERVER).is_some() {
        return test(Screen::open().unwrap_or_else(|error| panic!("{error:#}")));
    }
    // The test's name in the harness: path of the closure without crate and closure suffix.
    let name = path.split_once("::").map_or(path, |(_crate, name)| name);
    let name = name.trim_end_matches("::{{closure}}");
    let server = Server::start().unwrap_or_else(|error| panic!("{error:#}"));
    let program =
        std::env::current_exe().unwrap_or_else(|error| panic!("this program cannot find itself: {error}"));
    let mut command = Command::new(program);
    command.args([name, "--exact", "--nocapture", "--test-threads=1"]);
    let home = home();
    let (passed, output) = run(on_display(&mut command, &server, home.path()), LIMIT);
    assert!(
        passed && output.contains("1 passed"),
        "{name} on {}:\n{output}",
        server.display()
    );
    print!("{output}");
}

/// Runs `work` if this process is on a server already; otherwise runs this program with the same arguments on one.
pub fn on_server<T>(work: impl FnOnce() -> T) -> anyhow::Result<Ended<T>> {
    if std::env::var_os(ON_SERVER).is_some() {
        return Ok(Ended::Here(work()));
    }
    let server = Server::start()?;
    let mut command = Command::new(std::env::current_exe().context("this program cannot find itself")?);
    command.args(std::env::args_os().skip(1));
    let home = home();
    let ran = on_display(&mut command, &server, home.path()).status();
    let status = ran.context("this program cannot start itself")?;
    Ok(Ended::There {
        success: status.success(),
    })
}

/// An empty home, in which the editor finds no presets of whoever runs the tests.
fn home() -> TempDir {
    tempfile::tempdir().unwrap_or_else(|error| panic!("no temporary folder: {error}"))
}

/// Sets the display of a process, its home, and drawing in software, which is alike on every machine. One arena of the
/// allocator for all threads: with one each, as glibc has it on a busy machine, the memory in use depends on how they are
/// scheduled.
fn on_display<'a>(command: &'a mut Command, server: &Server, home: &Path) -> &'a mut Command {
    // The compiler stays where it is.
    if let Some(real) = std::env::var_os("HOME").map(PathBuf::from) {
        for (variable, folder) in [("CARGO_HOME", ".cargo"), ("RUSTUP_HOME", ".rustup")] {
            if std::env::var_os(variable).is_none() {
                command.env(variable, real.join(folder));
            }
        }
    }
    command
        .env("HOME", home)
        .env(ON_SERVER, "1")
        .env("DISPLAY", server.display())
        .env("LIBGL_ALWAYS_SOFTWARE", "1")
        .env("MALLOC_ARENA_MAX", "1")
        .env_remove("WAYLAND_DISPLAY")
}

/// Whether `command` succeeded within `limit`, and its output.
fn run(command: &mut Command, limit: Duration) -> (bool, String) {
    let log = tempfile::NamedTempFile::new().unwrap_or_else(|error| panic!("no temporary file: {error}"));
    let to_log = || -> std::io::Result<Stdio> { Ok(File::options().append(true).open(log.path())?.into()) };
    let spawned = to_log().and_then(|log| command.stdin(Stdio::null()).stdout(log).stderr(to_log()?).spawn());
    let mut process = spawned.unwrap_or_else(|error| panic!("the test cannot start itself: {error}"));
    let status = wait(&mut process, limit);
    let mut output = String::new();
    let read = File::open(log.path()).and_then(|mut log| log.read_to_string(&mut output));
    if let Err(error) = read {
        output.push_str(&format!("its output cannot be read: {error}"));
    }
    match status {
        Some(status) => (status.success(), output + &format!("\n{status}")),
        None => (false, output + &format!("\nit did not end within {limit:?}")),
    }
}

/// Waits for the process; `None` where it had to be killed.
fn wait(process: &mut Child, limit: Duration) -> Option<ExitStatus> {
    let started = Instant::now();
    while started.elapsed() < limit {
        match process.try_wait() {
            Ok(Some(status)) => return Some(status),
            Ok(None) => std::thread::sleep(Duration::from_millis(20)),
            Err(_) => break,
        }
    }
    let _it_may_have_ended_already = process.kill();
    let _it_may_have_ended_already = process.wait();
    None
}
