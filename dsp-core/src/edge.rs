//! The edge of a sibilant's own band: where its noise begins, event by event.
//!
//! sh lies near 3.8 kHz and s near 6.8 kHz (Jongman, Wayland & Wong 2000). A shelf that begins where the sibilant
//! begins catches the one without dulling what the voice still says under the other.

use crate::analysis::Spectrum;
use crate::timing::Timing;

/// The share of the power above `Detect from` that lies below the edge: the foot of the noise, not its peak.
const SHARE: f32 = 0.1;
/// How far above `Detect from` the edge may go.
const HIGHEST_OCTAVES: f32 = 2.0;
/// The edge is the mean, in octaves, over this long: one window of noise reads it to within a third of an octave only.
const MEMORY_MS: f32 = 16.0;
/// The filter's corner follows with this time constant: a sibilant turns into another over tens of milliseconds.
const GLIDE_MS: f32 = 3.0;

/// The edge of the event that sounds, and of the filter that follows it. In octaves above `Detect from`.
pub(crate) struct SibilantEdge {
    mean_octaves: f32,
    hops: usize,
    memory_hops: usize,
    glide_decay: f32,
    octaves: f32,
}

impl SibilantEdge {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean_octaves: 0.0,
            hops: 0,
            memory_hops: timing.hops(MEMORY_MS),
            glide_decay: timing.step_decay(GLIDE_MS),
            octaves: 0.0,
        }
    }

    pub fn reset(&mut self) {
        self.end_event();
        (self.mean_octaves, self.octaves) = (0.0, 0.0);
    }

    /// The next hop belongs to another event.
    pub fn end_event(&mut self) {
        self.hops = 0;
    }

    /// Takes the spectrum of the event's next hop; gives the edge so far, Hz.
    pub fn hear(&mut self, spectrum: &Spectrum, from_hz: f32) -> f32 {
        if let Some(edge_hz) = spectrum.quantile_hz(from_hz, SHARE) {
            let octaves = (edge_hz / from_hz).log2().clamp(0.0, HIGHEST_OCTAVES);
            self.hops = (self.hops + 1).min(self.memory_hops);
            self.mean_octaves += (octaves - self.mean_octaves) / self.hops as f32;
        }
        from_hz * self.mean_octaves.exp2()
    }

    /// Moves the filter's edge to the end of the coming step; gives it in Hz. A filter that is `idle` may jump.
    pub fn step(&mut self, idle: bool, from_hz: f32) -> f32 {
        let keep = if idle { 0.0 } else { self.glide_decay };
        self.octaves = self.mean_octaves + keep * (self.octaves - self.mean_octaves);
        from_hz * self.octaves.exp2()
    }
}
