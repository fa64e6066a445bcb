//! An insert with its editor open in a host window.
//!
//! Nothing here depends on how fast the machine is. After each input the session waits until the editor has drawn a frame
//! that knows of it ([`Session::sync`]); everything else waits for a condition. The limits end a test that hangs.

use std::rc::Rc;
use std::time::{Duration, Instant};

use emath::{Pos2, Rect, pos2};
use siskin_editor_layout::Layout;

use super::screen::EMPTY;
use super::{HostWindow, Load, Picture, Screen, WindowError};
use crate::hosts::EventKind;
use crate::hosts::built::insert;
use crate::hosts::clap::{Edit, Gesture, Live, LiveSound, Plugin, SizePx, gestures};
use crate::hosts::message_queue;

/// Interval at which the host serves its plug-ins while it waits.
const POLL_INTERVAL: Duration = Duration::from_millis(2);
/// A condition that takes longer never comes true.
const LIMIT: Duration = Duration::from_secs(120);
/// Fraction of a window that may still be empty once its editor has painted.
const PAINTED: f64 = 0.001;
/// Position of a window on the screen, pixels.
const CORNER: (i16, i16) = (16, 16);
/// Where the pointer rests without touching anything, points.
pub const NOWHERE: Pos2 = pos2(2.0, 2.0);
/// Samples that are played before the editor must have read them: 16 blocks, fewer than its queues hold.
const CHUNK: usize = 16 * 480;
/// Sample rate of all sounds, Hz.
const SAMPLE_RATE_HZ: f64 = 48_000.0;
/// Turns of the audio thread after which everything that the editor has sent has reached the host.
const DELIVERY_TURNS: u64 = 3;

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
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn new(screen: &Rc<Screen>, mut plugin: Plugin, sound: LiveSound) -> Result<Self, WindowError> {
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
    /// # Errors
    ///
    /// [`WindowError`].
    ///
    /// # Panics
    ///
    /// As [`insert`].
    pub fn running(screen: &Rc<Screen>, name: &str, sound: LiveSound) -> Result<Self, WindowError> {
        let mut session = Self::new(screen, insert(name), sound)?;
        session.live.play(None);
        session.open(Opening::default())?;
        Ok(session)
    }

    /// Opens the editor and waits until it has painted itself; returns how long that took.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`], [`WindowError::Timeout`].
    pub fn open(&mut self, opening: Opening) -> Result<Duration, WindowError> {
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
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn close(&mut self) -> Result<(), WindowError> {
        if let Some((window, _)) = self.window.take() {
            self.close_editor();
            self.screen.destroy(window)?;
        }
        self.deliver()
    }

    /// The window's threads may outlive it by a moment (baseview 0.4.2 does not wait for all of them), and a program that
    /// ends before them crashes.
    fn close_editor(&mut self) {
        let remaining = Load::threads().saturating_sub(self.threads);
        self.plugin.close_editor();
        let started = Instant::now();
        while Load::threads() > remaining && started.elapsed() < LIMIT {
            std::thread::sleep(POLL_INTERVAL);
        }
    }

    /// Resizes the host's window and the editor, as a person does who drags the window's corner.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`], [`WindowError::Timeout`].
    pub fn resize(&mut self, size: SizePx) -> Result<(), WindowError> {
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
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn inside(&self) -> Result<Vec<SizePx>, WindowError> {
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

/// Waiting.
impl Session {
    /// Serves the insert until a condition holds.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`], which names the condition.
    pub fn wait_until(
        &mut self,
        condition: &str,
        mut holds: impl FnMut(&mut Self) -> Result<bool, WindowError>,
    ) -> Result<(), WindowError> {
        let started = Instant::now();
        while !holds(self)? {
            if started.elapsed() > LIMIT {
                return Err(WindowError::Timeout(condition.to_owned()));
            }
            self.serve()?;
            std::thread::sleep(POLL_INTERVAL);
        }
        Ok(())
    }

    /// Waits until the editor has handled all input so far and has drawn the result, and the host knows of all changes.
    ///
    /// The editor draws a frame after each event, and a frame handles every event that arrived before it began. One frame
    /// may have begun before the last event: the frame after it has not. So the pointer moves by a pixel and back, and each
    /// move waits for its frame.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn sync(&mut self) -> Result<(), WindowError> {
        if let Some((window, _)) = self.window {
            for offset_px in [1, 0, 1, 0] {
                self.screen.discard_frames()?;
                self.move_pointer(offset_px)?;
                self.wait_until("the editor draws a frame", |session| {
                    session.screen.has_frame(window)
                })?;
            }
        }
        self.deliver()
    }

    /// Waits until what the editor has sent so far has reached the host.
    fn deliver(&mut self) -> Result<(), WindowError> {
        let due = self.live.turns() + DELIVERY_TURNS;
        self.wait_until("the audio thread runs", |session| Ok(session.live.turns() >= due))?;
        self.serve()
    }

    /// Moves the pointer to its place, or some pixels right of it.
    pub(super) fn move_pointer(&self, offset_px: i16) -> Result<(), WindowError> {
        let Some((window, _)) = self.window else {
            return Ok(());
        };
        let pixel = |point: f32, corner: i16| corner + (point * self.pixels_per_point).round() as i16;
        let (x, y) = (
            pixel(self.pointer.x, window.left),
            pixel(self.pointer.y, window.top),
        );
        self.screen.point(x + offset_px, y)
    }

    /// Serves the insert for at least so long.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn pass(&mut self, time: Duration) -> Result<(), WindowError> {
        let started = Instant::now();
        while started.elapsed() < time {
            self.serve()?;
            std::thread::sleep(POLL_INTERVAL);
        }
        Ok(())
    }

    /// Does once what a host does for its plug-ins.
    fn serve(&mut self) -> Result<(), WindowError> {
        message_queue::hand_out();
        self.live.serve(&mut self.plugin)?;
        self.edits.extend(self.live.take_edits());
        if let (Some(size), Some((window, current))) = (self.plugin.asked_editor_size(), &mut self.window) {
            self.resize_requests += 1;
            *current = size;
            self.screen.resize(*window, size)?;
        }
        Ok(())
    }

    /// Plays so many seconds of the song; the editor has read and drawn all of it afterwards.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`], [`WindowError::Timeout`].
    pub fn play_s(&mut self, seconds: f64) -> Result<(), WindowError> {
        let mut left = (seconds * SAMPLE_RATE_HZ) as usize;
        while left > 0 {
            let samples = left.min(CHUNK);
            left -= samples;
            self.live.play(Some(samples));
            self.wait_until("the song stops", |session| Ok(session.live.is_at_rest()))?;
            self.sync()?;
        }
        Ok(())
    }

    /// Waits until the audio thread has processed so many more blocks.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn play_blocks(&mut self, blocks: u64) -> Result<(), WindowError> {
        let due = self.live.turns() + blocks;
        self.wait_until("the song plays on", |session| Ok(session.live.turns() >= due))
    }
}

/// Pictures.
impl Session {
    /// What the window shows.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn picture(&self) -> Result<Picture, WindowError> {
        match self.window {
            Some((window, size)) => self.screen.picture(window, size),
            None => Err(WindowError::Closed),
        }
    }

    /// What the window shows within an area of the layout.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn picture_of(&self, area: Rect) -> Result<Picture, WindowError> {
        let pixels = |points: f32| (points * self.pixels_per_point).max(0.0) as u32;
        let whole = self.picture()?;
        let across = pixels(area.left())..pixels(area.right()).min(whole.width);
        let down = pixels(area.top())..pixels(area.bottom()).min(whole.height);
        Ok(whole.cut(across, down))
    }

    /// What the window shows once new frames change nothing any more. The song must be stopped.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn picture_at_rest(&mut self) -> Result<Picture, WindowError> {
        let mut last = None;
        self.wait_until("the picture comes to rest", |session| {
            session.sync()?;
            let now = Some(session.picture()?);
            let rests = now == last;
            last = now;
            Ok(rests)
        })?;
        last.ok_or(WindowError::Closed)
    }

    /// Waits until an area shows something else than `before`.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn wait_for_change(&mut self, area: Rect, before: &Picture) -> Result<(), WindowError> {
        self.wait_until("the picture changes", |session| {
            Ok(session.picture_of(area)? != *before)
        })
    }
}

