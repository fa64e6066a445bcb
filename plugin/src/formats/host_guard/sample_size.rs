//! Samples of 64 bits to 32 and back, in memory of the host.

use std::ffi::c_void;

/// Copies `samples` samples, of 64 bits where `wide`, to 32 bits. `to` may be `from`.
///
/// # Safety
///
/// Both hold `samples` samples of their size, aligned for it, and overlap only where they begin at the same place.
pub unsafe fn copy_narrow(from: *const c_void, wide: bool, to: *mut f32, samples: usize) {
    for index in 0..samples {
        // SAFETY: inside both; a sample of 32 bits ends before the next one of 64 begins.
        unsafe {
            *to.add(index) = if wide {
                *from.cast::<f64>().add(index) as f32
            } else {
                *from.cast::<f32>().add(index)
            };
        }
    }
}

/// Makes `samples` samples of 32 bits as many of 64, in the same memory.
///
/// # Safety
///
/// `buffer` holds `samples` samples of 64 bits and is aligned for them.
pub unsafe fn widen_in_place(buffer: *mut f32, samples: usize) {
    for index in (0..samples).rev() {
        // SAFETY: inside the buffer; from the end, a wide sample covers only narrow ones that are read already.
        unsafe {
            let sample = *buffer.add(index);
            *buffer.cast::<f64>().add(index) = f64::from(sample);
        }
    }
}
