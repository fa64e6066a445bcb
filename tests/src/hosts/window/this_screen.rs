//! Where windows open on Windows: on the screen that is there.

use super::{Screen, WindowError};

/// Runs `test`, the whole body of a test.
///
/// # Panics
///
/// Where the test fails, or where there is no screen.
pub fn on_own_screen<F: FnOnce(Screen)>(test: F) {
    test(Screen::open().unwrap_or_else(|error| panic!("{error}")));
}

/// Where work ran, and how it ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended<T> {
    /// In this process, with this result.
    Here(T),
    /// In a process of its own, which has printed its messages.
    There {
        /// Whether it succeeded.
        success: bool,
    },
}

/// Runs `work` here.
///
/// # Errors
///
/// None.
pub fn on_server<T>(work: impl FnOnce() -> T) -> Result<Ended<T>, WindowError> {
    Ok(Ended::Here(work()))
}

/// An X server, which no Windows has.
pub struct Server;

impl Server {
    /// Fails.
    ///
    /// # Errors
    ///
    /// [`WindowError::NoServer`].
    pub fn start() -> Result<Self, WindowError> {
        Err(WindowError::NoServer("this is Windows".into()))
    }

    /// Fails.
    ///
    /// # Errors
    ///
    /// [`WindowError::NoServer`].
    pub fn start_for_windows() -> Result<Self, WindowError> {
        Self::start()
    }

    /// The name of its display.
    #[must_use]
    pub fn display(&self) -> &str {
        ""
    }
}
