//! The adaptive threshold, the central idea of Siskin: the threshold is the level of the voice plus Proportion.
//!
//! A sibilant is judged by how far it exceeds the voice that is being sung, and not by its absolute level. A soft
//! passage and a loud one are therefore treated alike with one setting. Breaths follow the same rule with a Proportion
//! of their own.

/// The threshold for one hop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AdaptiveThreshold {
    /// Loudness of the voice, LUFS.
    pub voice_lufs: f32,
    /// How far a sound may lie above the voice (negative: must stay below it), LU.
    pub proportion_lu: f32,
}

impl AdaptiveThreshold {
    /// The loudness above which a sound is reduced, LUFS.
    pub fn lufs(&self) -> f32 {
        self.voice_lufs + self.proportion_lu
    }

    /// By how much a sound of `level_lufs` exceeds the threshold, LU; negative below it.
    pub fn excess_lu(&self, level_lufs: f32) -> f32 {
        level_lufs - self.voice_lufs - self.proportion_lu
    }
}
