//! An insert with its editor open: a person before the screen.

use std::rc::Rc;
use std::time::{Duration, Instant};

use super::screen::EMPTY;
use super::{Button, HostWindow, Key, Picture, Screen, WindowError};
use crate::host::{Answer, Change, Gesture, Live, LiveSound, Plugin, SizePx, gestures};

/// Between two things that a hand does: a few frames of the editor.
const HAND: Duration = Duration::from_millis(70);
/// How often the host looks after its plug-ins.
const TURN: Duration = Duration::from_millis(4);
/// After this an editor that shows nothing is taken for broken.
const LONGEST_OPENING: Duration = Duration::from_secs(20);
/// For so long a picture must stay as it is to be at rest.
const REST: Duration = Duration::from_millis(300);
/// After this it never comes to rest.
const LONGEST_UNREST: Duration = Duration::from_secs(12);
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
    screen: Rc<Screen>,
    // Dropped before the plug-in: its thread calls it.
    live: Live,
    plugin: Plugin,
    window: Option<(HostWindow, SizePx)>,
    told: Vec<Answer>,
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
        let live = Live::start(&mut plugin, sound)?;
        Ok(Self {
            screen: Rc::clone(screen),
            plugin,
            live,
            window: None,
            told: Vec::new(),
            pixels_per_point: 1.0,
            size_wishes: 0,
        })
    }

    /// Opens the editor and waits until it has painted itself; says how long that took.
    ///
    /// # Errors
    ///
    /// [`WindowError::Host`], [`WindowError::Blank`].
    pub fn open(&mut self, opening: Opening) -> Result<Duration, WindowError> {
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
                return Ok(started.elapsed());
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
            self.plugin.close_editor();
            self.screen.destroy(window)?;
        }
        self.pass(HAND)
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
        self.told.extend(self.live.take_answers());
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

    /// The gestures that the editor has made since the last call, each with its parameter's id.
    ///
    /// # Panics
    ///
    /// Where one is not whole.
    pub fn gestures(&mut self) -> Vec<(String, Gesture)> {
        let whole = gestures(&std::mem::take(&mut self.told));
        let named = |gesture: Gesture| {
            let parameters = self.plugin.parameters().iter();
            let id = parameters
                .filter(|parameter| parameter.clap_id == gesture.parameter)
                .map(|parameter| parameter.id.clone());
            (id.last().unwrap_or_default(), gesture)
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
            .send(self.plugin.parameter(id)?.clap_id, Change::Value(value));
        self.pass(HAND)
    }
}

/// What a hand does. Positions are points of the editor's layout.
impl Session {
    /// Moves the pointer.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn point(&mut self, at: (f32, f32)) -> Result<(), WindowError> {
        if let Some((window, _)) = self.window {
            let pixel = |point: f32, corner: i16| corner + (point * self.pixels_per_point).round() as i16;
            self.screen
                .point(pixel(at.0, window.left), pixel(at.1, window.top))?;
        }
        self.pass(HAND)
    }

    /// Presses a button.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn press(&mut self, button: Button) -> Result<(), WindowError> {
        self.screen.button(button, true)?;
        self.pass(HAND)
    }

    /// Lets go of a button.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn release(&mut self, button: Button) -> Result<(), WindowError> {
        self.screen.button(button, false)?;
        self.pass(HAND)
    }

    /// Points there and clicks.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn click(&mut self, at: (f32, f32), button: Button) -> Result<(), WindowError> {
        self.point(at)?;
        self.press(button)?;
        self.release(button)
    }

    /// Points there and clicks twice, fast.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn double_click(&mut self, at: (f32, f32)) -> Result<(), WindowError> {
        self.click(at, Button::Left)?;
        self.press(Button::Left)?;
        self.release(Button::Left)
    }

    /// Presses at one place and goes to another in four steps, the button still held.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn hold_and_move(&mut self, from: (f32, f32), to: (f32, f32)) -> Result<(), WindowError> {
        self.point(from)?;
        self.press(Button::Left)?;
        for step in 1..=4u8 {
            let part = f32::from(step) / 4.0;
            self.point((from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part))?;
        }
        Ok(())
    }

    /// Drags from one place to another.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn drag(&mut self, from: (f32, f32), to: (f32, f32)) -> Result<(), WindowError> {
        self.hold_and_move(from, to)?;
        self.release(Button::Left)
    }

    /// Presses and lets go of a key.
    ///
    /// # Errors
    ///
    /// [`WindowError::NoKey`].
    pub fn key(&mut self, key: Key) -> Result<(), WindowError> {
        self.screen.key(key, true)?;
        self.pass(HAND)?;
        self.screen.key(key, false)?;
        self.pass(HAND)
    }

    /// Holds a key or lets go of it.
    ///
    /// # Errors
    ///
    /// [`WindowError::NoKey`].
    pub fn hold_key(&mut self, key: Key, down: bool) -> Result<(), WindowError> {
        self.screen.key(key, down)?;
        self.pass(HAND)
    }

    /// Writes.
    ///
    /// # Errors
    ///
    /// [`WindowError::NoKey`].
    pub fn write(&mut self, text: &str) -> Result<(), WindowError> {
        text.chars().try_for_each(|sign| self.key(Key::Sign(sign)))
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        if self.window.take().is_some() {
            self.plugin.close_editor();
        }
    }
}
