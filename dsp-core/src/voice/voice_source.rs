//! Selects the voice that the threshold follows: this track's own, or the reference voice on the side-chain.

use crate::clock::timing::Timing;
use crate::settings::{FollowSettings, FollowSource};
use crate::voice::tracked_voice::TrackedVoice;

/// A reference without voice for this long counts as absent: longer than the rests within a verse.
const REFERENCE_TIMEOUT_MS: f32 = 6000.0;
/// Time constant of the glide between the two voices, so that the threshold does not jump.
const GLIDE_MS: f32 = 150.0;

/// The selected voice, and the glide from one voice to the other.
pub(crate) struct VoiceSource {
    timeout_hops: usize,
    glide_decay: f32,
    offset_lu: f32,
    lufs: f32,
    follows_reference: bool,
}

impl VoiceSource {
    pub fn new(timing: Timing) -> Self {
        Self {
            timeout_hops: timing.hops(REFERENCE_TIMEOUT_MS),
            glide_decay: timing.hop_decay(GLIDE_MS),
            offset_lu: 0.0,
            lufs: 0.0,
            follows_reference: false,
        }
    }

    pub fn reset(&mut self) {
        (self.offset_lu, self.lufs) = (0.0, 0.0);
        self.follows_reference = false;
    }

    /// Updates the voice level that the threshold follows; returns it in LUFS. The follower of `own` does not include the
    /// leveller's makeup, which is added here.
    pub fn update_hop(
        &mut self,
        own: &TrackedVoice,
        own_makeup_db: f32,
        reference: Option<&TrackedVoice>,
        settings: &FollowSettings,
    ) -> f32 {
        let reference = reference.filter(|voice| {
            settings.source == FollowSource::Reference && voice.is_present(self.timeout_hops)
        });
        let lufs = match reference {
            Some(voice) => voice.follower().lufs(),
            None if own.follower().has_voice() => own.follower().lufs() + own_makeup_db,
            // The start level is defined at the leveller's output.
            None => own.follower().lufs(),
        };
        if self.follows_reference != reference.is_some() {
            self.follows_reference = reference.is_some();
            self.offset_lu = if own.follower().has_voice() {
                self.lufs - lufs
            } else {
                0.0
            };
        }
        self.offset_lu *= self.glide_decay;
        self.lufs = lufs + self.offset_lu;
        self.lufs
    }

    /// What the glide from one voice to the other adds to the level at present, LU.
    pub fn glide_lu(&self) -> f32 {
        self.offset_lu
    }

    /// True while the threshold follows the reference voice.
    pub fn follows_reference(&self) -> bool {
        self.follows_reference
    }
}