/// What the host knows of the parameters.
impl Session {
    /// A parameter's text.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn text(&mut self, id: &str) -> Result<String, WindowError> {
        let value = self.plugin.value(id)?;
        Ok(self.plugin.text_of(id, value)?)
    }

    /// The number at the beginning of a parameter's text.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    ///
    /// # Panics
    ///
    /// Where the text does not begin with a number.
    pub fn number(&mut self, id: &str) -> Result<f64, WindowError> {
        let text = self.text(id)?;
        let number = text.replace('\u{2212}', "-");
        let number = number
            .split_whitespace()
            .next()
            .and_then(|number| number.parse().ok());
        Ok(number.unwrap_or_else(|| panic!("{id} reads {text}")))
    }

    /// Waits until a parameter's number is `expected`.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn expect_number(&mut self, id: &str, expected: f64) -> Result<(), WindowError> {
        let condition = format!("{id} is {expected}, now {}", self.text(id)?);
        self.wait_until(&condition, |session| Ok(session.number(id)? == expected))
    }

    /// The gestures of the editor since the last call, each with its parameter's id.
    ///
    /// # Panics
    ///
    /// Where a gesture is not complete, or the editor does not answer.
    pub fn gestures(&mut self) -> Vec<(String, Gesture)> {
        self.sync().unwrap_or_else(|error| panic!("{error}"));
        let complete = gestures(&std::mem::take(&mut self.edits));
        let named = |gesture: Gesture| {
            let mut parameters = self.plugin.parameters().iter();
            let moved = parameters.find(|parameter| parameter.clap_id == gesture.parameter);
            (moved.map(|moved| moved.id.clone()).unwrap_or_default(), gesture)
        };
        complete
            .unwrap_or_else(|broken| panic!("{broken}"))
            .into_iter()
            .map(named)
            .collect()
    }

    /// Sets a parameter as automation does, and waits until the insert has it. The song must play.
    ///
    /// # Errors
    ///
    /// [`WindowError::Timeout`].
    pub fn automate(&mut self, id: &str, text: &str) -> Result<(), WindowError> {
        let value = self.plugin.value_of(id, text)?;
        self.live
            .send(self.plugin.parameter(id)?.clap_id, EventKind::Value(value));
        self.wait_until(&format!("{id} becomes {text}"), |session| {
            let now = session.plugin.value(id)?;
            Ok((now - value).abs() < 1e-6)
        })?;
        self.sync()
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        if self.window.take().is_some() {
            self.close_editor();
        }
    }
}
