//! Pointer and keyboard input. Positions are points of the editor's layout.
//!
//! Each function returns once the editor has drawn the result, see [`Session::sync`].

use emath::{Pos2, Rect};

use super::{Button, Key, Session};

/// The zooms of the editor's menu, from top to bottom.
const ZOOMS_PERCENT: [u16; 5] = [100, 125, 150, 175, 200];

impl Session {
    /// Moves the pointer.
    pub fn point(&mut self, at: Pos2) -> anyhow::Result<()> {
        self.pointer = at;
        self.move_pointer(0)?;
        self.sync()
    }

    /// Presses a button.
    pub fn press(&mut self, button: Button) -> anyhow::Result<()> {
        self.screen.button(button, true)?;
        self.sync()
    }

    /// Releases a button.
    pub fn release(&mut self, button: Button) -> anyhow::Result<()> {
        self.screen.button(button, false)?;
        self.sync()
    }

    /// Moves the pointer and clicks.
    pub fn click(&mut self, at: Pos2, button: Button) -> anyhow::Result<()> {
        self.point(at)?;
        self.screen.button(button, true)?;
        self.screen.button(button, false)?;
        self.sync()
    }

    /// Moves the pointer and clicks twice without a pause: toolkits allow 300 ms.
    pub fn double_click(&mut self, at: Pos2) -> anyhow::Result<()> {
        self.point(at)?;
        for down in [true, false, true, false] {
            self.screen.button(Button::Left, down)?;
        }
        self.sync()
    }

    /// Clicks a value, waits until its field appears, and types.
    pub fn type_into(&mut self, value: Rect, text: &str) -> anyhow::Result<()> {
        self.point(value.center())?;
        let before = self.picture_of(value)?;
        self.click(value.center(), Button::Left)?;
        self.wait_for_change(value, &before)?;
        self.write(text)
    }

    /// Presses at one place and moves to another in four steps; the button stays pressed.
    pub fn hold_and_move(&mut self, from: Pos2, to: Pos2) -> anyhow::Result<()> {
        self.point(from)?;
        self.press(Button::Left)?;
        for step in 1..=4u8 {
            let part = f32::from(step) / 4.0;
            self.point(from + (to - from) * part)?;
        }
        Ok(())
    }

    /// Drags from one place to another.
    pub fn drag(&mut self, from: Pos2, to: Pos2) -> anyhow::Result<()> {
        self.hold_and_move(from, to)?;
        self.release(Button::Left)
    }

    /// Presses and releases a key.
    pub fn key(&mut self, key: Key) -> anyhow::Result<()> {
        self.screen.key(key, true)?;
        self.screen.key(key, false)?;
        self.sync()
    }

    /// Moves the pointer out of the window; waits for nothing.
    pub fn leave(&self) -> anyhow::Result<()> {
        self.screen.point(0, 0)
    }

    /// Presses and releases a key, whichever window has the focus; waits for nothing.
    pub fn key_to_focus(&self, key: Key) -> anyhow::Result<()> {
        self.screen.key(key, true)?;
        self.screen.key(key, false)
    }

    /// Presses or releases a key.
    pub fn hold_key(&mut self, key: Key, down: bool) -> anyhow::Result<()> {
        self.screen.key(key, down)?;
        self.sync()
    }

    /// Types a text.
    pub fn write(&mut self, text: &str) -> anyhow::Result<()> {
        text.chars().try_for_each(|sign| self.key(Key::Sign(sign)))
    }

    /// Clicks the centre of an area.
    ///
    /// # Panics
    ///
    /// Where the area is `None`: the layout has no such place.
    pub fn click_in(&mut self, area: impl Into<Option<Rect>>) -> anyhow::Result<()> {
        let area = area.into().expect("the layout has this place");
        self.click(area.center(), Button::Left)
    }

    /// Turns the wheel over a place by so many notches, up where positive.
    pub fn wheel(&mut self, at: Pos2, notches: i32) -> anyhow::Result<()> {
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

    /// Chooses another zoom in the editor's menu; the host's window follows where it does not keep its size.
    ///
    /// # Panics
    ///
    /// Where the menu has no such zoom.
    pub fn zoom(&mut self, percent: u16) -> anyhow::Result<()> {
        let layout = self.layout();
        let index = ZOOMS_PERCENT.iter().position(|&zoom| zoom == percent);
        let index = index.expect("a zoom of the menu");
        let asked = self.plugin().sizes_asked();
        self.click_in(layout.button("zoom"))?;
        self.click_in(layout.zoom_menu(ZOOMS_PERCENT.len())[index])?;
        self.pixels_per_point = f32::from(percent) / 100.0;
        self.wait_until("the editor asks for another size", |session| {
            Ok(session.plugin().sizes_asked() > asked)
        })?;
        self.sync()?;
        self.wait_until("the editor's window has the size of the host's", |session| {
            Ok(session.inside()? == [session.size()])
        })?;
        self.point(super::session::NOWHERE)
    }
}
