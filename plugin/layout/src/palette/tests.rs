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

/// Every scheme, and its name.
fn schemes() -> [(&'static str, Palette); 4] {
    [
        ("light", LIGHT),
        ("dark", DARK),
        ("light, greyed", LIGHT.greyed()),
        ("dark, greyed", DARK.greyed()),
    ]
}

#[test]
fn text_has_a_contrast_of_4_5_on_every_background() {
    let readable = |scheme: &str, name: &str, text: Color32, ground: Color32| {
        let ratio = contrast(text, ground);
        assert!(ratio >= 4.5, "{scheme}: {name} on {ground:?}: {ratio:.2}");
    };
    for (scheme, colours) in schemes() {
        let Palette { paper, surface, .. } = colours;
        for ground in [paper, surface, colours.hover, colours.voice_area] {
            readable(scheme, "ink", colours.ink, ground);
            readable(scheme, "secondary ink", colours.secondary_ink, ground);
            readable(scheme, "threshold", colours.threshold, ground);
        }
        for ground in [paper, surface] {
            readable(scheme, "warning", colours.warning, ground);
            readable(scheme, "reduction", colours.reduction, ground);
        }
        readable(scheme, "selected button", paper, colours.ink);
        readable(scheme, "flag", surface, colours.threshold);
    }
}

#[test]
fn lines_and_marks_have_a_contrast_of_3() {
    for (scheme, colours) in schemes() {
        let Palette { paper, surface, .. } = colours;
        for ground in [paper, surface, colours.voice_area] {
            for (name, mark) in [
                ("edge", colours.edge),
                ("focus", colours.focus),
                ("voice", colours.voice),
                ("threshold", colours.threshold),
                ("sibilant", colours.sibilant),
                ("reduction", colours.reduction),
                ("breath", colours.breath),
                ("leveller", colours.leveller),
                ("warning", colours.warning),
            ] {
                // Edges are drawn on the page and on surfaces only.
                if name == "edge" && ground == colours.voice_area {
                    continue;
                }
                let ratio = contrast(mark, ground);
                assert!(ratio >= 3.0, "{scheme}: {name} on {ground:?}: {ratio:.2}");
            }
        }
    }
}

#[test]
fn greyed_pictures_have_one_hue() {
    for scheme in [LIGHT, DARK] {
        let greyed = scheme.greyed();
        for mark in [
            greyed.voice,
            greyed.voice_area,
            greyed.threshold,
            greyed.sibilant,
            greyed.reduction,
            greyed.breath,
            greyed.leveller,
        ] {
            let of_the_page = [scheme.edge, scheme.hover, scheme.secondary_ink];
            assert!(of_the_page.contains(&mark), "{mark:?}");
        }
        assert_eq!(
            (greyed.ink, greyed.paper, greyed.warning),
            (scheme.ink, scheme.paper, scheme.warning)
        );
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
    for (scheme, colours) in [("light", LIGHT), ("dark", DARK)] {
        for (deficiency, matrix) in &DEFICIENCIES {
            for (one, other, least, pair) in [
                // Two lines that run side by side: by far more than areas.
                (colours.threshold, colours.voice, 30.0, "threshold and voice"),
                (
                    colours.threshold,
                    colours.sibilant,
                    10.0,
                    "threshold and sibilant",
                ),
                (
                    colours.sibilant,
                    colours.voice_area,
                    10.0,
                    "sibilant and the voice's area",
                ),
                (
                    colours.sibilant,
                    colours.reduction,
                    10.0,
                    "sibilant and reduction",
                ),
                (colours.sibilant, colours.voice, 10.0, "sibilant and voice"),
                (
                    colours.threshold,
                    colours.voice_area,
                    10.0,
                    "threshold and the voice's area",
                ),
                (colours.breath, colours.paper, 10.0, "breath and paper"),
                (colours.breath, colours.threshold, 10.0, "breath and threshold"),
                (colours.breath, colours.reduction, 10.0, "breath and reduction"),
                (colours.breath, colours.sibilant, 10.0, "breath and sibilant"),
                (
                    colours.breath,
                    colours.voice_area,
                    10.0,
                    "breath and the voice's area",
                ),
                (colours.leveller, colours.paper, 10.0, "leveller and paper"),
                (
                    colours.voice_area,
                    colours.paper,
                    10.0,
                    "the voice's area and the paper",
                ),
            ] {
                let apart = difference(one, other, matrix);
                assert!(apart >= least, "{scheme}: {pair}, {deficiency}: {apart:.1}");
            }
        }
    }
}
