//! A VST3 insert with its editor open in a host window.

use std::time::Instant;

use anyhow::bail;
use emath::{Pos2, Rect, vec2};
use siskin_editor_layout::Layout;

use super::session::{CORNER, LIMIT, PAINTED, POLL_INTERVAL, wait_for_threads};
use super::{Button, EMPTY, HostWindow, Key, Load, NOWHERE, Picture, Screen};
use crate::hosts::clap::SizePx;
use crate::hosts::vst3::{Vst3Insert, Vst3View};

/// An insert with its editor open.
pub struct Vst3Session {
    view: Option<Vst3View>,
    /// Threads before the editor opened.
    threads: usize,
    /// The insert.
    pub insert: Vst3Insert,
    /// Where it is shown.
    pub screen: Screen,
    /// The host's window.
    pub window: HostWindow,
    /// Its size, pixels.
    pub size: SizePx,
    /// Pixels per point of the editor's layout.
    pub pixels_per_point: f32,
    /// Where the pointer is, points.
    pointer: Pos2,
}

impl Drop for Vst3Session {
    fn drop(&mut self) {
        drop(self.view.take());
        wait_for_threads(self.threads);
    }
}

impl Vst3Session {
    /// Opens the editor of `insert` and waits until it has painted itself.
    pub fn open(screen: Screen, mut insert: Vst3Insert) -> anyhow::Result<Self> {
        let (view, size) = insert.create_view();
        let window = screen.window(size, CORNER.0, CORNER.1)?;
        let threads = Load::threads();
        let view = insert.attach(view, window.id);
        screen.focus(window)?;
        let mut session = Self {
            view: Some(view),
            threads,
            insert,
            screen,
            window,
            size,
            pixels_per_point: 1.0,
            pointer: NOWHERE,
        };
        session.wait_until("the editor paints its window", |session| {
            let picture = session.screen.picture(session.window, session.size)?;
            Ok((picture.share_of(EMPTY) < PAINTED).then_some(()))
        })?;
        // Keys reach the window below the pointer.
        session.point(NOWHERE)?;
        Ok(session)
    }

    /// The editor's layout, in points.
    #[must_use]
    pub fn layout(&self) -> Layout {
        Layout::new(self.window_area().size(), false)
    }

    /// The whole window, in points.
    #[must_use]
    pub fn window_area(&self) -> Rect {
        let pixels = vec2(self.size.width as f32, self.size.height as f32);
        Rect::from_min_size(Pos2::ZERO, pixels / self.pixels_per_point)
    }

    /// Waits until `next` has an answer, while the UI thread does its work.
    pub fn wait_until<T>(
        &mut self,
        condition: &'static str,
        mut next: impl FnMut(&mut Self) -> anyhow::Result<Option<T>>,
    ) -> anyhow::Result<T> {
        let start = Instant::now();
        loop {
            if let Some(answer) = next(self)? {
                return Ok(answer);
            }
            if start.elapsed() > LIMIT {
                bail!("timed out waiting until {condition}");
            }
            self.insert.take_requests();
            std::thread::sleep(POLL_INTERVAL);
        }
    }

    /// Moves the pointer, and waits until the editor has drawn the result of all input so far. It draws a frame after each
    /// event; one may have begun before the last event, the one after it has not.
    pub fn point(&mut self, at: Pos2) -> anyhow::Result<()> {
        self.pointer = at;
        let pixels_per_point = self.pixels_per_point;
        let pixel = |point: f32| CORNER.0 + (point * pixels_per_point).round() as i16;
        for offset in [1, 0, 1, 0] {
            self.screen.discard_frames()?;
            self.screen.point(pixel(at.x) + offset, pixel(at.y))?;
            self.wait_until("the editor draws a frame", |session| {
                let has_frame = session.screen.has_frame(session.window)?;
                Ok(has_frame.then_some(()))
            })?;
        }
        Ok(())
    }

    /// Moves the pointer and clicks.
    pub fn click(&mut self, at: Pos2, button: Button) -> anyhow::Result<()> {
        self.point(at)?;
        for down in [true, false] {
            self.screen.button(button, down)?;
        }
        self.point(at)
    }

    /// Presses and releases a key.
    pub fn key(&mut self, key: Key) -> anyhow::Result<()> {
        for down in [true, false] {
            self.screen.key(key, down)?;
        }
        self.point(self.pointer)
    }

    /// What the window shows once new frames change nothing.
    pub fn at_rest(&mut self) -> anyhow::Result<Picture> {
        let mut last = None;
        self.wait_until("the picture comes to rest", |session| {
            session.point(NOWHERE)?;
            let now = session.screen.picture(session.window, session.size)?;
            let rests = last.replace(now.clone()).as_ref() == Some(&now);
            Ok(rests.then_some(now))
        })
    }

    /// What the window shows within an area of the layout.
    pub fn picture_of(&mut self, area: Rect) -> anyhow::Result<Picture> {
        let pixels_per_point = self.pixels_per_point;
        let pixel = |point: f32| (point * pixels_per_point).max(0.0) as u32;
        let picture = self.at_rest()?;
        Ok(picture.cut(
            pixel(area.left())..pixel(area.right()),
            pixel(area.top())..pixel(area.bottom()),
        ))
    }
}
