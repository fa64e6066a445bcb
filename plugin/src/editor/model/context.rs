//! What every opening of the window is created from.

use std::sync::{Arc, Mutex};

use super::session::EditorSession;
use crate::params::InsertParams;
use crate::params::starting_points::StartingPoint;
use crate::song_notes::NotesReader;
use crate::telemetry::TelemetryReader;

/// What every opening of the window is created from.
pub struct EditorContext {
    /// Name of the insert.
    pub name: &'static str,
    /// Its parameters.
    pub params: Arc<InsertParams>,
    /// State that outlives the window.
    pub session: Arc<EditorSession>,
    /// Reports from the audio thread.
    pub telemetry: Mutex<TelemetryReader>,
    /// Notes of the whole song.
    pub notes: NotesReader,
    /// Starting points of this insert.
    pub starting_points: Vec<StartingPoint>,
}
