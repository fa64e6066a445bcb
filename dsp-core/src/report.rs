//! The report of the engine after each hop: plain numbers for meters, pictures and tests.

/// The class of a hop of the input. It does not depend on the input level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[repr(u8)]
pub enum Class {
    /// Silence or background noise.
    #[default]
    Quiet = 0,
    /// Voiced sound: vowels, nasals, liquids.
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
    /// The class of the hop.
    pub class: Class,
    /// Level of the voice that the threshold follows, at the leveller's output, LUFS.
    pub voice_lufs: f32,
    /// The adaptive threshold: voice level plus `Proportion`, LUFS.
    pub threshold_lufs: f32,
    /// Level of the band above `Detect from` at the leveller's output, LUFS; -120 outside sibilants.
    pub sibilance_lufs: f32,
    /// Level of the whole signal in this hop at the leveller's output, LUFS.
    pub level_lufs: f32,
    /// Gain of the sibilance stage in the band above `Detect from`, dB, 0 or negative.
    pub sibilance_gain_db: f32,
    /// Lower edge of the current or the last sibilant, which the shelf follows, Hz; never below `Detect from`.
    pub edge_hz: f32,
    /// Gain of the sibilance stage far above the edge, dB, 0 or negative: a little lower than in the band.
    pub sibilance_shelf_gain_db: f32,
    /// True while the hop belongs to a breath that is confirmed, whether the breath stage is on or off: what Part splits by.
    pub is_breath: bool,
    /// Gain of the breath stage, dB, 0 or negative.
    pub breath_gain_db: f32,
    /// Gain of the leveller without makeup, dB, 0 or negative; 0 when off.
    pub leveller_gain_db: f32,
    /// Manual and automatic makeup of the leveller together, dB; 0 when off.
    pub leveller_makeup_db: f32,
    /// True while the threshold follows the voice on the side-chain.
    pub follows_reference: bool,
    /// True once a voice was detected since the last reset.
    pub voice_detected: bool,
    /// Peak of the input since the last report, linear.
    pub input_peak: f32,
    /// Peak of the output since the last report, linear.
    pub output_peak: f32,
}

/// A spectrum, borrowed from the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpectrumView<'a> {
    /// Width of a bin, Hz; bin 0 is 0 Hz.
    pub bin_hz: f32,
    /// K-weighted mean square per bin from 0 Hz to Nyquist, summed over channels, linear.
    pub powers: &'a [f32],
}
