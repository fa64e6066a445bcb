//! The lower edge of a sibilant's noise, per event.
//!
//! sh peaks near 3.8 kHz and s near 6.8 kHz (Jongman, Wayland & Wong 2000). A shelf that begins at the edge of the sibilant
//! reduces both without dulling the voice below.

use crate::analysis::Spectrum;
use crate::clock::timing::Timing;
use crate::primitives::powers_of_two::exp2;

/// Share of the power above `Detect from` that lies below the edge: the edge is the foot of the noise, not its peak.
const SHARE: f32 = 0.1;
/// For deep reductions, the part below the edge is at most this share of the power that remains, because the shelf hardly
/// reduces it.
const SHARE_OF_REMAINDER: f32 = 0.8;
/// The highest edge above `Detect from`.
const MAX_OCTAVES: f32 = 2.0;
/// Averaging time: one window of noise reads the edge only to within a third of an octave.
const AVERAGE_MS: f32 = 16.0;
/// One-pole low-passes in series that smooth the filter's corner, and their time constant. One sibilant changes into another
/// over tens of milliseconds; a single pole would start with an audible corner.
const POLES: usize = 2;
const GLIDE_MS: f32 = 2.0;

/// The edge of the current event and of the filter that follows it, in octaves above `Detect from`.
pub(crate) struct SibilantEdge {
    mean_octaves: f32,
    hops: usize,
    average_hops: usize,
    glide_decay: f32,
    poles_octaves: [f32; POLES],
}

impl SibilantEdge {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean_octaves: 0.0,
            hops: 0,
            average_hops: timing.hops(AVERAGE_MS),
            glide_decay: timing.step_decay(GLIDE_MS),
            poles_octaves: [0.0; POLES],
        }
    }

    pub fn reset(&mut self) {
        self.end_event();
        self.mean_octaves = 0.0;
        self.poles_octaves = [0.0; POLES];
    }

    /// Ends the event: the next hop starts a new average.
    pub fn end_event(&mut self) {
        self.hops = 0;
    }

    /// Takes the spectrum of the event's next hop and the reduction requested for it; returns the edge, Hz.
    pub fn update_hop(&mut self, spectrum: &Spectrum, from_hz: f32, requested_db: f32) -> f32 {
        let share = SHARE.min(SHARE_OF_REMAINDER * 10f32.powf(-requested_db / 10.0));
        if let Some(edge_hz) = spectrum.quantile_hz(from_hz, share) {
            let octaves = (edge_hz / from_hz).log2().clamp(0.0, MAX_OCTAVES);
            self.hops = (self.hops + 1).min(self.average_hops);
            self.mean_octaves += (octaves - self.mean_octaves) / self.hops as f32;
        }
        self.edge_hz(from_hz)
    }

    /// The edge of the current or the last event, Hz.
    pub fn edge_hz(&self, from_hz: f32) -> f32 {
        (f64::from(from_hz) * exp2(f64::from(self.mean_octaves))) as f32
    }

    /// Moves the filter's edge by one step; returns it in octaves above `Detect from`. An `idle` filter may jump.
    pub fn update_step(&mut self, idle: bool) -> f32 {
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
    use crate::stages::sibilance::shelf::Shelf;
    use crate::stages::sibilance::shelf_shape::MovingShelf;
    use realfft::RealFftPlanner;

    const RATE_HZ: f64 = 48_000.0;
    const TONE_HZ: f64 = 6000.0;

    /// A tone through a shelf of -12 dB whose edge is set to jump by `octaves` in the middle.
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
            to = reach.shape(12.0, settings.from_hz * edge.update_step(false).exp2());
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
    fn a_moving_edge_adds_no_noise() {
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
