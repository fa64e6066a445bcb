//! An insert with its editor open in a host window.
//!
//! Nothing here depends on how fast the machine is. After each input the session waits until the editor has drawn a frame
//! that knows of it ([`Session::sync`]); everything else waits for a condition. The limits end a test that hangs.

mod parameters;
mod pictures;
mod waiting;

use std::rc::Rc;
use std::time::{Duration, Instant};

use emath::{Pos2, pos2};
use siskin_editor_layout::Layout;

use super::{EMPTY, HostWindow, Load, Screen, bursts};
use crate::hosts::built::{SISKIN, insert};
use crate::hosts::clap::{Edit, Live, LiveSound, Plugin, SizePx};

/// Interval at which the host serves its plug-ins while it waits.
pub(super) const POLL_INTERVAL: Duration = Duration::from_millis(2);
/// A condition that takes longer never comes true.
pub(super) const LIMIT: Duration = Duration::from_secs(120);
/// Fraction of a window that may still be empty once its editor has painted.
pub(super) const PAINTED: f64 = 0.001;
/// Position of a window on the screen, pixels.
pub(super) const CORNER: (i16, i16) = (16, 16);
/// Where the pointer rests without touching anything, points.
pub const NOWHERE: Pos2 = pos2(2.0, 2.0);

/// Waits until a closed editor has left so many threads. The window's threads may outlive it by a moment (baseview 0.4.2 does
/// not wait for all of them), and a program that ends before them crashes.
pub(super) fn wait_for_threads(remaining: usize) {
    let started = Instant::now();
    while Load::threads() > remaining && started.elapsed() < LIMIT {
        std::thread::sleep(POLL_INTERVAL);
    }
}

/// How an editor is opened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// Size of the window; by default the size that the editor asks for.
    pub size: Option<SizePx>,
    /// Scale of the screen that the host reports, if any.
    pub scale: Option<f64>,
    /// Upper left corner on the screen, pixels.
    pub corner: (i16, i16),
}

impl Default for Opening {
    fn default() -> Self {
        Self {
            size: None,
            scale: None,
            corner: CORNER,
        }
    }
}

/// An insert whose sound may run and whose editor may be open.
pub struct Session {
    pub(super) screen: Rc<Screen>,
    // Dropped before the plug-in: its thread calls it.
    live: Live,
    plugin: Plugin,
    pub(super) window: Option<(HostWindow, SizePx)>,
    has_source: bool,
    /// Threads that the open editor has started.
    threads: usize,
    edits: Vec<Edit>,
    /// Where the pointer is, points.
    pub(super) pointer: Pos2,
    /// Pixels per point of the editor's layout.
    pub pixels_per_point: f32,
    /// How often the editor asked for another size.
    pub resize_requests: usize,
}

/// Opening, closing and resizing.
impl Session {
    /// An active insert, stopped and without a window.
    pub fn new(screen: &Rc<Screen>, mut plugin: Plugin, sound: LiveSound) -> anyhow::Result<Self> {
        let has_source = plugin.inputs()?.len() > 1;
        let live = Live::start(&mut plugin, sound)?;
        Ok(Self {
            screen: Rc::clone(screen),
            plugin,
            live,
            window: None,
            has_source,
            threads: 0,
            edits: Vec::new(),
            pointer: NOWHERE,
            pixels_per_point: 1.0,
            resize_requests: 0,
        })
    }

    /// An insert of the plug-in `name` from the built bundle, with sound running and editor open.
    ///
    /// # Panics
    ///
    /// As [`insert`].
    pub fn running(screen: &Rc<Screen>, name: &str, sound: LiveSound) -> anyhow::Result<Self> {
        let mut session = Self::new(screen, insert(name), sound)?;
        session.live.play(None);
        session.open(Opening::default())?;
        Ok(session)
    }

    /// [`Session::running`] of Siskin on a screen of its own, with bursts. Panics where it fails.
    pub fn of_bursts(screen: Screen) -> Self {
        Self::running(&Rc::new(screen), SISKIN, bursts()).unwrap_or_else(|error| panic!("{error:#}"))
    }

    /// Opens the editor and waits until it has painted itself; returns how long that took.
    pub fn open(&mut self, opening: Opening) -> anyhow::Result<Duration> {
        self.threads = Load::threads();
        let started = Instant::now();
        let wished = self.plugin.create_editor(opening.scale)?;
        let size = opening.size.unwrap_or(wished);
        let window = self.screen.window(size, opening.corner.0, opening.corner.1)?;
        self.window = Some((window, size));
        self.plugin.show_editor(window.id)?;
        if size != wished {
            self.plugin.resize_editor(size)?;
        }
        self.screen.focus(window)?;
        self.wait_until("the editor paints its window", |session| {
            Ok(session.picture()?.share_of(EMPTY) < PAINTED)
        })?;
        let took = started.elapsed();
        self.threads = Load::threads().saturating_sub(self.threads);
        self.point(NOWHERE)?;
        Ok(took)
    }

    /// Closes the editor.
    pub fn close(&mut self) -> anyhow::Result<()> {
        if let Some((window, _)) = self.window.take() {
            self.close_editor();
            self.screen.destroy(window)?;
        }
        self.deliver()
    }

    fn close_editor(&mut self) {
        let remaining = Load::threads().saturating_sub(self.threads);
        self.plugin.close_editor();
        wait_for_threads(remaining);
    }

    /// Resizes the host's window and the editor, as a person does who drags the window's corner.
    pub fn resize(&mut self, size: SizePx) -> anyhow::Result<()> {
        if let Some((window, current)) = &mut self.window {
            self.screen.resize(*window, size)?;
            *current = size;
            self.plugin.resize_editor(size)?;
        }
        self.wait_until("the editor's window has the size of the host's", |session| {
            Ok(session.inside()? == [size])
        })?;
        self.sync()
    }

    /// Sizes of the windows directly inside the host's window: normally the editor's alone.
    pub fn inside(&self) -> anyhow::Result<Vec<SizePx>> {
        self.window
            .map_or(Ok(Vec::new()), |(window, _)| self.screen.children(window))
    }

    /// The host's window, where the editor is open.
    #[must_use]
    pub fn host_window(&self) -> Option<HostWindow> {
        self.window.map(|(window, _)| window)
    }

    /// Size of the window, pixels; 0 where it is closed.
    #[must_use]
    pub fn size(&self) -> SizePx {
        let none = SizePx { width: 0, height: 0 };
        self.window.map_or(none, |(_, size)| size)
    }

    /// The editor's layout, in points.
    #[must_use]
    pub fn layout(&self) -> Layout {
        let size = self.size();
        let points = emath::vec2(size.width as f32, size.height as f32) / self.pixels_per_point;
        Layout::new(points, self.has_source)
    }

    /// The audio thread.
    #[must_use]
    pub fn live(&self) -> &Live {
        &self.live
    }

    /// The insert.
    pub fn plugin(&mut self) -> &mut Plugin {
        &mut self.plugin
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        if self.window.take().is_some() {
            self.close_editor();
        }
    }
}
