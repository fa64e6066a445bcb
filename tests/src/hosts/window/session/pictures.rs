//! Pictures of the window.

use anyhow::{Context, bail};
use emath::Rect;

use super::Session;
use crate::hosts::window::Picture;

/// Why there is no picture.
const CLOSED: &str = "the editor is closed";

impl Session {
    /// What the window shows.
    pub fn picture(&self) -> anyhow::Result<Picture> {
        match self.window {
            Some((window, size)) => self.screen.picture(window, size),
            None => bail!(CLOSED),
        }
    }

    /// What the window shows within an area of the layout.
    pub fn picture_of(&self, area: Rect) -> anyhow::Result<Picture> {
        let pixels = |points: f32| (points * self.pixels_per_point).max(0.0) as u32;
        let whole = self.picture()?;
        let across = pixels(area.left())..pixels(area.right()).min(whole.width);
        let down = pixels(area.top())..pixels(area.bottom()).min(whole.height);
        Ok(whole.cut(across, down))
    }

    /// What the window shows once new frames change nothing any more. The song must be stopped.
    pub fn picture_at_rest(&mut self) -> anyhow::Result<Picture> {
        let mut last = None;
        self.wait_until("the picture comes to rest", |session| {
            session.sync()?;
            let now = Some(session.picture()?);
            let rests = now == last;
            last = now;
            Ok(rests)
        })?;
        last.context(CLOSED)
    }

    /// Waits until an area shows something else than `before`.
    pub fn wait_for_change(&mut self, area: Rect, before: &Picture) -> anyhow::Result<()> {
        self.wait_until("the picture changes", |session| {
            Ok(session.picture_of(area)? != *before)
        })
    }
}
