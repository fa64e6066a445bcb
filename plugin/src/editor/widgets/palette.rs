//! Colours: dark ink on warm paper, one colour per meaning. Each meaning also has its own shape, so that nothing depends on
//! colour alone: voice an area, threshold a line with a flag, sibilant a vertical bar, reduction stripes, breath a lens and
//! leveller gain a hanging edge in lanes of their own.

use egui::Color32;

/// Background of the page.
pub const PAPER: Color32 = Color32::from_rgb(0xf7, 0xf3, 0xea);
/// Background of menus and buttons. Pictures have none of their own.
pub const SURFACE: Color32 = Color32::from_rgb(0xfd, 0xfb, 0xf6);
/// Background under the pointer and of selected text.
pub const HOVER: Color32 = Color32::from_rgb(0xe9, 0xe2, 0xd2);
/// Names and numbers.
pub const INK: Color32 = Color32::from_rgb(0x1f, 0x22, 0x28);
/// Secondary text.
pub const SECONDARY_INK: Color32 = Color32::from_rgb(0x5a, 0x57, 0x50);
/// Edges of controls and pictures.
pub const EDGE: Color32 = Color32::from_rgb(0x80, 0x79, 0x6b);
/// Grid lines.
pub const GRID: Color32 = Color32::from_rgb(0xdd, 0xd5, 0xc4);
/// Frame of the widget with keyboard focus.
pub const FOCUS: Color32 = Color32::from_rgb(0x1a, 0x4f, 0xa3);
/// Voice level.
pub const VOICE: Color32 = Color32::from_rgb(0x2f, 0x6f, 0x73);
/// Area under the voice level while voice sounds.
pub const VOICE_AREA: Color32 = Color32::from_rgb(0xc4, 0xdb, 0xd8);
/// Area under the voice level while it is held.
pub const VOICE_HELD: Color32 = Color32::from_rgb(0xe4, 0xec, 0xe6);
/// Adaptive threshold and its handles.
pub const THRESHOLD: Color32 = Color32::from_rgb(0x6a, 0x12, 0x4a);
/// Sibilants.
pub const SIBILANT: Color32 = Color32::from_rgb(0xb3, 0x54, 0x0f);
/// Reduction.
pub const REDUCTION: Color32 = Color32::from_rgb(0x6b, 0x2c, 0x00);
/// Breaths.
pub const BREATH: Color32 = Color32::from_rgb(0x3d, 0x5a, 0x9e);
/// Leveller gain.
pub const LEVELLER: Color32 = Color32::from_rgb(0x5c, 0x55, 0x2a);
/// Warnings, which also have a mark.
pub const WARNING: Color32 = Color32::from_rgb(0x9c, 0x1b, 0x1b);

#[cfg(test)]
mod tests {
    use super::*;

