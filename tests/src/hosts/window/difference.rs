//! Visible difference of two pictures of one window.

use image_compare::prelude::RgbImage;
use image_compare::rgb_hybrid_compare;

use super::Picture;

/// Side of the tiles over which a difference is averaged, pixels: about two letters. A mean over the whole picture would not
/// show a label that has moved.
const TILE_PX: usize = 24;

/// The largest difference of two pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// In structure: one minus the structural similarity of brightness (SSIM; Wang, Bovik, Sheikh & Simoncelli 2004, from
    /// memory), 0 alike to 1, the mean over the worst tile.
    pub structure: f64,
    /// In colour: the difference of the larger of the two colour channels, 0 alike to 1, the mean over the worst tile.
    pub colour: f64,
    /// The upper left corner of the tile that differs most in structure, pixels.
    pub at: (usize, usize),
}

/// The largest difference of two pictures that look alike. Rounding on another processor, one level in every sixteenth pixel,
/// stays below; a word that has moved by two pixels or an area of a paler colour does not (`tests/tests/editor_pictures.rs`).
/// On one machine the pictures are equal bit for bit.
pub const MOST_DIFFERENT: Difference = Difference {
    structure: 0.15,
    colour: 0.03,
    at: (0, 0),
};

impl Difference {
    /// Whether the two look alike.
    pub fn is_small(&self) -> bool {
        self.structure <= MOST_DIFFERENT.structure && self.colour <= MOST_DIFFERENT.colour
    }
}

/// The difference of two pictures; `None` where they differ in size.
pub fn difference(one: &Picture, other: &Picture) -> Option<Difference> {
    let image = |picture: &Picture| RgbImage::from_raw(picture.width, picture.height, picture.rgb.clone());
    let compared = rgb_hybrid_compare(&image(one)?, &image(other)?).ok()?;
    // The first channel is one minus the similarity of structure, the two others that of colour, 255 being one.
    let map = compared.image.to_color_map().into_rgb8();
    let width = one.width as usize;
    let tiles = Tiles::of(width, one.height as usize);
    let mut worst = Difference {
        structure: 0.0,
        colour: 0.0,
        at: (0, 0),
    };
    for (x, y) in tiles.corners() {
        let pixels = tiles
            .pixels(x, y)
            .map(|(x, y)| map.get_pixel(x as u32, y as u32).0);
        let (mut structure, mut colour, mut count) = (0.0, 0.0, 0.0f64);
        for [in_structure, in_one, in_other] in pixels {
            structure += f64::from(in_structure) / 255.0;
            colour += f64::from(in_one.max(in_other)) / 255.0;
            count += 1.0;
        }
        if structure / count > worst.structure {
            worst.structure = structure / count;
            worst.at = (x, y);
        }
        worst.colour = worst.colour.max(colour / count);
    }
    Some(worst)
}

/// The tiles of a picture; those at the right and lower edge may be smaller.
struct Tiles {
    width: usize,
    height: usize,
}

impl Tiles {
    fn of(width: usize, height: usize) -> Self {
        Self { width, height }
    }

    fn corners(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let width = self.width;
        let lines = (0..self.height).step_by(TILE_PX);
        lines.flat_map(move |y| (0..width).step_by(TILE_PX).map(move |x| (x, y)))
    }

    fn pixels(&self, x: usize, y: usize) -> impl Iterator<Item = (usize, usize)> + use<> {
        let right = (x + TILE_PX).min(self.width);
        let bottom = (y + TILE_PX).min(self.height);
        (y..bottom).flat_map(move |y| (x..right).map(move |x| (x, y)))
    }
}
