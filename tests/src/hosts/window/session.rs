//! An insert with its editor open: a person before the screen.

use std::rc::Rc;
use std::time::{Duration, Instant};

use emath::Rect;

use super::screen::EMPTY;
use super::{HostWindow, Load, Picture, Screen, WindowError};
use crate::hosts::EventKind;
use crate::hosts::built::insert;
use crate::hosts::clap::{Edit, Gesture, Live, LiveSound, Plugin, SizePx, gestures};
use siskin_editor_layout::Layout;

/// Between two things that a hand does: a few frames of the editor.
pub(super) const HAND: Duration = Duration::from_millis(70);
/// How often the host looks after its plug-ins.
const TURN: Duration = Duration::from_millis(4);
/// After this an editor that shows nothing is taken for broken.
const LONGEST_OPENING: Duration = Duration::from_secs(20);
/// For so long a picture must stay as it is to be at rest.
const REST: Duration = Duration::from_millis(350);
/// After this it never comes to rest.
const LONGEST_UNREST: Duration = Duration::from_secs(12);
/// After this a gesture that is open stays open.
const LONGEST_GESTURE: Duration = Duration::from_secs(3);
/// After this the threads of a window are left to themselves.
const LONGEST_CLOSING: Duration = Duration::from_secs(3);
/// So long a person waits for an answer.
pub(super) const PATIENCE: Duration = Duration::from_secs(3);
/// The share of a window that is still empty when its editor has been painted: none.
const PAINTED: f64 = 0.001;
/// Where windows lie on the screen, pixels.
const CORNER: (i16, i16) = (16, 16);

/// How an editor is opened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The window's size; the editor's own wish where there is none.
    pub size: Option<SizePx>,
    /// What the host tells of its screen, if anything.
    pub scale: Option<f64>,
    /// The upper left corner on the screen, pixels.
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
    /// The threads that the open editor has brought.
    threads: usize,
    told: Vec<Edit>,
    /// How many pixels a point of the editor's layout takes.
    pub pixels_per_point: f32,
    /// How often the editor asked for another size.
    pub size_wishes: usize,
}

impl Session {
    /// An insert that has been made ready, at rest and without a window.
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
            told: Vec::new(),
            pixels_per_point: 1.0,
            size_wishes: 0,
        })
    }

    /// An insert of the plug-in `name` out of the built bundle, sound running and editor open.
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

    /// Opens the editor and waits until it has painted itself; says how long that took.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`], [`WindowError::Blank`].
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
        while started.elapsed() < LONGEST_OPENING {
            if self.picture()?.share_of(EMPTY) < PAINTED {
                let took = started.elapsed();
                self.threads = Load::threads().saturating_sub(self.threads);
                return Ok(took);
            }
            self.turn()?;
        }
        Err(WindowError::Blank(LONGEST_OPENING))
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
        self.pass(HAND)
    }

    /// The window's threads may outlive it by a moment (baseview 0.4.2 does not wait for them where they are faster than
    /// it): a program that ends before them ends badly.
    fn close_editor(&mut self) {
        let left = Load::threads().saturating_sub(self.threads);
        self.plugin.close_editor();
        let started = Instant::now();
        while Load::threads() > left && started.elapsed() < LONGEST_CLOSING {
            std::thread::sleep(TURN);
        }
    }

    /// The sound.
    #[must_use]
    pub fn live(&self) -> &Live {
        &self.live
    }

    /// The insert.
    pub fn plugin(&mut self) -> &mut Plugin {
        &mut self.plugin
    }

    /// The size of the window, pixels; none where it is closed.
    #[must_use]
    pub fn size(&self) -> SizePx {
        let none = SizePx { width: 0, height: 0 };
        self.window.map_or(none, |(_, size)| size)
    }

    /// Where everything stands in the editor, points.
    #[must_use]
    pub fn layout(&self) -> Layout {
        let size = self.size();
        let points = emath::vec2(size.width as f32, size.height as f32) / self.pixels_per_point;
        Layout::new(points, self.has_source)
    }

    /// The sizes of what lies in the window: the editor's own, if all is well.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn inside(&self) -> Result<Vec<SizePx>, WindowError> {
        self.window
            .map_or(Ok(Vec::new()), |(window, _)| self.screen.children(window))
    }

    /// Gives the window and the editor another size, as a person does who drags the host's window.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn resize(&mut self, size: SizePx) -> Result<(), WindowError> {
        if let Some((window, now)) = &mut self.window {
            self.screen.resize(*window, size)?;
            *now = size;
            self.plugin.resize_editor(size)?;
        }
        self.pass(2 * HAND)
    }

    /// What the window shows.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn picture(&self) -> Result<Picture, WindowError> {
        match self.window {
            Some((window, size)) => self.screen.picture(window, size),
            None => Err(WindowError::Blank(Duration::ZERO)),
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

    /// What the window shows once nothing moves any more.
    ///
    /// # Errors
    ///
    /// [`WindowError::Restless`].
    pub fn picture_at_rest(&mut self) -> Result<Picture, WindowError> {
        let started = Instant::now();
        let (mut last, mut since) = (self.picture()?, Instant::now());
        while started.elapsed() < LONGEST_UNREST {
            self.pass(HAND)?;
            let now = self.picture()?;
            if now != last {
                (last, since) = (now, Instant::now());
            } else if since.elapsed() >= REST {
                return Ok(now);
            }
        }
        Err(WindowError::Restless(LONGEST_UNREST))
    }

    /// Plays so many seconds of the song and waits until they have been played.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn play_s(&mut self, seconds: f64) -> Result<(), WindowError> {
        self.live.play(Some((seconds * 48_000.0) as usize));
        while !self.live.is_at_rest() {
            self.turn()?;
        }
        self.pass(HAND)
    }

    /// Lets time pass: the host looks after the insert.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn pass(&mut self, time: Duration) -> Result<(), WindowError> {
        let started = Instant::now();
        while started.elapsed() < time {
            self.turn()?;
        }
        Ok(())
    }

    fn turn(&mut self) -> Result<(), WindowError> {
        self.live.serve(&mut self.plugin)?;
        self.told.extend(self.live.take_edits());
        if let (Some(size), Some((window, now))) = (self.plugin.asked_editor_size(), &mut self.window) {
            self.size_wishes += 1;
            *now = size;
            self.screen.resize(*window, size)?;
        }
        std::thread::sleep(TURN);
        Ok(())
    }
}

