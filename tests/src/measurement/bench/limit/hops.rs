//! What is done once a step or once a hop.

use std::array::from_fn;
use std::hint::black_box;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;
use rustfft::FftPlanner;

use super::{BLOCK, HOP, LANES, STEP, WINDOW, Work};

const BINS: usize = WINDOW / 2 + 1;

/// A hop's window: the last of the sound that ends with the hop.
fn window_of(channel: &[f32], start: usize, hop: usize) -> &[f32] {
    let end = (start + (hop + 1) * HOP).max(WINDOW);
    &channel[end - WINDOW..end]
}

fn window() -> [f32; WINDOW] {
    from_fn(|n| {
        (std::f32::consts::PI * (n as f32 + 0.5) / WINDOW as f32)
            .sin()
            .powi(2)
    })
}

/// One channel: a real transform. Two: one complex transform holds both, and the powers of both added need no more.
pub fn spectrum<'a, const CHANNELS: usize>() -> Work<'a> {
    if CHANNELS == 1 { mono() } else { stereo() }
}

fn mono<'a>() -> Work<'a> {
    let fft = RealFftPlanner::<f32>::new().plan_fft_forward(WINDOW);
    let (window, weights) = (window(), black_box([1e-4_f32; BINS]));
    let (mut windowed, mut bins) = (fft.make_input_vec(), fft.make_output_vec());
    let mut scratch = fft.make_scratch_vec();
    let mut powers = [0f32; BINS];
    Box::new(move |sound, start| {
        for hop in 0..BLOCK / HOP {
            let heard = window_of(&sound[0], start, hop);
            for ((windowed, sample), weight) in windowed.iter_mut().zip(heard).zip(&window) {
                *windowed = sample * weight;
            }
            // Cannot fail: every buffer was made by this very plan.
            let _ = fft.process_with_scratch(&mut windowed, &mut bins, &mut scratch);
            for ((power, bin), weight) in powers.iter_mut().zip(&bins).zip(&weights) {
                *power = bin.norm_sqr() * weight;
            }
            black_box(&powers);
        }
    })
}

fn stereo<'a>() -> Work<'a> {
    let fft = FftPlanner::<f32>::new().plan_fft_forward(WINDOW);
    let (window, weights) = (window(), black_box([1e-4_f32; BINS]));
    let mut bins = [Complex::new(0f32, 0f32); WINDOW];
    let mut scratch = vec![Complex::default(); fft.get_inplace_scratch_len()];
    let mut powers = [0f32; BINS];
    Box::new(move |sound, start| {
        for hop in 0..BLOCK / HOP {
            let [left, right] = sound.each_ref().map(|channel| window_of(channel, start, hop));
            for (((bin, left), right), weight) in bins.iter_mut().zip(left).zip(right).zip(&window) {
                *bin = Complex::new(left * weight, right * weight);
            }
            fft.process_with_scratch(&mut bins, &mut scratch);
            // |L|^2 + |R|^2 is half of |Z(k)|^2 + |Z(-k)|^2.
            powers[0] = weights[0] * bins[0].norm_sqr();
            let mirrored = bins[1..].iter().zip(bins[WINDOW / 2..].iter().rev());
            for ((power, (bin, mirrored)), weight) in powers[1..].iter_mut().zip(mirrored).zip(&weights[1..])
            {
                *power = 0.5 * weight * (bin.norm_sqr() + mirrored.norm_sqr());
            }
            black_box(&powers);
        }
    })
}

/// Eight new samples of the low band against those 10 to 90 before, with energies, and the highest of all.
pub fn correlation<'a>() -> Work<'a> {
    const LAGS: usize = 81;
    const SHORTEST: usize = 10;
    const FRESH: usize = HOP / 8;
    let decay = black_box(0.875_f32);
    let (mut correlations, mut energies) = ([0f32; LAGS], [0f32; LAGS]);
    let mut energy = 0f32;
    Box::new(move |sound, start| {
        for hop in 0..BLOCK / HOP {
            // Any sound does; that of the low band costs the same.
            let history = &window_of(&sound[0], start, hop)[..SHORTEST + LAGS - 1 + FRESH];
            let fresh = &history[SHORTEST + LAGS - 1..];
            energy = decay * energy + fresh.iter().map(|x| x * x).sum::<f32>();
            let (mut correlation, mut before) = ([0f32; LAGS], [0f32; LAGS]);
            for (n, now) in fresh.iter().enumerate() {
                // From the longest lag to the shortest.
                let delayed = &history[n..n + LAGS];
                for ((correlation, before), delayed) in correlation.iter_mut().zip(&mut before).zip(delayed) {
                    *correlation += now * delayed;
                    *before += delayed * delayed;
                }
            }
            let mut highest = [0f32; LAGS];
            for lag in 0..LAGS {
                correlations[lag] = decay * correlations[lag] + correlation[lag];
                energies[lag] = decay * energies[lag] + before[lag];
                let norm = energy * energies[lag];
                highest[lag] = if norm > 1e-36 {
                    correlations[lag] / norm.sqrt()
                } else {
                    0.0
                };
            }
            black_box(most(&highest));
        }
    })
}

fn most(values: &[f32]) -> f32 {
    let (whole, rest) = values.as_chunks::<LANES>();
    let larger = |one: f32, other: f32| if other > one { other } else { one };
    let lanes = whole.iter().fold([0f32; LANES], |most, values| {
        from_fn(|lane| larger(most[lane], values[lane]))
    });
    lanes.iter().chain(rest).fold(0.0, |most, &one| larger(most, one))
}

/// A spectrum's powers in bands that share no bin: eight stretches of 16 bins.
pub fn band_sums<'a>() -> Work<'a> {
    const BANDS: usize = 8;
    const WIDTH: usize = 16;
    Box::new(move |sound, start| {
        for hop in 0..BLOCK / HOP {
            let powers = window_of(&sound[0], start, hop);
            let sums: [f32; BANDS] = from_fn(|band| sum(&powers[band * WIDTH..][..WIDTH]));
            black_box(sums);
        }
    })
}

fn sum(values: &[f32]) -> f32 {
    let (whole, rest) = values.as_chunks::<LANES>();
    let lanes = whole.iter().fold([0f32; LANES], |sum, values| {
        from_fn(|lane| sum[lane] + values[lane])
    });
    lanes.iter().chain(rest).sum()
}

pub fn logarithms<'a>() -> Work<'a> {
    const A_HOP: usize = 12;
    Box::new(move |sound, start| {
        for hop in 0..BLOCK / HOP {
            let powers = &window_of(&sound[0], start, hop)[..A_HOP];
            let logarithms: [f64; A_HOP] = from_fn(|n| (f64::from(powers[n]).abs() + 1e-12).log10());
            black_box(logarithms);
        }
    })
}

pub fn exponentials<'a>() -> Work<'a> {
    const A_STEP: usize = 6;
    Box::new(move |sound, start| {
        for step in 0..BLOCK / STEP {
            let values = &sound[0][start + step * STEP..][..A_STEP];
            let exponentials: [f64; A_STEP] = from_fn(|n| f64::from(values[n]).exp());
            black_box(exponentials);
        }
    })
}
