//! A stream in memory, as a plug-in reads and writes its state.

use std::ffi::c_void;
use std::sync::{Arc, Mutex, MutexGuard};

use vst3::Class;
use vst3::Steinberg::{
    IBStream, IBStream_::IStreamSeekMode_, IBStreamTrait, int32, int64, kInvalidArgument, kResultOk, tresult,
};

use crate::lock;
use crate::rules::{HostRules, Rule};

/// Where a new position is counted from. The bindings number these with or without a sign, as each system's compiler does.
const FROM_CURRENT: u32 = IStreamSeekMode_::kIBSeekCur as u32;
const FROM_END: u32 = IStreamSeekMode_::kIBSeekEnd as u32;

/// Bytes and a position in them, for a call on the UI thread.
pub struct Stream {
    rules: Arc<HostRules>,
    content: Mutex<(Vec<u8>, usize)>,
}

impl Class for Stream {
    type Interfaces = (IBStream,);
}

impl Stream {
    /// A stream that holds `bytes`, at its start.
    pub fn new(bytes: &[u8], rules: &Arc<HostRules>) -> Self {
        Self {
            rules: Arc::clone(rules),
            content: Mutex::new((bytes.to_vec(), 0)),
        }
    }

    /// What it holds.
    pub fn bytes(&self) -> Vec<u8> {
        self.lock("").0.clone()
    }

    /// The content, for the callback `name`.
    fn lock(&self, name: &str) -> MutexGuard<'_, (Vec<u8>, usize)> {
        if !name.is_empty() {
            self.rules.check(name, Rule::MainThread);
        }
        lock(&self.content)
    }
}

impl IBStreamTrait for Stream {
    unsafe fn read(&self, buffer: *mut c_void, wanted: int32, read: *mut int32) -> tresult {
        let mut stream = self.lock("IBStream::read");
        let (bytes, at) = &mut *stream;
        let count = usize::try_from(wanted).unwrap_or(0).min(bytes.len() - *at);
        // SAFETY: VST3 has the plug-in pass room for `wanted` bytes, and null for a count that it does not want.
        unsafe {
            std::ptr::copy_nonoverlapping(bytes[*at..].as_ptr(), buffer.cast(), count);
            if let Some(read) = read.as_mut() {
                *read = count as int32;
            }
        }
        *at += count;
        kResultOk
    }

    unsafe fn write(&self, buffer: *mut c_void, length: int32, written: *mut int32) -> tresult {
        let Ok(count) = usize::try_from(length) else {
            return kInvalidArgument;
        };
        // SAFETY: VST3 has the plug-in pass `length` bytes.
        let from = unsafe { std::slice::from_raw_parts(buffer.cast::<u8>(), count) };
        let mut stream = self.lock("IBStream::write");
        let (bytes, at) = &mut *stream;
        bytes.truncate(*at);
        bytes.extend_from_slice(from);
        *at += count;
        // SAFETY: VST3 has the plug-in pass room for the answer, or null.
        if let Some(written) = unsafe { written.as_mut() } {
            *written = length;
        }
        kResultOk
    }

    unsafe fn seek(&self, position: int64, mode: int32, result: *mut int64) -> tresult {
        let mut stream = self.lock("IBStream::seek");
        let (bytes, at) = &mut *stream;
        let from = match mode as u32 {
            FROM_CURRENT => *at,
            FROM_END => bytes.len(),
            _ => 0,
        };
        let Some(to) = usize::try_from(from as int64 + position)
            .ok()
            .filter(|&to| to <= bytes.len())
        else {
            return kInvalidArgument;
        };
        *at = to;
        // SAFETY: VST3 has the plug-in pass room for the answer, or null.
        if let Some(result) = unsafe { result.as_mut() } {
            *result = to as int64;
        }
        kResultOk
    }

    unsafe fn tell(&self, position: *mut int64) -> tresult {
        let at = self.lock("IBStream::tell").1;
        // SAFETY: VST3 has the plug-in pass room for the answer, or null.
        match unsafe { position.as_mut() } {
            Some(position) => {
                *position = at as int64;
                kResultOk
            }
            None => kInvalidArgument,
        }
    }
}
