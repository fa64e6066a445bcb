//! The editor: the voice, its adaptive threshold and every sibilant to see, and every parameter to set.
//!
//! [`shell`] is what the host sees, [`app`] the page. The page hears through [`heard`] and acts through [`hand`]; where
//! everything stands is geometry alone ([`layout`]). Drawing knows nothing of how the sound is made.

mod acts;
mod app;
mod bar;
mod button;
mod cell;
mod compare;
mod desk;
mod hand;
mod heard;
mod keys;
mod layout;
mod list;
mod marks;
mod menus;
mod mesh;
#[cfg(test)]
mod notebook;
#[cfg(test)]
mod page_tests;
mod palette;
mod proposal;
mod propose;
mod shell;
mod spectrum;
mod stages;
mod start;
mod status;
mod stream;
mod tips;
mod typeface;
mod typing;
mod watch;
mod window;
mod zoom;

use std::sync::{Arc, Mutex};
use std::time::Duration;

use crate::kind::Kind;
use crate::params::Controls;
use crate::starting_points;
use crate::telemetry::TelemetryReader;

pub use shell::InsertEditor;
use shell::Made;
pub use window::{EditorTask, ListenReturn, Window};

/// A notifier that is polled between `create` and `show` leaves the window blank for ever on X11 (baseview 0.4.2), so
/// it is polled hardly ever and the window is woken by a watch of our own instead.
const POLL_INTERVAL: Duration = Duration::from_secs(3600);

/// The editor of an insert of kind `K`.
pub fn create<K: Kind>(
    params: Arc<dyn Controls>,
    window: Arc<Window>,
    telemetry: TelemetryReader,
) -> InsertEditor {
    InsertEditor(Arc::new(Made {
        name: K::NAME,
        params,
        window,
        telemetry: Mutex::new(telemetry),
        starting_points: starting_points::of::<K>().collect(),
    }))
}
