//! Simulated colour blindness.

use super::Picture;

/// Which kind of cone is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Deficiency {
    /// Long waves: protanopia.
    Protan,
    /// Middle waves: deuteranopia.
    Deutan,
    /// Short waves: tritanopia.
    Tritan,
}

impl Deficiency {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Protan, Self::Deutan, Self::Tritan];

    /// Its name in file names.
    pub fn word(self) -> &'static str {
        match self {
            Self::Protan => "protan",
            Self::Deutan => "deutan",
            Self::Tritan => "tritan",
        }
    }

    /// Linear red, green and blue as seen, from linear red, green and blue as shown: severity 1.0 in table 1 of Machado,
    /// Oliveira & Fernandes 2009 (IEEE Trans. Vis. Comput. Graph. 15(6)), from memory; each row adds up to one.
    fn matrix(self) -> [[f64; 3]; 3] {
        match self {
            Self::Protan => [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ],
            Self::Deutan => [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ],
            Self::Tritan => [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ],
        }
    }
}

/// The picture as seen with a deficiency.
pub fn simulate(picture: &Picture, deficiency: Deficiency) -> Picture {
    let matrix = deficiency.matrix();
    let linear: Vec<f64> = (0..=u8::MAX).map(linear).collect();
    let seen = |pixel: &[u8]| {
        matrix.map(|row| {
            let parts = row
                .iter()
                .zip(pixel)
                .map(|(part, &value)| part * linear[usize::from(value)]);
            shown(parts.sum())
        })
    };
    Picture {
        rgb: picture.rgb.chunks_exact(3).flat_map(seen).collect(),
        ..*picture
    }
}

/// Linear light from a pixel value (IEC 61966-2-1, sRGB), 0 to 1.
fn linear(value: u8) -> f64 {
    let value = f64::from(value) / 255.0;
    if value <= 0.04045 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// Pixel value from linear light.
fn shown(light: f64) -> u8 {
    let light = light.clamp(0.0, 1.0);
    let value = if light <= 0.003_130_8 {
        12.92 * light
    } else {
        1.055 * light.powf(1.0 / 2.4) - 0.055
    };
    (255.0 * value).round() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(colour: [u8; 3], deficiency: Deficiency) -> [u8; 3] {
        let picture = Picture {
            width: 1,
            height: 1,
            rgb: colour.to_vec(),
        };
        simulate(&picture, deficiency).pixel(0, 0)
    }

    #[test]
    fn greys_stay_and_confused_colours_converge() {
        for deficiency in Deficiency::ALL {
            for grey in [0, 1, 77, 128, 254, 255] {
                let [red, green, blue] = seen([grey; 3], deficiency);
                assert!([red, green, blue].iter().all(|value| value.abs_diff(grey) <= 1));
            }
        }
        let apart = |deficiency, one: [u8; 3], other: [u8; 3]| -> u32 {
            let (one, other) = (seen(one, deficiency), seen(other, deficiency));
            one.iter()
                .zip(other)
                .map(|(one, other)| u32::from(one.abs_diff(other)))
                .sum()
        };
        // A brown and an olive of one brightness: 60 levels of red apart to most people.
        let (brown, olive) = ([170, 100, 40], [110, 125, 40]);
        assert!(apart(Deficiency::Deutan, brown, olive) < 60);
        assert!(apart(Deficiency::Tritan, brown, olive) > 60);
    }
}
