//! What a hand does before the screen. Positions are points of the editor's layout.

use std::time::Instant;

use emath::{Pos2, Rect};

use super::session::{HAND, PATIENCE};
use super::{Button, Key, Session, WindowError};

/// The zooms of the editor's menu, from top to bottom.
const ZOOMS_PERCENT: [u16; 5] = [100, 125, 150, 175, 200];

impl Session {
    /// Moves the pointer.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn point(&mut self, at: Pos2) -> Result<(), WindowError> {
        if let Some((window, _)) = self.window {
            let pixel = |point: f32, corner: i16| corner + (point * self.pixels_per_point).round() as i16;
            self.screen
                .point(pixel(at.x, window.left), pixel(at.y, window.top))?;
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
    pub fn click(&mut self, at: Pos2, button: Button) -> Result<(), WindowError> {
        self.point(at)?;
        self.press(button)?;
        self.release(button)
    }

    /// Points there and clicks twice, faster than the 300 ms that toolkits allow.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn double_click(&mut self, at: Pos2) -> Result<(), WindowError> {
        self.point(at)?;
        for down in [true, false, true, false] {
            self.screen.button(Button::Left, down)?;
            self.pass(HAND / 4)?;
        }
        self.pass(HAND)
    }

    /// Clicks a value and waits until its field is there, then writes.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    ///
    /// # Panics
    ///
    /// Where no field comes.
    pub fn type_into(&mut self, value: Rect, text: &str) -> Result<(), WindowError> {
        self.point(value.center())?;
        self.pass(HAND)?;
        let before = self.picture_of(value)?;
        self.press(Button::Left)?;
        self.release(Button::Left)?;
        let started = Instant::now();
        while self.picture_of(value)? == before {
            assert!(
                started.elapsed() < PATIENCE,
                "no field comes where a value is clicked"
            );
            self.pass(HAND / 4)?;
        }
        self.pass(HAND)?;
        self.write(text)
    }

    /// Presses at one place and goes to another in four steps, the button still held.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn hold_and_move(&mut self, from: Pos2, to: Pos2) -> Result<(), WindowError> {
        self.point(from)?;
        self.press(Button::Left)?;
        for step in 1..=4u8 {
            let part = f32::from(step) / 4.0;
            self.point(from + (to - from) * part)?;
        }
        Ok(())
    }

    /// Drags from one place to another.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn drag(&mut self, from: Pos2, to: Pos2) -> Result<(), WindowError> {
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
        self.pass(HAND / 2)?;
        self.screen.key(key, false)?;
        self.pass(HAND / 2)
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

    /// Points at a line of a menu or a button and clicks it.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    ///
    /// # Panics
    ///
    /// Where there is no such place.
    pub fn click_in(&mut self, area: impl Into<Option<Rect>>) -> Result<(), WindowError> {
        let area = area.into().expect("a place that the layout knows");
        self.click(area.center(), Button::Left)
    }

    /// Turns the wheel over a place by so many notches, away from the hand where positive.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn wheel(&mut self, at: Pos2, notches: i32) -> Result<(), WindowError> {
        self.point(at)?;
        let button = if notches > 0 {
            Button::WheelUp
        } else {
            Button::WheelDown
        };
        for _ in 0..notches.abs() {
            self.press(button)?;
            self.release(button)?;
        }
        Ok(())
    }

    /// Chooses a zoom in the editor's own menu.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    ///
    /// # Panics
    ///
    /// Where the menu has no such zoom.
    pub fn zoom(&mut self, percent: u16) -> Result<(), WindowError> {
        let layout = self.layout();
        let item = ZOOMS_PERCENT.iter().position(|&zoom| zoom == percent);
        let item = item.expect("a zoom of the menu");
        self.click_in(layout.button("zoom"))?;
        self.click_in(layout.zoom_menu(ZOOMS_PERCENT.len())[item])?;
        self.pixels_per_point = f32::from(percent) / 100.0;
        self.pass(2 * HAND)
    }
}
