//! A spectrogram as a PNG in a data URI.

use std::ops::Range;

use anyhow::Result;
use base64::prelude::{BASE64_STANDARD, Engine};
use siskin_tests::measurement::levels::FrameTransform;

/// The most that is shown, Hz: sibilants have little beyond.
const HIGHEST_HZ: f64 = 16_000.0;
/// Length of a frame, s: short enough to show a burst, long enough to part low harmonics from hiss.
const FRAME_S: f64 = 0.008;
/// Between the loudest that is shown, black, and the paper, dB.
const RANGE_DB: f64 = 70.0;
/// Shades: few, so that the file is small.
const SHADES: f64 = 32.0;

/// Black on white, time from left to right, frequency from the bottom up.
#[derive(Debug, Clone)]
pub struct Spectrogram {
    pub width: usize,
    pub height: usize,
    /// One value a pixel, 0 black, row by row from the top.
    pub pixels: Vec<u8>,
}

impl Spectrogram {
    /// Frequency at the top, Hz.
    pub fn top_hz(sample_rate_hz: f64) -> f64 {
        HIGHEST_HZ.min(sample_rate_hz / 2.0)
    }

    /// Of a span of samples, which may reach beyond the sound on either side.
    pub fn of(audio: &[f32], sample_rate_hz: f64, span: &Range<i64>, width: usize, height: usize) -> Self {
        let top_hz = Self::top_hz(sample_rate_hz);
        let (transform, length) = transform(sample_rate_hz);
        let columns: Vec<Vec<f64>> = (0..width)
            .map(|column| {
                let part = (column as f64 + 0.5) / width as f64;
                let centre = span.start + (part * (span.end - span.start) as f64) as i64;
                levels_db(&transform, audio, centre)
            })
            .collect();
        let loudest_db = columns.iter().flatten().copied().fold(f64::MIN, f64::max);
        let top_bin = top_hz / sample_rate_hz * length as f64;
        let mut pixels = Vec::with_capacity(width * height);
        for row in 0..height {
            let bin = (1.0 - (row as f64 + 0.5) / height as f64) * top_bin;
            pixels.extend(
                columns
                    .iter()
                    .map(|levels_db| shade(at(levels_db, bin) - loudest_db)),
            );
        }
        Self {
            width,
            height,
            pixels,
        }
    }

    /// As a PNG, encoded for the page.
    pub fn data_uri(&self) -> Result<String> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        encoder.write_header()?.write_image_data(&self.pixels)?;
        Ok(format!("data:image/png;base64,{}", BASE64_STANDARD.encode(file)))
    }
}

/// The transform: four frames long, so that neighbouring pixels differ smoothly.
fn transform(sample_rate_hz: f64) -> (FrameTransform, usize) {
    let frame_length = (FRAME_S * sample_rate_hz) as usize;
    let length = (4 * frame_length).next_power_of_two();
    (FrameTransform::new(frame_length, length), length)
}

/// Level of each bin of the frame about a sample, dB.
fn levels_db(transform: &FrameTransform, audio: &[f32], centre: i64) -> Vec<f64> {
    let start = centre - transform.frame_length() as i64 / 2;
    let sample = |n: usize| {
        let index = usize::try_from(start + n as i64).ok();
        index.and_then(|index| audio.get(index)).copied().unwrap_or(0.0)
    };
    let frame: Vec<f32> = (0..transform.frame_length()).map(sample).collect();
    let powers = transform.powers(&frame).into_iter();
    powers
        .map(|power| 10.0 * (power + f64::MIN_POSITIVE).log10())
        .collect()
}

/// The level at a bin and a fraction.
fn at(levels_db: &[f64], bin: f64) -> f64 {
    let low = (bin as usize).min(levels_db.len() - 1);
    let high = (low + 1).min(levels_db.len() - 1);
    levels_db[low] + (bin - low as f64) * (levels_db[high] - levels_db[low])
}

/// 0 is black, for 0 dB; 255 is white, from `RANGE_DB` below.
fn shade(level_db: f64) -> u8 {
    let part = (-level_db / RANGE_DB).clamp(0.0, 1.0);
    ((part * (SHADES - 1.0)).round() * 255.0 / (SHADES - 1.0)) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_tests::measurement::voices::signals::sine;

    #[test]
    fn a_tone_is_a_line_at_its_height_while_it_sounds() {
        let rate_hz = 48_000.0;
        let audio = sine(8000.0, rate_hz, 4800);
        let picture = Spectrogram::of(&audio, rate_hz, &(-4800..9600), 90, 64);
        let pixel = |column: usize, row: usize| picture.pixels[row * picture.width + column];
        assert_eq!(Spectrogram::top_hz(rate_hz), 16_000.0);
        assert!(pixel(45, 32) < 50, "{}", pixel(45, 32));
        assert_eq!([pixel(45, 5), pixel(45, 60)], [255, 255]);
        assert_eq!([pixel(10, 32), pixel(80, 32)], [255, 255]);
        assert!(
            picture
                .data_uri()
                .unwrap()
                .starts_with("data:image/png;base64,iVBOR")
        );
    }
}
