//! The edge of a sibilant's own band: where its noise begins, event by event.
//!
//! sh lies near 3.8 kHz and s near 6.8 kHz (Jongman, Wayland & Wong 2000). A shelf that begins where the sibilant
//! begins catches the one without dulling what the voice still says under the other.

use crate::analysis::Spectrum;
use crate::clock::timing::Timing;

/// The share of the power above `Detect from` that lies below the edge: the foot of the noise, not its peak ...
const SHARE: f32 = 0.1;
/// ... and, where much is to be taken, no more than this share of what shall be left: the foot stays as it is.
const SHARE_OF_REST: f32 = 0.8;
/// How far above `Detect from` the edge may go.
const HIGHEST_OCTAVES: f32 = 2.0;
/// The edge is the mean, in octaves, over this long: one window of noise reads it to within a third of an octave only.
const MEMORY_MS: f32 = 16.0;
/// One-pole low-passes in a row through which the filter's corner follows, and the time constant of each: a sibilant turns
/// into another over tens of milliseconds, and one pole alone would start with a corner that is heard.
const POLES: usize = 2;
const GLIDE_MS: f32 = 2.0;

/// The edge of the event that sounds, and of the filter that follows it. In octaves above `Detect from`.
pub(crate) struct SibilantEdge {
    mean_octaves: f32,
    hops: usize,
    memory_hops: usize,
    glide_decay: f32,
    poles_octaves: [f32; POLES],
}

impl SibilantEdge {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean_octaves: 0.0,
            hops: 0,
            memory_hops: timing.hops(MEMORY_MS),
            glide_decay: timing.step_decay(GLIDE_MS),
            poles_octaves: [0.0; POLES],
        }
    }

    pub fn reset(&mut self) {
        self.end_event();
        self.mean_octaves = 0.0;
        self.poles_octaves = [0.0; POLES];
    }

    /// The next hop belongs to another event.
    pub fn end_event(&mut self) {
        self.hops = 0;
    }

    /// Takes the spectrum of the event's next hop, of which `asked_db` shall be taken; gives the edge so far, Hz.
    pub fn hear(&mut self, spectrum: &Spectrum, from_hz: f32, asked_db: f32) -> f32 {
        let share = SHARE.min(SHARE_OF_REST * 10f32.powf(-asked_db / 10.0));
        if let Some(edge_hz) = spectrum.quantile_hz(from_hz, share) {
            let octaves = (edge_hz / from_hz).log2().clamp(0.0, HIGHEST_OCTAVES);
            self.hops = (self.hops + 1).min(self.memory_hops);
            self.mean_octaves += (octaves - self.mean_octaves) / self.hops as f32;
        }
        self.edge_hz(from_hz)
    }

    /// The edge of the event that sounds, or of the last one, Hz.
    pub fn edge_hz(&self, from_hz: f32) -> f32 {
        from_hz * self.mean_octaves.exp2()
    }

    /// Moves the filter's edge to the end of the coming step; gives it in octaves above `Detect from`. A filter that is
    /// `idle` may jump.
    pub fn step(&mut self, idle: bool) -> f32 {
        let keep = if idle { 0.0 } else { self.glide_decay };
        self.poles_octaves.iter_mut().fold(self.mean_octaves, |to, pole| {
            *pole = to + keep * (*pole - to);
            *pole
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::frame::Frame;
    use crate::settings::SibilanceSettings;
    use crate::stages::sibilance::reach::Reach;
    use crate::stages::sibilance::shelf::{MovingShelf, Shelf};
    use realfft::RealFftPlanner;

    const RATE_HZ: f64 = 48_000.0;
    const TONE_HZ: f64 = 6000.0;

    /// A tone through a shelf of 12 dB whose edge is told to jump by `octaves` in the middle.
    fn tone_under_a_moving_edge(octaves: f32) -> Vec<f32> {
        let timing = Timing::new(RATE_HZ);
        let settings = SibilanceSettings::default();
        let reach = Reach::new(&settings, RATE_HZ);
        let (mut edge, mut shelf) = (SibilantEdge::new(timing), Shelf::new(1));
        let mut to = reach.shape(12.0, settings.from_hz);
        let mut frames: Vec<Frame> = (0..16_384)
            .map(|n| Frame::splat((std::f64::consts::TAU * TONE_HZ * f64::from(n) / RATE_HZ).sin()))
            .collect();
        let steps = frames.len() / timing.step_samples;
        for (step, chunk) in frames.chunks_mut(timing.step_samples).enumerate() {
            if step == steps / 2 {
                edge.mean_octaves = octaves;
            }
            let from = to;
            to = reach.shape(12.0, settings.from_hz * edge.step(false).exp2());
            let moving = MovingShelf {
                from,
                to,
                step_samples: timing.step_samples,
            };
            shelf.process(chunk, &moving, 0);
        }
        frames.iter().map(|frame| frame.to_array()[1] as f32).collect()
    }

    /// Energy further than 1.5 kHz from the tone, relative to all of it, dB.
    fn beside_the_tone_db(audio: &[f32]) -> f64 {
        let length = audio.len() as f64;
        let mut windowed: Vec<f64> = audio
            .iter()
            .enumerate()
            .map(|(n, &x)| f64::from(x) * (std::f64::consts::PI * (n as f64 + 0.5) / length).sin().powi(4))
            .collect();
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(audio.len());
        let mut bins = transform.make_output_vec();
        transform
            .process(&mut windowed, &mut bins)
            .expect("lengths of the plan");
        let far = |bin: usize| (bin as f64 * RATE_HZ / length - TONE_HZ).abs() > 1500.0;
        let energy = |keep: &dyn Fn(usize) -> bool| -> f64 {
            let kept = bins.iter().enumerate().filter(|(bin, _)| keep(*bin));
            kept.map(|(_, value)| value.norm_sqr()).sum()
        };
        10.0 * (energy(&far) / energy(&|_| true)).log10()
    }

    #[test]
    fn an_edge_that_moves_makes_no_noise_of_its_own() {
        let moved = tone_under_a_moving_edge(0.75);
        let change = moved[14_000..14_100]
            .iter()
            .fold(0f32, |peak, x| peak.max(x.abs()))
            / moved[2000..2100].iter().fold(0f32, |peak, x| peak.max(x.abs()));
        assert!(change > 1.2, "the edge did not move: {change}");
        let beside_db = beside_the_tone_db(&moved);
        assert!(beside_db < -80.0, "{beside_db} dB");
    }
}
