//! What can go wrong between a rig and a screen.

use std::time::Duration;

use crate::hosts::clap::HostError;

/// One line for a person, with what to do where something can be done.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// There is no X server to be had.
    #[error(
        "no X server can be started ({0}): install it with cargo xtask test --setup, or apt-get install xvfb libegl1 libgl1-mesa-dri libxkbcommon-x11-0"
    )]
    NoServer(String),
    /// The X server answered with an error, or not at all.
    #[error("the X server failed: {0}")]
    Server(String),
    /// The insert failed.
    #[error(transparent)]
    Host(#[from] HostError),
    /// The window stayed as it was where something had to appear.
    #[error("the editor painted nothing within {0:?}")]
    Blank(Duration),
    /// The window never came to rest.
    #[error("the editor did not come to rest within {0:?}")]
    Restless(Duration),
    /// No key of the keyboard gives the sign.
    #[error("no key gives {0}")]
    NoKey(String),
    /// A picture could not be read or written.
    #[error("{path}: {cause}")]
    Picture {
        /// The file.
        path: String,
        /// What the decoder says.
        cause: String,
    },
    /// The machine does not tell what the process uses.
    #[error("this machine does not tell what a process uses: {0}")]
    NoLoad(String),
}

/// Whatever an X connection complains of.
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
