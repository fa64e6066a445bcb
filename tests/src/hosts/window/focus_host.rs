//! A window manager and a host that keep the keyboard focus to themselves.
//!
//! On each click in the host's window the window manager gives the focus to the host before the click arrives, as
//! click-to-focus does (a synchronous grab of the buttons, then a replay). The host takes it once more some frames later,
//! as one does that answers `WM_TAKE_FOCUS` (ICCCM 4.1.7) from a busy thread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use x11rb::CURRENT_TIME;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{self, ConnectionExt as _};
use x11rb::protocol::xproto::{
    Allow, ButtonIndex, ConnectionExt, CreateWindowAux, EventMask, GrabMode, InputFocus, KeyPressEvent,
    ModMask, WindowClass,
};
use x11rb::rust_connection::RustConnection;

use super::{HostWindow, ask_x_server};

/// Pause between two looks at the events.
const POLL_INTERVAL: Duration = Duration::from_millis(1);
/// Before the first click and after the last return of the focus nothing is due.
const NOT_DUE: u32 = u32::MAX;

/// The window that a host gives the focus to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FocusPlace {
    /// The top-level window, which the editor is inside of: X gives keys to the editor while the pointer is over it.
    TopLevel,
    /// A small window beside the editor, as toolkits have that dispatch keys themselves.
    KeyWindow,
}

/// The window manager and the host, on a thread of their own.
pub struct FocusHost {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<anyhow::Result<()>>>,
}

#[derive(Default)]
struct Shared {
    stop: AtomicBool,
    /// Frames after a click before the host takes the focus again.
    frames: AtomicU32,
    /// Whether the host takes it at once.
    now: AtomicBool,
    /// How often the host has done so.
    taken: AtomicU32,
    /// Keys that went to the host.
    keys: AtomicU32,
}

impl FocusHost {
    /// Starts them for `window`. With `forwards`, keys that the host gets go on to the editor.
    pub fn start(window: HostWindow, place: FocusPlace, forwards: bool) -> anyhow::Result<Self> {
        let shared = Arc::<Shared>::default();
        let mut host = ask_x_server(|| Host::connect(window, place, forwards, shared.clone()))?;
        let thread = std::thread::spawn(move || ask_x_server(|| host.run()));
        Ok(Self {
            shared,
            thread: Some(thread),
        })
    }

    /// Sets how many drawings of the editor after a click the host takes the focus again.
    pub fn take_after(&self, frames: u32) {
        self.shared.frames.store(frames, Ordering::Relaxed);
    }

    /// Takes the focus now, as after a click in another window of the host.
    pub fn take_now(&self) {
        self.shared.now.store(true, Ordering::Relaxed);
    }

    /// How often the host has taken the focus again.
    #[must_use]
    pub fn taken(&self) -> u32 {
        self.shared.taken.load(Ordering::Relaxed)
    }

    /// Keys that the host got instead of the editor.
    #[must_use]
    pub fn keys(&self) -> u32 {
        self.shared.keys.load(Ordering::Relaxed)
    }
}

impl Drop for FocusHost {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
        let ended = self.thread.take().map(JoinHandle::join);
        if !std::thread::panicking() {
            assert!(
                matches!(ended, Some(Ok(Ok(())))),
                "the host of the focus failed: {ended:?}"
            );
        }
    }
}

struct Host {
    connection: RustConnection,
    window: u32,
    focus_window: u32,
    forwards: bool,
    frames_left: u32,
    shared: Arc<Shared>,
}

impl Host {
    fn connect(
        window: HostWindow,
        place: FocusPlace,
        forwards: bool,
        shared: Arc<Shared>,
    ) -> anyhow::Result<Self> {
        let (connection, _screen) = x11rb::connect(None)?;
        connection.damage_query_version(1, 1)?.reply()?;
        let keys = EventMask::KEY_PRESS | EventMask::KEY_RELEASE;
        let focus_window = match place {
            FocusPlace::TopLevel => window.id,
            FocusPlace::KeyWindow => {
                let id = connection.generate_id()?;
                let attributes = CreateWindowAux::new().event_mask(keys);
                let class = WindowClass::INPUT_OUTPUT;
                connection.create_window(0, id, window.id, -1, -1, 1, 1, 0, class, 0, &attributes)?;
                connection.map_window(id)?;
                id
            }
        };
        connection
            .grab_button(
                false,
                window.id,
                EventMask::BUTTON_PRESS,
                GrabMode::SYNC,
                GrabMode::ASYNC,
                0u32,
                0u32,
                ButtonIndex::ANY,
                ModMask::ANY,
            )?
            .check()?;
        let report = connection.generate_id()?;
        connection.damage_create(report, window.id, damage::ReportLevel::RAW_RECTANGLES)?;
        connection.get_input_focus()?.reply()?;
        Ok(Self {
            connection,
            window: window.id,
            focus_window,
            forwards,
            frames_left: NOT_DUE,
            shared,
        })
    }

    fn run(&mut self) -> anyhow::Result<()> {
        while !self.shared.stop.load(Ordering::Relaxed) {
            while let Some(event) = self.connection.poll_for_event()? {
                self.handle(&event)?;
            }
            if self.shared.now.swap(false, Ordering::Relaxed) {
                self.take_focus_again()?;
            }
            std::thread::sleep(POLL_INTERVAL);
        }
        Ok(())
    }

    fn handle(&mut self, event: &Event) -> anyhow::Result<()> {
        match event {
            Event::ButtonPress(_) => {
                self.take_focus()?;
                self.connection
                    .allow_events(Allow::REPLAY_POINTER, CURRENT_TIME)?;
                self.connection.flush()?;
                self.frames_left = self.shared.frames.load(Ordering::Relaxed);
            }
            Event::DamageNotify(_) if self.frames_left == 0 => {
                self.frames_left = NOT_DUE;
                self.take_focus_again()?;
            }
            Event::DamageNotify(_) if self.frames_left != NOT_DUE => self.frames_left -= 1,
            Event::KeyPress(key) => {
                self.shared.keys.fetch_add(1, Ordering::Relaxed);
                self.forward(key, EventMask::KEY_PRESS)?;
            }
            Event::KeyRelease(key) => self.forward(key, EventMask::KEY_RELEASE)?,
            _ => {}
        }
        Ok(())
    }

    fn take_focus_again(&self) -> anyhow::Result<()> {
        self.take_focus()?;
        self.shared.taken.fetch_add(1, Ordering::Relaxed);
        Ok(())
    }

    fn take_focus(&self) -> anyhow::Result<()> {
        self.connection
            .set_input_focus(InputFocus::PARENT, self.focus_window, CURRENT_TIME)?
            .check()
            .map_err(Into::into)
    }

    /// Sends a key on to the editor's window, as the client of an XEmbed container gets it.
    fn forward(&self, key: &KeyPressEvent, mask: EventMask) -> anyhow::Result<()> {
        let tree = self.connection.query_tree(self.window)?.reply()?;
        let editor = tree
            .children
            .into_iter()
            .find(|&child| child != self.focus_window);
        if let Some(editor) = editor.filter(|_| self.forwards) {
            let event = KeyPressEvent {
                event: editor,
                ..*key
            };
            self.connection.send_event(false, editor, mask, event)?.check()?;
        }
        Ok(())
    }
}
