//! Pictures of the window.

use emath::Rect;

use super::Session;
use crate::hosts::window::{Picture, WindowError};

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
