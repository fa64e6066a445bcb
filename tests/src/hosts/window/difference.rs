//! Visible difference of two pictures of one window.

use image_compare::prelude::RgbImage;
use image_compare::rgb_hybrid_compare;

use super::Picture;

/// Side of the tiles over which a difference is averaged, pixels: about two letters. A mean over the whole picture would not
/// show a label that has moved.
const TILE_PX: u32 = 24;

/// The largest difference of two pictures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Difference {
    /// In structure: one minus the structural similarity of brightness (SSIM; Wang, Bovik, Sheikh & Simoncelli 2004, from
    /// memory), 0 alike to 1, the mean over the worst tile.
    pub structure: f64,
    /// In colour: the difference of the larger of the two colour channels, 0 alike to 1, the mean over the worst tile.
    pub colour: f64,
    /// The upper left corner of the tile that differs most in structure, pixels.
    pub at: (u32, u32),
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
    let (width, height) = map.dimensions();
    // Those at the right and lower edge may be smaller.
    let lines = (0..height).step_by(TILE_PX as usize);
    let corners = lines.flat_map(|y| (0..width).step_by(TILE_PX as usize).map(move |x| (x, y)));
    let mut worst = Difference::default();
    for (left, top) in corners {
        let (right, bottom) = ((left + TILE_PX).min(width), (top + TILE_PX).min(height));
        let (mut structure, mut colour) = (0.0, 0.0);
        for (x, y) in (top..bottom).flat_map(|y| (left..right).map(move |x| (x, y))) {
            let [in_structure, in_one, in_other] = map.get_pixel(x, y).0;
            structure += f64::from(in_structure) / 255.0;
            colour += f64::from(in_one.max(in_other)) / 255.0;
        }
        let count = f64::from((right - left) * (bottom - top));
        if structure / count > worst.structure {
            worst.structure = structure / count;
            worst.at = (left, top);
        }
        worst.colour = worst.colour.max(colour / count);
    }
    Some(worst)
}