    /// Linear light of a colour (sRGB transfer of WCAG 2.2, "relative luminance").
    fn linear(colour: Color32) -> [f64; 3] {
        [colour.r(), colour.g(), colour.b()].map(|value| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// Relative luminance (WCAG 2.2).
    fn luminance(colour: Color32) -> f64 {
        let [red, green, blue] = linear(colour);
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    }

    /// Contrast ratio (WCAG 2.2).
    fn contrast(one: Color32, other: Color32) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn contrast_matches_the_standard() {
        assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
        // #777777 on white is the textbook case that just fails 4.5: 4.48.
        assert!((contrast(Color32::from_rgb(0x77, 0x77, 0x77), Color32::WHITE) - 4.48).abs() < 0.01);
    }

    #[test]
    fn text_has_a_contrast_of_4_5_on_every_background() {
        for ground in [PAPER, SURFACE, HOVER, VOICE_AREA, VOICE_HELD] {
            for (name, text) in [("ink", INK), ("faint", SECONDARY_INK), ("threshold", THRESHOLD)] {
                let ratio = contrast(text, ground);
                assert!(ratio >= 4.5, "{name} on {ground:?}: {ratio:.2}");
            }
        }
        for (name, text) in [("warning", WARNING), ("voice", VOICE), ("reduction", REDUCTION)] {
            for ground in [PAPER, SURFACE] {
                let ratio = contrast(text, ground);
                assert!(ratio >= 4.5, "{name} on {ground:?}: {ratio:.2}");
            }
        }
        assert!(contrast(PAPER, INK) >= 4.5 && contrast(SURFACE, THRESHOLD) >= 4.5);
    }

    #[test]
    fn lines_and_marks_have_a_contrast_of_3() {
        for ground in [PAPER, SURFACE, VOICE_AREA, VOICE_HELD] {
            for (name, mark) in [
                ("edge", EDGE),
                ("focus", FOCUS),
                ("voice", VOICE),
                ("threshold", THRESHOLD),
                ("sibilant", SIBILANT),
                ("reduction", REDUCTION),
                ("breath", BREATH),
                ("leveller", LEVELLER),
                ("warning", WARNING),
            ] {
                // Edges are drawn on the page and on surfaces only.
                if name == "edge" && ![PAPER, SURFACE].contains(&ground) {
                    continue;
                }
                let ratio = contrast(mark, ground);
                assert!(ratio >= 3.0, "{name} on {ground:?}: {ratio:.2}");
            }
        }
    }

    /// Severe (1.0) deficiencies: Machado, Oliveira & Fernandes 2009, IEEE TVCG 15(6), table 1; applied to linear light.
    const DEFICIENCIES: [(&str, [[f64; 3]; 3]); 4] = [
        ("none", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        (
            "protan",
            [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
        ),
        (
            "deutan",
            [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
        ),
        (
            "tritan",
            [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        ),
    ];

    /// CIE L*a*b* (D65) of linear sRGB, as seen with a deficiency.
    fn lab(colour: Color32, matrix: &[[f64; 3]; 3]) -> [f64; 3] {
        let times = |matrix: &[[f64; 3]; 3], vector: [f64; 3]| {
            matrix.map(|row| row.iter().zip(vector).map(|(a, b)| a * b).sum::<f64>())
        };
        let seen = times(matrix, linear(colour)).map(|value| value.clamp(0.0, 1.0));
        // IEC 61966-2-1, D65 white.
        let xyz = times(
            &[
                [0.4124, 0.3576, 0.1805],
                [0.2126, 0.7152, 0.0722],
                [0.0193, 0.1192, 0.9505],
            ],
            seen,
        );
        let white = [0.9505, 1.0, 1.089];
        let [x, y, z] = [0, 1, 2].map(|axis| {
            let ratio: f64 = xyz[axis] / white[axis];
            if ratio > 0.008_856 {
                ratio.cbrt()
            } else {
                7.787 * ratio + 16.0 / 116.0
            }
        });
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn difference(one: Color32, other: Color32, matrix: &[[f64; 3]; 3]) -> f64 {
        let (one, other) = (lab(one, matrix), lab(other, matrix));
        one.iter()
            .zip(other)
            .map(|(a, b)| (a - b).powi(2))
            .sum::<f64>()
            .sqrt()
    }

    #[test]
    fn colours_that_meet_differ_for_colour_blind_eyes() {
        // CIE 1976: 2.3 is just noticeable; 10 is told apart at a glance (common practice, no source).
        for (deficiency, matrix) in &DEFICIENCIES {
            for (one, other, pair) in [
                (THRESHOLD, VOICE, "threshold and voice"),
                (THRESHOLD, SIBILANT, "threshold and sibilant"),
                (SIBILANT, VOICE_AREA, "sibilant and the voice's area"),
                (SIBILANT, REDUCTION, "sibilant and reduction"),
                (SIBILANT, VOICE, "sibilant and voice"),
                (THRESHOLD, VOICE_AREA, "threshold and the voice's area"),
                (BREATH, PAPER, "breath and paper"),
                (LEVELLER, PAPER, "leveller and paper"),
                (VOICE_AREA, PAPER, "the voice's area and the paper"),
            ] {
                let apart = difference(one, other, matrix);
                assert!(apart >= 10.0, "{pair}, {deficiency}: {apart:.1}");
            }
        }
    }
}
