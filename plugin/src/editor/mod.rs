//! The editor: voice level, adaptive threshold and sibilants over time, and every parameter as a control.
//!
//! | folder | contents |
//! | --- | --- |
//! | `window` | the framework's window and what the host calls on it |
//! | `page` | one frame from top to bottom: toolbar, status line, pictures, stages, plain list, menus |
//! | `pictures` | the timeline, the spectrum, and the strip of the song |
//! | `widgets` | controls, buttons, text entry, gestures to the host, colours, fonts, tooltips |
//! | `model` | what is shown, as plain data: history, tally, comparison, proposal, session |
//!
//! Each folder uses only those below it. Positions come from the crate `siskin-editor-layout`.

mod model;
mod page;
mod pictures;
mod widgets;
mod window;

use std::sync::{Arc, Mutex};

use crate::kind::Kind;
use crate::params::InsertParams;
use crate::params::starting_points;
use crate::song_notes::NotesReader;
use crate::telemetry::TelemetryReader;

use model::context::EditorContext;
pub use model::host_menu::{MenuHost, MenuRequest};
pub use model::host_size::HostSize;
pub use model::indications::{Automation, Indication};
pub use model::listen_return::ListenReturn;
pub use model::session::EditorSession;
pub use window::host_editor::InsertEditor;

/// Creates the editor of an insert of kind `K`.
pub fn create<K: Kind>(
    params: Arc<InsertParams>,
    session: Arc<EditorSession>,
    telemetry: TelemetryReader,
    notes: NotesReader,
) -> InsertEditor {
    InsertEditor::new(Arc::new(EditorContext {
        name: K::NAME,
        params,
        session,
        telemetry: Mutex::new(telemetry),
        notes,
        starting_points: starting_points::of::<K>().collect(),
    }))
}
