//! Where windows open on Windows: on the screen that is there.

use super::{Ended, Screen, Session};

/// Runs `test`, the whole body of a test.
///
/// # Panics
///
/// Where the test fails, or where there is no screen.
pub fn on_own_screen<F: FnOnce(Screen)>(test: F) {
    test(Screen::open().unwrap_or_else(|error| panic!("{error:#}")));
}

/// As [`on_own_screen`], in an open editor of Siskin while bursts play.
pub fn in_editor(test: impl FnOnce(Session)) {
    on_own_screen(|screen| test(Session::of_bursts(screen)));
}

/// Runs `work` here.
pub fn on_server<T>(work: impl FnOnce() -> T) -> anyhow::Result<Ended<T>> {
    Ok(Ended::Here(work()))
}

/// An X server, which no Windows has.
pub struct Server;

impl Server {
    /// Fails.
    pub fn start() -> anyhow::Result<Self> {
        anyhow::bail!("no X server can be started: this is Windows")
    }

    /// Fails.
    pub fn start_for_windows() -> anyhow::Result<Self> {
        Self::start()
    }

    /// The name of its display.
    #[must_use]
    pub fn display(&self) -> &str {
        ""
    }
}
