//! Bins of a complex transform and their mirror images, four at a time, and what follows from them.

use realfft::num_complex::Complex;
use wide::f32x4;

/// SIMD width: bins per group.
pub(super) const LANES: usize = 4;

/// A group of bins and their mirror images.
pub(super) struct Mirrored {
    re: f32x4,
    im: f32x4,
    image_re: f32x4,
    image_im: f32x4,
}

impl Mirrored {
    /// Bins, and a group that ends with the mirror image of the first of them.
    pub fn new(bins: &[Complex<f32>; LANES], images: &[Complex<f32>; LANES]) -> Self {
        let ((re, im), (image_re, image_im)) = (parts(bins), parts(images));
        Self {
            re,
            im,
            image_re: reversed(image_re),
            image_im: reversed(image_im),
        }
    }

    /// The power of each bin and of its mirror image together.
    #[inline(always)]
    pub fn complex_powers(&self) -> f32x4 {
        power(self.re, self.im) + power(self.image_re, self.image_im)
    }
}

#[inline(always)]
fn power(re: f32x4, im: f32x4) -> f32x4 {
    re * re + im * im
}

/// Real and imaginary parts.
#[inline(always)]
fn parts([a, b, c, d]: &[Complex<f32>; LANES]) -> (f32x4, f32x4) {
    let ab = f32x4::new([a.re, a.im, b.re, b.im]);
    let cd = f32x4::new([c.re, c.im, d.re, d.im]);
    let (ac, bd) = (ab.unpack_lo(cd), ab.unpack_hi(cd));
    (ac.unpack_lo(bd), ac.unpack_hi(bd))
}

/// The lanes from the last to the first.
#[inline(always)]
pub(super) fn reversed(lanes: f32x4) -> f32x4 {
    let [a, b, c, d] = lanes.to_array();
    f32x4::new([d, c, b, a])
}

/// The first groups of the values below the one in the middle, and of those above it.
pub(super) fn halves<T>(values: &[T], groups: usize) -> (&[[T; LANES]], &[[T; LANES]]) {
    let middle = values.len() / 2;
    let (low, high) = (&values[..middle], &values[middle + 1..]);
    (&low.as_chunks().0[..groups], &high.as_chunks().0[..groups])
}
