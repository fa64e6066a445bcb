//! Errors of the window rig.

/// One line, with what to do where something can be done.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// No X server can be started.
    #[error(
        "no X server can be started ({0}): install it with cargo xtask test --setup, or apt-get install xvfb libegl1 libgl1-mesa-dri libxkbcommon-x11-0"
    )]
    NoServer(String),
    /// The X server answered with an error, or not at all.
    #[error("the X server failed: {0}")]
    Server(String),
    /// The insert failed.
    #[error(transparent)]
    Host(#[from] anyhow::Error),
    /// Something that had to happen did not.
    #[error("timed out waiting until {0}")]
    Timeout(String),
    /// The window is closed.
    #[error("the editor is closed")]
    Closed,
    /// No key produces the character.
    #[error("no key produces {0}")]
    NoKey(String),
    /// A picture could not be read or written.
    #[error("{path}: {cause}")]
    Picture {
        /// The file.
        path: String,
        /// What the decoder says.
        cause: String,
    },
    /// The resources of the process cannot be read.
    #[error("this machine does not report what a process uses: {0}")]
    NoLoad(String),
}

/// Conversions from the errors of an X connection.
macro_rules! from_x {
    ($($error:path),*) => {
        $(impl From<$error> for WindowError {
            fn from(error: $error) -> Self {
                Self::Server(error.to_string())
            }
        })*
    };
}

from_x!(
    x11rb::errors::ConnectError,
    x11rb::errors::ConnectionError,
    x11rb::errors::ReplyError,
    x11rb::errors::ReplyOrIdError
);
