//! Reach: the gain at each frequency while a sibilant is reduced.

mod signals;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;
use signals::{Noise, Score, aligned, engine, line};
use siskin_dsp::{Lookahead, Settings};

/// Length of the frames from which the response is measured, s: bins of 23 Hz.
const FRAME_S: f64 = 0.0427;
const DEEPEST_DB: f32 = 24.0;
const FROM_HZ: f64 = 4000.0;

/// The gain at each frequency.
struct Transfer {
    bin_hz: f64,
    gains: Vec<Complex<f64>>,
}

impl Transfer {
    /// Measured from the cross-spectrum of `input` and `output`, over frames in the middle of the spans.
    fn of(input: &[f32], output: &[f32], spans: &[(usize, usize)], rate_hz: f64) -> Self {
        let length = ((FRAME_S * rate_hz) as usize).next_power_of_two() / 2;
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(length);
        let spectrum = |sound: &[f32]| {
            let mut frame: Vec<f64> = sound
                .iter()
                .enumerate()
                .map(|(n, &x)| {
                    f64::from(x)
                        * (std::f64::consts::PI * (n as f64 + 0.5) / length as f64)
                            .sin()
                            .powi(2)
                })
                .collect();
            let mut bins = transform.make_output_vec();
            transform
                .process(&mut frame, &mut bins)
                .expect("lengths of the plan");
            bins
        };
        let mut cross = vec![Complex::default(); length / 2 + 1];
        let mut power = vec![0.0; length / 2 + 1];
        for &(start, end) in spans {
            let margin = (0.03 * rate_hz) as usize;
            for at in (start + margin..end - margin - length).step_by(length / 2) {
                let (before, after) = (
                    spectrum(&input[at..at + length]),
                    spectrum(&output[at..at + length]),
                );
                for (bin, (x, y)) in before.iter().zip(&after).enumerate() {
                    cross[bin] += x.conj() * y;
                    power[bin] += x.norm_sqr();
                }
            }
        }
        Self {
            bin_hz: rate_hz / length as f64,
            gains: cross
                .iter()
                .zip(&power)
                .map(|(cross, power)| cross / power)
                .collect(),
        }
    }

    /// Gains in dB from one frequency to another.
    fn gains_db(&self, from_hz: f64, to_hz: f64) -> impl Iterator<Item = (f64, f64)> {
        let bins = self.gains.iter().enumerate();
        bins.map(|(bin, gain)| (bin as f64 * self.bin_hz, 20.0 * gain.norm().log10()))
            .filter(move |(frequency_hz, _)| (from_hz..=to_hz).contains(frequency_hz))
    }

    fn mean_db(&self, from_hz: f64, to_hz: f64) -> f64 {
        let (sum, count) = self
            .gains_db(from_hz, to_hz)
            .fold((0.0, 0), |(sum, count), (_, db)| (sum + db, count + 1));
        sum / f64::from(count)
    }
}

/// The response of each channel while a line of sibilants is reduced. White noise 40 dB below them makes every frequency
/// measurable.
fn transfers(reach: f32, rate_hz: f64) -> Vec<Transfer> {
    let score = Score {
        pitch_hz: 160.0,
        vowel_db: -24.0,
        fricative_db: -18.0,
        peak_hz: 6839.0,
        words: 30,
        edge_ms: 4.0,
    };
    let mut line = line(score, rate_hz, 61);
    let mut noise = Noise::new(62);
    for &(start, end) in &line.fricatives {
        for sample in &mut line.audio[start..end] {
            *sample += (0.002 * noise.sample()) as f32;
        }
    }
    let mut settings = Settings::default();
    settings.sibilance.proportion_lu = -24.0;
    settings.sibilance.ratio = f32::INFINITY;
    settings.sibilance.range_db = DEEPEST_DB;
    settings.sibilance.reach = reach;
    let input = vec![line.audio.clone(), line.audio.iter().map(|x| -0.5 * x).collect()];
    let output = aligned(&mut engine(rate_hz, 2, Lookahead::Long, &settings), &input);
    let channels = input.iter().zip(&output);
    channels
        .map(|(input, output)| Transfer::of(input, output, &line.fricatives[1..], rate_hz))
        .collect()
}

#[test]
fn at_0_percent_nothing_below_the_edge_changes() {
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        for transfer in transfers(0.0, rate_hz) {
            let taken_db = -transfer.mean_db(8000.0, 15_000.0);
            assert!(taken_db > 15.0, "{taken_db} dB are not a deep reduction");
            for (frequency_hz, db) in transfer.gains_db(20.0, FROM_HZ) {
                assert!(db.abs() <= 0.5, "{db} dB at {frequency_hz} Hz, {rate_hz} Hz");
            }
        }
    }
}

#[test]
fn at_100_percent_the_gain_is_flat() {
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        for transfer in transfers(1.0, rate_hz) {
            let mean_db = transfer.mean_db(20.0, 20_000.0);
            assert!(mean_db < -10.0, "{mean_db} dB are not a deep reduction");
            for (frequency_hz, db) in transfer.gains_db(20.0, 20_000.0) {
                assert!(
                    (db - mean_db).abs() <= 0.2,
                    "{db} dB at {frequency_hz} Hz, {mean_db} dB on average"
                );
            }
        }
    }
}

#[test]
fn reduction_below_the_edge_grows_with_reach() {
    let settings = [0.0, 0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1.0];
    let transfers: Vec<Vec<Transfer>> = settings.iter().map(|&reach| transfers(reach, 48_000.0)).collect();
    for channel in 0..2 {
        for octave in [125.0, 250.0, 500.0, 1000.0, 2000.0] {
            let gains: Vec<f64> = transfers
                .iter()
                .map(|channels| channels[channel].mean_db(octave, 2.0 * octave))
                .collect();
            assert!(
                gains.windows(2).all(|pair| pair[1] <= pair[0] + 0.1),
                "from {octave} Hz: {gains:?}"
            );
        }
    }
}
