//! How long a state is, for the framework makes room for all of a stream.

use nice_plug::wrapper::vst3::vst3::ComRef;
use nice_plug::wrapper::vst3::vst3::Steinberg::IBStream_::IStreamSeekMode_;
use nice_plug::wrapper::vst3::vst3::Steinberg::{IBStream, IBStreamTrait, kResultOk};

use crate::formats::MOST_STATE_BYTES;

/// Whether what is left of a host's stream is short enough for a state; leaves the stream where it was.
///
/// # Safety
///
/// `stream` is null or valid.
pub unsafe fn is_short_enough(stream: *mut IBStream) -> bool {
    // SAFETY: the caller's promise.
    let Some(stream) = (unsafe { ComRef::from_raw(stream) }) else {
        return false;
    };
    let (mut start, mut end) = (0, 0);
    // SAFETY: there is room for the answers.
    let results = unsafe {
        [
            stream.tell(&raw mut start),
            stream.seek(0, IStreamSeekMode_::kIBSeekEnd as i32, &raw mut end),
            stream.seek(start, IStreamSeekMode_::kIBSeekSet as i32, std::ptr::null_mut()),
        ]
    };
    let length = u64::try_from(end - start);
    results == [kResultOk; 3] && length.is_ok_and(|length| length <= MOST_STATE_BYTES)
}
