//! What the engine tells of itself, once a hop: plain numbers for meters, pictures and tests.

/// What a hop of the input holds. It does not depend on level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[repr(u8)]
pub enum Class {
    /// Nothing, or nothing near the level of the voice.
    #[default]
    Quiet = 0,
    /// Voiced material: vowels, nasals, liquids.
    Voice = 1,
    /// s, z, sh, zh, ch, j, the burst of t.
    Sibilant = 2,
    /// A breath.
    Breath = 3,
}

/// The state of every stage after one hop of analysis.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HopReport {
    /// Index, in samples since the last reset, of the input sample at the centre of the analysed window. The
    /// gains of this report start at this input sample or up to one lookahead before it.
    pub centre_sample: i64,
    /// What the hop holds.
    pub class: Class,
    /// Voice level at the leveller's output, LUFS: the one that the threshold follows.
    pub voice_lufs: f32,
    /// Voice level plus `Proportion`, LUFS.
    pub threshold_lufs: f32,
    /// Level of the band above `Detect from` at the leveller's output, LUFS; -120 outside sibilants.
    pub sibilance_lufs: f32,
    /// K-weighted level of the whole signal in this hop at the leveller's output, LUFS.
    pub momentary_lufs: f32,
    /// Gain of the sibilance stage in its band, dB, never positive.
    pub sibilance_gain_db: f32,
    /// Where the sibilant's own band begins, Hz, never below `Detect from`: the edge that the reduction's shelf follows.
    /// Between sibilants that of the last one.
    pub edge_hz: f32,
    /// Gain of the sibilance stage far above its edge, dB, never positive: a little deeper than in its band.
    pub sibilance_depth_db: f32,
    /// Gain of the breath stage, dB, never positive.
    pub breath_gain_db: f32,
    /// Gain of the leveller without makeup, dB, never positive; 0 when off.
    pub leveller_gain_db: f32,
    /// Gain that the leveller adds, manual and automatic makeup together, dB; 0 when off.
    pub leveller_makeup_db: f32,
    /// True while the threshold follows the voice on the side-chain.
    pub follows_reference: bool,
    /// True once any voice was heard since the last reset.
    pub voice_heard: bool,
    /// Peak of the input since the last report, linear.
    pub input_peak: f32,
    /// Peak of the output since the last report, linear.
    pub output_peak: f32,
}

/// A spectrum, borrowed from the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpectrumView<'a> {
    /// From one bin to the next, Hz; bin 0 is 0 Hz.
    pub bin_hz: f32,
    /// K-weighted mean square per bin, summed over channels, linear.
    pub powers: &'a [f32],
}
