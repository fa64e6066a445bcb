//! What is read from a voice, one by one.

/// One kind of reading, with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Samples that differ from the delayed input where nothing is to be done.
    IdentityDiffering,
    /// Power of what an input gain changes beyond that gain, dB re the output.
    InvarianceResidual,
    /// Level of a sibilant against what the stage's own threshold asks, LU.
    OwnError,
    /// The same over the whole of each label of a recording, whether its sibilant sounds or not, LU.
    OwnErrorWholeLabel,
    /// Proportion of a sibilant against what the labelled vowels around it ask, LU.
    OutsideError,
    /// The error from outside of a stage that knows the labels and looks 400 ms back, LU.
    KnownBackError,
    /// The same of one that looks 300 ms ahead too, LU.
    KnownBothSidesError,
    /// Change of a labelled vowel's 10 ms hop, dB.
    VowelChange,
    /// Proportion of a sibilant with 300 ms of lookahead against what the labelled vowels around it ask, LU.
    MixingError,
    /// Change of a labelled vowel's 10 ms hop with 300 ms of lookahead, dB.
    MixingVowelChange,
    /// Reduction after a start anywhere less that of a run from the top, 300 ms of lookahead, dB.
    MixingStartDifference,
    /// Reduction at another sample rate less that at 48 kHz, 300 ms of lookahead, dB.
    MixingRateDifference,
    /// Share of the reduction 1 ms after the onset, 300 ms of lookahead, percent.
    MixingOnsetStanding,
    /// Reduction 20 ms after the end, 300 ms of lookahead, dB.
    MixingOnsetLeft,
    /// Reduction of a sibilant against a run from the top, started elsewhere, in a host that reports its position, dB.
    StartDifference,
    /// The same in a host that reports no position, dB.
    NoPositionStartDifference,
    /// The same after a jump without a reset, dB.
    SeekDifference,
    /// The same with the start level wrong by 12 dB, dB.
    StartLevelDifference,
    /// The same after five seconds of bypass, dB.
    BypassDifference,
    /// Reduction of a sibilant in passes 3 to 10 of a loop against pass 2, in a host that reports its position, dB.
    LoopDifference,
    /// The same in a host that reports no position, dB.
    NoPositionLoopDifference,
    /// Power of what differs between passes 3 to 10 of a loop and pass 2, dB re pass 2.
    LoopResidual,
    /// Samples that differ where the blocks do.
    BlockDiffering,
    /// Measured reduction of a sibilant against the run at 48 kHz, dB.
    RateDifference,
    /// Samples and reports that differ after a reset.
    ResetDiffering,
    /// Samples that differ between two bounces.
    BounceDiffering,
    /// Reported reduction beyond Range, dB; negative within.
    ReportedBeyondRange,
    /// Measured reduction beyond Range, dB; negative within.
    MeasuredBeyondRange,
    /// How far the mean reduction of a sibilant exceeds its mean excess over the threshold, dB; negative within.
    BelowThreshold,
    /// Share of the reduction reached 1 ms after an onset whose rise is cut out, percent.
    OnsetStanding,
    /// Reduction left 20 ms after the end, dB.
    OnsetLeft,
    /// Proportion of a sibilant after a jump of level, without a rest, against what the new vowels ask, LU.
    SectionError,
    /// The same with a rest between.
    SectionRestError,
    /// Reduction of a sibilant after a jump of level against the same phrases without the jump, dB.
    SectionDifference,
    /// Measured reduction beyond Range in the first 300 ms of a section, dB; negative within.
    SectionBeyondRange,
    /// Measured boost in the first 300 ms of a section, dB; negative is a reduction.
    SectionBoost,
    /// Sibilants of a double, its own level moved, against what the lead's voice asks, LU.
    DoubleError,
    /// Sibilants of a backing stack, its own level moved, against what the lead's voice asks, LU.
    StackError,
    /// Breaths of a breath track, its own level moved, against what the lead's voice asks, LU.
    BreathError,
    /// Samples that differ between an unconnected side-chain and none.
    UnconnectedDiffering,
    /// Largest step of the voice level from hop to hop where the source changes, LU.
    FallbackVoiceStep,
    /// Largest step of the gain from hop to hop where the source changes, less the largest within the track's other
    /// sibilants, dB.
    FallbackGainStep,
    /// Change of a sibilant's level where the side-chain is 10 ms early or late, LU.
    Misaligned10Ms,
    /// The same by 50 ms.
    Misaligned50Ms,
}
