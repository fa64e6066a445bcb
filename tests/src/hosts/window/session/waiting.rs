//! Waiting: for conditions, for frames of the editor, for sound.

use std::time::{Duration, Instant};

use anyhow::bail;

use super::{LIMIT, POLL_INTERVAL, Session};
use crate::hosts::message_queue;

/// Samples that are played before the editor must have read them: 16 blocks, fewer than its queues hold.
const CHUNK: usize = 16 * 480;
/// Sample rate of all sounds, Hz.
const SAMPLE_RATE_HZ: f64 = 48_000.0;
/// Turns of the audio thread after which everything that the editor has sent has reached the host.
const DELIVERY_TURNS: u64 = 3;

impl Session {
    /// Serves the insert until a condition holds.
    pub fn wait_until(
        &mut self,
        condition: &str,
        mut holds: impl FnMut(&mut Self) -> anyhow::Result<bool>,
    ) -> anyhow::Result<()> {
        let started = Instant::now();
        while !holds(self)? {
            if started.elapsed() > LIMIT {
                bail!("timed out waiting until {condition}");
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
    pub fn sync(&mut self) -> anyhow::Result<()> {
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
    pub(super) fn deliver(&mut self) -> anyhow::Result<()> {
        let due = self.live.turns() + DELIVERY_TURNS;
        self.wait_until("the audio thread runs", |session| Ok(session.live.turns() >= due))?;
        self.serve()
    }

    /// Moves the pointer to its place, or some pixels right of it.
    pub(in crate::hosts::window) fn move_pointer(&self, offset_px: i16) -> anyhow::Result<()> {
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
    pub fn pass(&mut self, time: Duration) -> anyhow::Result<()> {
        let started = Instant::now();
        while started.elapsed() < time {
            self.serve()?;
            std::thread::sleep(POLL_INTERVAL);
        }
        Ok(())
    }

    /// Does once what a host does for its plug-ins.
    fn serve(&mut self) -> anyhow::Result<()> {
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
    pub fn play_s(&mut self, seconds: f64) -> anyhow::Result<()> {
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
    pub fn play_blocks(&mut self, blocks: u64) -> anyhow::Result<()> {
        let due = self.live.turns() + blocks;
        self.wait_until("the song plays on", |session| Ok(session.live.turns() >= due))
    }
}
