//! State of the editor that outlives one opening of its window: whether it is open, the connection to the host, and the
//! two settings that are compared.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use atomic_float::AtomicF32;
use egui::Color32;
use nice_plug::context::gui::GuiContext;

use super::chosen::Chosen;
use super::compare::{Compare, Values};
use super::host_menu::HostMenu;
use super::host_size::SizeRequests;
use super::indications::Indications;
use crate::params::InsertParams;

/// The normalized value of "Output", the first choice of Listen.
const LISTEN_TO_OUTPUT: f32 = 0.0;

/// Counts changes by the host that no report shows: parameters, states, a window that is shown.
#[derive(Debug, Clone, Default)]
pub struct ChangeCounter(Arc<AtomicU32>);

impl ChangeCounter {
    /// Counts one change.
    pub fn increment(&self) {
        self.0.fetch_add(1, Ordering::Relaxed);
    }

    /// Changes so far; wraps.
    pub fn get(&self) -> u32 {
        self.0.load(Ordering::Relaxed)
    }
}

/// The host's track.
#[derive(Debug, Clone, Default)]
struct Track {
    /// Empty where the host does not tell it.
    name: String,
    colour: Option<Color32>,
}

/// The editor of one insert, open or not. The audio thread reads only whether it is open.
#[derive(Default)]
pub struct EditorSession {
    open: Arc<AtomicBool>,
    /// Connection to the host's parameters, from the first opening on.
    host: Mutex<Option<GuiContext>>,
    compare: Mutex<Compare>,
    chosen: Mutex<Option<Chosen>>,
    /// Scale of the last open window; 0 before the first.
    scale: AtomicF32,
    /// Changes by the host that need a new frame.
    pub changes: ChangeCounter,
    /// The host's menu for a control.
    pub host_menu: HostMenu,
    /// Sizes of the window that the editor asks for.
    pub size_requests: SizeRequests,
    /// What the host says about its hold on each parameter.
    pub indications: Indications,
    track: Mutex<Track>,
}

/// Marks the window as open until dropped.
pub struct OpenGuard(Arc<AtomicBool>);

impl Drop for OpenGuard {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Release);
    }
}

impl EditorSession {
    /// Whether the window is open. Never blocks.
    pub fn is_open(&self) -> bool {
        self.open.load(Ordering::Acquire)
    }

    /// Marks the window as open until the guard is dropped.
    pub fn open(&self, host: GuiContext) -> OpenGuard {
        *lock(&self.host) = Some(host);
        self.open.store(true, Ordering::Release);
        OpenGuard(self.open.clone())
    }

    /// Physical pixels per logical pixel.
    pub fn scale(&self) -> f32 {
        match self.scale.load(Ordering::Relaxed) {
            scale if scale > 0.0 => scale,
            _ => 1.0,
        }
    }

    /// Sets the scale that the open window has.
    pub fn set_scale(&self, scale: f32) {
        self.scale.store(scale, Ordering::Relaxed);
    }

    /// Sets name and colour of the host's track, which the title shows.
    pub fn set_track(&self, name: &str, colour: Option<Color32>) {
        let name = name.trim().to_owned();
        *lock(&self.track) = Track { name, colour };
        self.changes.increment();
    }

    /// The title: the plug-in, and the track where the host tells it.
    pub fn title(&self, plug_in: &str) -> String {
        match lock(&self.track).name.as_str() {
            "" => plug_in.to_owned(),
            track => format!("{plug_in}: {track}"),
        }
    }

    /// The colour of the host's track, where the host tells it.
    pub fn track_colour(&self) -> Option<Color32> {
        lock(&self.track).colour
    }

    /// The two settings that are compared.
    pub fn compare(&self) -> MutexGuard<'_, Compare> {
        lock(&self.compare)
    }

    /// Notes a starting point that was chosen.
    pub fn choose(&self, chosen: Chosen) {
        *lock(&self.chosen) = Some(chosen);
    }

    /// The name of the starting point that was chosen last, until something changes.
    pub fn chosen_name(&self, current: &Values) -> Option<String> {
        let chosen = lock(&self.chosen);
        let chosen = chosen.as_ref().filter(|chosen| chosen.is_current(current))?;
        Some(chosen.name.clone())
    }

    /// Sets Listen to Output as one gesture. Main thread only.
    pub fn listen_to_output(&self, params: &InsertParams) {
        let host = lock(&self.host).clone();
        let listen = params
            .parameter("listen")
            .filter(|listen| listen.heard() != LISTEN_TO_OUTPUT);
        if let (Some(host), Some(listen)) = (host, listen) {
            let setter = host.param_setter();
            listen.begin(&setter);
            listen.set(&setter, LISTEN_TO_OUTPUT);
            listen.end(&setter);
        }
    }
}

/// Locks; the plain values behind these locks stay usable after a panic.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn title_names_the_track() {
        let session = EditorSession::default();
        assert_eq!(session.title("Siskin"), "Siskin");
        session.set_track(" Lead vocal ", Some(Color32::RED));
        assert_eq!(session.title("Siskin"), "Siskin: Lead vocal");
        assert_eq!(session.track_colour(), Some(Color32::RED));
    }
}
