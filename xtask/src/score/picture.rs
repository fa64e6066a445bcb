//! One case: its spectrogram with the labels above, the classes and the reduction below.

use std::ops::Range;

use anyhow::Result;
use siskin_tests::measurement::figures::detector::{Case, Hearing};
use siskin_tests::measurement::voices::corpus::Recording;

use super::spectrogram::Spectrogram;
use super::strips::{INK, PAPER, classes, labels, reduction};

/// How much is shown on either side of the case, s.
const AROUND_S: f64 = 0.3;
/// The picture, pixels: the plot begins at `LEFT`, beside it stand the axes' numbers.
const WIDTH: f64 = 870.0;
const LEFT: f64 = 76.0;
const PLOT_WIDTH: f64 = 770.0;
const LABELS: (f64, f64) = (8.0, 22.0);
const SPECTROGRAM: (f64, f64) = (32.0, 200.0);
const CLASSES: (f64, f64) = (236.0, 22.0);
const REDUCTION: (f64, f64) = (268.0, 52.0);
const HEIGHT: f64 = 356.0;

/// From samples to pixels.
pub struct Frame {
    span: Range<i64>,
}

impl Frame {
    /// Pixel of a sample; what is beyond stands at the edge.
    pub fn x(&self, sample: i64) -> f64 {
        let part = (sample - self.span.start) as f64 / (self.span.end - self.span.start) as f64;
        LEFT + PLOT_WIDTH * part.clamp(0.0, 1.0)
    }

    /// Whether any of a span is in the picture.
    pub fn shows(&self, span: Range<i64>) -> bool {
        span.start < self.span.end && span.end > self.span.start
    }

    /// The plot's left and right, pixels.
    pub fn edges(&self) -> (f64, f64) {
        (LEFT, LEFT + PLOT_WIDTH)
    }
}

/// The case as an SVG element.
///
/// # Errors
///
/// A spectrogram that cannot be encoded; none is known.
pub fn draw(recording: &Recording, hearing: &Hearing, case: &Case) -> Result<String> {
    let rate_hz = recording.sample_rate_hz;
    let around = (AROUND_S * rate_hz) as i64;
    let frame = Frame {
        span: case.span.start as i64 - around..case.span.end as i64 + around,
    };
    let (width, height) = (PLOT_WIDTH as usize, SPECTROGRAM.1 as usize);
    let spectrogram = Spectrogram::of(&recording.audio, rate_hz, &frame.span, width, height);
    let (top, bottom) = (SPECTROGRAM.0, SPECTROGRAM.0 + SPECTROGRAM.1);
    let image = format!(
        "<image x=\"{LEFT}\" y=\"{top}\" width=\"{PLOT_WIDTH}\" height=\"{}\" preserveAspectRatio=\"none\" href=\"{}\"/>",
        SPECTROGRAM.1,
        spectrogram.data_uri()?
    );
    let (left, right) = (frame.x(case.span.start as i64), frame.x(case.span.end as i64));
    let mark = format!(
        "<rect x=\"{left:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{}\" fill=\"none\" stroke=\"#8c3e14\" \
stroke-width=\"2.5\"/>",
        right - left,
        bottom - top
    );
    Ok(format!(
        "<svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" font-family=\"system-ui,sans-serif\" font-size=\"12\" fill=\"{INK}\" \
role=\"img\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"{PAPER}\"/>{image}{}{}{}{mark}{}{}</svg>",
        labels(&frame, &recording.phones, LABELS.0, LABELS.1, bottom),
        classes(
            &frame,
            &hearing.reports,
            hearing.hop_samples,
            CLASSES.0,
            CLASSES.1
        ),
        reduction(&frame, &hearing.reports, REDUCTION.0, REDUCTION.1),
        frequencies(spectrogram.top_hz),
        seconds(&frame, rate_hz),
    ))
}

/// Numbers beside the spectrogram, and the names of the strips.
fn frequencies(top_hz: f64) -> String {
    let at_khz = |khz: f64| SPECTROGRAM.0 + SPECTROGRAM.1 * (1.0 - 1e3 * khz / top_hz);
    let numbers: String = [0.0, 4.0, 8.0, 12.0, 16.0]
        .into_iter()
        .filter(|khz| 1e3 * khz <= top_hz)
        .map(|khz| left_text(at_khz(khz).max(SPECTROGRAM.0 + 8.0), &format!("{khz} kHz")))
        .collect();
    let names = [
        (LABELS.0 + 16.0, "labels"),
        (CLASSES.0 + 16.0, "heard"),
        (REDUCTION.0 + REDUCTION.1 + 18.0, "seconds"),
    ];
    let names: String = names.into_iter().map(|(y, name)| left_text(y, name)).collect();
    numbers + &names
}

fn left_text(y: f64, text: &str) -> String {
    format!(
        "<text x=\"{}\" y=\"{y:.1}\" text-anchor=\"end\">{text}</text>",
        LEFT - 6.0
    )
}

/// Tenths of a second under the picture.
fn seconds(frame: &Frame, rate_hz: f64) -> String {
    let tenth = |sample: i64| (10.0 * sample as f64 / rate_hz).ceil() as i64;
    let y = REDUCTION.0 + REDUCTION.1;
    (tenth(frame.span.start).max(0)..=tenth(frame.span.end) - 1)
        .map(|tenths| {
            let x = frame.x((tenths as f64 * rate_hz / 10.0) as i64);
            format!(
                "<path d=\"M{x:.1} {y}v5\" stroke=\"{INK}\"/><text x=\"{x:.1}\" y=\"{}\" text-anchor=\"middle\">{:.1}\
</text>",
                y + 18.0,
                tenths as f64 / 10.0
            )
        })
        .collect()
}
