//! A test on a screen of its own, in a process of its own: neither pointer nor keys are shared with anybody, and what
//! an editor leaves behind is its own.

use std::any::type_name;
use std::fs::File;
use std::io::Read;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use super::{Screen, Server, WindowError};

/// Set in the process that runs on a server.
const ON_SERVER: &str = "SISKIN_ON_SERVER";
/// After this a test is ended: a minute is far more than any needs.
const LONGEST_TEST: Duration = Duration::from_secs(150);

/// Runs `test`, the whole body of a test, on a screen of its own.
///
/// # Panics
///
/// Where the test fails, or where no X server can be had: the message says what to install.
pub fn alone<F: FnOnce(Screen)>(test: F) {
    if std::env::var_os(ON_SERVER).is_some() {
        return test(Screen::open().unwrap_or_else(|error| panic!("{error}")));
    }
    // The name that the test harness knows: the path of the body without its crate and the closure.
    let path = type_name::<F>();
    let name = path.split_once("::").map_or(path, |(_crate, name)| name);
    let name = name.trim_end_matches("::{{closure}}");
    let server = Server::start().unwrap_or_else(|error| panic!("{error}"));
    let program =
        std::env::current_exe().unwrap_or_else(|error| panic!("this program cannot find itself: {error}"));
    let mut command = Command::new(program);
    command.args([name, "--exact", "--nocapture", "--test-threads=1"]);
    let (passed, told) = run(dressed(&mut command, &server), LONGEST_TEST);
    assert!(
        passed && told.contains("1 passed"),
        "{name} on {}:\n{told}",
        server.display()
    );
    print!("{told}");
}

/// How work on a server ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended<T> {
    /// In this process, with this.
    Here(T),
    /// In a process of its own, which has said what there was to say.
    There {
        /// Whether it succeeded.
        success: bool,
    },
}

/// Runs `work` where an X server is at hand, or else this program with the same words on one.
///
/// # Errors
///
/// [`WindowError::NoServer`].
pub fn on_server<T>(work: impl FnOnce() -> T) -> Result<Ended<T>, WindowError> {
    if std::env::var_os(ON_SERVER).is_some() {
        return Ok(Ended::Here(work()));
    }
    let server = Server::start()?;
    let lost = |error: std::io::Error| WindowError::Server(error.to_string());
    let mut command = Command::new(std::env::current_exe().map_err(lost)?);
    command.args(std::env::args_os().skip(1));
    let status = dressed(&mut command, &server).status().map_err(lost)?;
    Ok(Ended::There {
        success: status.success(),
    })
}

/// A process on the screen of `server`, drawn by the processor wherever it runs.
fn dressed<'a>(command: &'a mut Command, server: &Server) -> &'a mut Command {
    command
        .env(ON_SERVER, "1")
        .env("DISPLAY", server.display())
        .env("LIBGL_ALWAYS_SOFTWARE", "1")
        .env_remove("WAYLAND_DISPLAY")
}

/// Whether `command` succeeded within `longest`, and all that it wrote.
fn run(command: &mut Command, longest: Duration) -> (bool, String) {
    let log = tempfile::NamedTempFile::new().unwrap_or_else(|error| panic!("no temporary file: {error}"));
    let end = || -> std::io::Result<Stdio> { Ok(File::options().append(true).open(log.path())?.into()) };
    let spawned = end().and_then(|output| command.stdin(Stdio::null()).stdout(output).stderr(end()?).spawn());
    let mut process = spawned.unwrap_or_else(|error| panic!("the test cannot start itself: {error}"));
    let status = wait(&mut process, longest);
    let mut told = String::new();
    let read = File::open(log.path()).and_then(|mut log| log.read_to_string(&mut told));
    if let Err(error) = read {
        told.push_str(&format!("what it wrote cannot be read: {error}"));
    }
    match status {
        Some(status) => (status.success(), told + &format!("\n{status}")),
        None => (false, told + &format!("\nit did not end within {longest:?}")),
    }
}

/// Waits for the process; `None` where it had to be ended.
fn wait(process: &mut Child, longest: Duration) -> Option<ExitStatus> {
    let started = Instant::now();
    while started.elapsed() < longest {
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
