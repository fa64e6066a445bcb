//! An X server without a monitor.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};

use anyhow::anyhow;
use x11rb::rust_connection::RustConnection;

use super::ask_x_server;

/// Screen size, enough for the largest window at 200 %, and colour depth.
const SCREEN: &str = "2200x1600x24";

/// An Xvfb on the first free display. Ends when dropped, or with the last window if this program is killed.
pub struct Server {
    process: Child,
    display: String,
    /// Keeps the server running before the first window opens.
    _kept_open: RustConnection,
}

impl Server {
    /// Starts a server.
    pub fn start() -> anyhow::Result<Self> {
        Self::start_with("-nolisten")
    }

    /// Starts a server that programs of Windows, too, can connect to, from this machine.
    pub fn start_for_windows() -> anyhow::Result<Self> {
        Self::start_with("-listen")
    }

    fn start_with(listening: &str) -> anyhow::Result<Self> {
        let mut process = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", SCREEN, listening, "tcp"])
            .args(["-terminate", "+extension", "GLX"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|cause| cannot_start(&cause.to_string()))?;
        match Self::connect(&mut process) {
            Ok((display, kept_open)) => Ok(Self {
                process,
                display,
                _kept_open: kept_open,
            }),
            Err(error) => {
                end(&mut process);
                Err(error)
            }
        }
    }

    /// The name of its display, as `DISPLAY` takes it.
    pub fn display(&self) -> &str {
        &self.display
    }

    /// The server writes the number of its display to its standard output once it listens.
    fn connect(process: &mut Child) -> anyhow::Result<(String, RustConnection)> {
        let mut number = String::new();
        if let Some(output) = process.stdout.take() {
            BufReader::new(output)
                .read_line(&mut number)
                .map_err(|cause| cannot_start(&cause.to_string()))?;
        }
        if number.trim().is_empty() {
            let mut message = String::new();
            if let Some(mut errors) = process.stderr.take() {
                let _partial_output_suffices = errors.read_to_string(&mut message);
            }
            return Err(cannot_start(message.trim()));
        }
        let display = format!(":{}", number.trim());
        let (connection, _screen) = ask_x_server(|| Ok(RustConnection::connect(Some(&display))?))?;
        Ok((display, connection))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        end(&mut self.process);
    }
}

fn cannot_start(cause: &str) -> anyhow::Error {
    anyhow!(
        "no X server can be started (Xvfb: {cause}): install it with cargo xtask test --setup, or apt-get install xvfb libegl1 libgl1-mesa-dri libxkbcommon-x11-0"
    )
}

/// Kills the process and waits for it, so that its display is free.
fn end(process: &mut Child) {
    let _may_have_ended_already = process.kill();
    let _may_have_ended_already = process.wait();
}