/// What the host hears of the parameters.
impl Session {
    /// A parameter as the insert writes it.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn text(&mut self, id: &str) -> Result<String, WindowError> {
        let value = self.plugin.value(id)?;
        Ok(self.plugin.text_of(id, value)?)
    }

    /// The number with which a parameter's text begins.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    ///
    /// # Panics
    ///
    /// Where it begins with none.
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
    /// [`WindowError::Host`].
    ///
    /// # Panics
    ///
    /// Where it does not get there.
    pub fn expect_number(&mut self, id: &str, expected: f64) -> Result<(), WindowError> {
        let started = Instant::now();
        while self.number(id)? != expected {
            let found = self.number(id)?;
            assert!(started.elapsed() < PATIENCE, "{id} is {found} and not {expected}");
            self.turn()?;
        }
        Ok(())
    }

    /// The gestures that the editor has made since the last call, each with its parameter's id. What is under way gets a
    /// moment to come to its end.
    ///
    /// # Panics
    ///
    /// Where one is not whole.
    pub fn gestures(&mut self) -> Vec<(String, Gesture)> {
        let started = Instant::now();
        let mut quiet = (self.told.len(), Instant::now());
        while started.elapsed() < LONGEST_GESTURE {
            self.turn().unwrap_or_else(|error| panic!("{error}"));
            if self.told.len() != quiet.0 {
                quiet = (self.told.len(), Instant::now());
            } else if quiet.1.elapsed() > 2 * HAND && gestures(&self.told).is_ok() {
                break;
            }
        }
        let whole = gestures(&std::mem::take(&mut self.told));
        let named = |gesture: Gesture| {
            let mut parameters = self.plugin.parameters().iter();
            let moved = parameters.find(|parameter| parameter.clap_id == gesture.parameter);
            (moved.map(|moved| moved.id.clone()).unwrap_or_default(), gesture)
        };
        whole
            .unwrap_or_else(|broken| panic!("{broken}"))
            .into_iter()
            .map(named)
            .collect()
    }

    /// Sets a parameter as automation does, and waits until it has arrived.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`].
    pub fn automate(&mut self, id: &str, text: &str) -> Result<(), WindowError> {
        let value = self.plugin.value_of(id, text)?;
        self.live
            .send(self.plugin.parameter(id)?.clap_id, EventKind::Value(value));
        self.pass(HAND)
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        if self.window.take().is_some() {
            self.close_editor();
        }
    }
}
