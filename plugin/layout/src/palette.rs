//! Colours of the editor and of the reports: one meaning, one colour, in a light and a dark scheme. Each meaning also has its
//! own shape, so that nothing depends on colour alone: sounding voice an area, held voice a broken line, threshold a line with
//! a flag, sibilant a vertical bar, breath an open block, reduction stripes; in lanes of their own breaths are lenses and leveller gain
//! a hanging edge.

#[cfg(test)]
mod tests;

pub use ecolor::Color32;

/// The colours of a scheme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    /// Background of the page.
    pub paper: Color32,
    /// Background of menus and buttons. Pictures have none of their own.
    pub surface: Color32,
    /// Background under the pointer and of selected text.
    pub hover: Color32,
    /// Names and numbers.
    pub ink: Color32,
    /// Secondary text.
    pub secondary_ink: Color32,
    /// Edges of controls and pictures.
    pub edge: Color32,
    /// Grid lines.
    pub grid: Color32,
    /// Frame of the widget with keyboard focus.
    pub focus: Color32,
    /// Voice level.
    pub voice: Color32,
    /// Area under the voice level while voice sounds.
    pub voice_area: Color32,
    /// Adaptive threshold and its handles.
    pub threshold: Color32,
    /// Sibilants.
    pub sibilant: Color32,
    /// Reduction.
    pub reduction: Color32,
    /// Breaths.
    pub breath: Color32,
    /// Leveller gain.
    pub leveller: Color32,
    /// Warnings, which also have a mark.
    pub warning: Color32,
}

/// Dark ink on warm paper.
pub const LIGHT: Palette = Palette {
    paper: Color32::from_rgb(0xf7, 0xf3, 0xea),
    surface: Color32::from_rgb(0xfd, 0xfb, 0xf6),
    hover: Color32::from_rgb(0xe9, 0xe2, 0xd2),
    ink: Color32::from_rgb(0x1f, 0x22, 0x28),
    secondary_ink: Color32::from_rgb(0x5a, 0x57, 0x50),
    edge: Color32::from_rgb(0x80, 0x79, 0x6b),
    grid: Color32::from_rgb(0xdd, 0xd5, 0xc4),
    focus: Color32::from_rgb(0x1a, 0x4f, 0xa3),
    voice: Color32::from_rgb(0x22, 0x7a, 0x70),
    voice_area: Color32::from_rgb(0xc4, 0xdb, 0xd8),
    threshold: Color32::from_rgb(0x4a, 0x0a, 0x4a),
    sibilant: Color32::from_rgb(0xb3, 0x54, 0x0f),
    reduction: Color32::from_rgb(0x6b, 0x2c, 0x00),
    breath: Color32::from_rgb(0x3d, 0x5a, 0x9e),
    leveller: Color32::from_rgb(0x5c, 0x55, 0x2a),
    warning: Color32::from_rgb(0x9c, 0x1b, 0x1b),
};

/// Pale ink on dark paper: the same hues, each meaning recognizable in both schemes.
pub const DARK: Palette = Palette {
    paper: Color32::from_rgb(0x1f, 0x1c, 0x18),
    surface: Color32::from_rgb(0x2a, 0x26, 0x20),
    hover: Color32::from_rgb(0x3b, 0x35, 0x2c),
    ink: Color32::from_rgb(0xf2, 0xeb, 0xdd),
    secondary_ink: Color32::from_rgb(0xbd, 0xb3, 0xa1),
    edge: Color32::from_rgb(0x8f, 0x86, 0x76),
    grid: Color32::from_rgb(0x39, 0x33, 0x2b),
    focus: Color32::from_rgb(0x8f, 0xb8, 0xff),
    voice: Color32::from_rgb(0x8f, 0xd0, 0xcd),
    voice_area: Color32::from_rgb(0x26, 0x43, 0x43),
    threshold: Color32::from_rgb(0xe5, 0x8c, 0xff),
    sibilant: Color32::from_rgb(0xf0, 0x9a, 0x4a),
    reduction: Color32::from_rgb(0xff, 0xdc, 0xae),
    breath: Color32::from_rgb(0xb2, 0xc6, 0xff),
    leveller: Color32::from_rgb(0xcf, 0xc2, 0x7c),
    warning: Color32::from_rgb(0xff, 0x91, 0x84),
};

impl Palette {
    /// The scheme without the colours of the meanings: what is drawn has no effect on the sound.
    #[must_use]
    pub fn greyed(&self) -> Self {
        Self {
            voice: self.edge,
            voice_area: self.hover,
            threshold: self.secondary_ink,
            sibilant: self.edge,
            reduction: self.secondary_ink,
            breath: self.edge,
            leveller: self.edge,
            ..*self
        }
    }

    /// Text colour of something that is on, or off.
    #[must_use]
    pub fn text(&self, is_on: bool) -> Color32 {
        if is_on { self.ink } else { self.secondary_ink }
    }
}
