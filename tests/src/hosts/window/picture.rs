//! A picture of the screen.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::ops::Range;
use std::path::Path;

use anyhow::{Context, bail};
use siskin_editor_layout::palette::Color32;

/// Red, green and blue of each pixel, line by line from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Pixels of a line.
    pub width: u32,
    /// Lines.
    pub height: u32,
    /// Three bytes a pixel.
    pub rgb: Vec<u8>,
}

impl Picture {
    /// From the pixels of a 24-bit screen: blue, green, red, unused.
    pub(super) fn from_blue_green_red_pad(width: u32, height: u32, data: &[u8]) -> Self {
        let rgb = data
            .chunks_exact(4)
            .flat_map(|pixel| [pixel[2], pixel[1], pixel[0]]);
        Self {
            width,
            height,
            rgb: rgb.collect(),
        }
    }

    /// The colour of a pixel.
    pub fn pixel(&self, x: u32, y: u32) -> [u8; 3] {
        let at = 3 * (y * self.width + x) as usize;
        [self.rgb[at], self.rgb[at + 1], self.rgb[at + 2]]
    }

    /// A part of it.
    pub fn cut(&self, across: Range<u32>, down: Range<u32>) -> Self {
        let line = |y: u32| across.clone().flat_map(move |x| self.pixel(x, y));
        Self {
            width: across.len() as u32,
            height: down.len() as u32,
            rgb: down.clone().flat_map(line).collect(),
        }
    }

    /// Fraction of its pixels that have exactly this colour, 0 to 1.
    pub fn share_of(&self, colour: Color32) -> f64 {
        let [red, green, blue, _] = colour.to_array();
        let colour = [red, green, blue];
        let alike = self.rgb.chunks_exact(3).filter(|pixel| *pixel == colour).count();
        3.0 * alike as f64 / self.rgb.len().max(1) as f64
    }

    /// Reads a PNG of eight bits a channel, without transparency.
    pub fn read(path: &Path) -> anyhow::Result<Self> {
        let failed = || path.display().to_string();
        let file = File::open(path).with_context(failed)?;
        let mut decoder = png::Decoder::new(BufReader::new(file));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().with_context(failed)?;
        let mut rgb = vec![0; reader.output_buffer_size().unwrap_or(0)];
        let frame = reader.next_frame(&mut rgb).with_context(failed)?;
        if frame.color_type != png::ColorType::Rgb {
            bail!("{}: not a picture in red, green and blue", path.display());
        }
        rgb.truncate(frame.buffer_size());
        Ok(Self {
            width: frame.width,
            height: frame.height,
            rgb,
        })
    }

    /// Writes a PNG.
    pub fn write(&self, path: &Path) -> anyhow::Result<()> {
        let failed = || path.display().to_string();
        let file = File::create(path).with_context(failed)?;
        let mut encoder = png::Encoder::new(BufWriter::new(file), self.width, self.height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        let written = encoder
            .write_header()
            .and_then(|mut writer| writer.write_image_data(&self.rgb));
        written.with_context(failed)
    }
}
