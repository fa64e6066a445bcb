//! The framework's `state` extension, which gets no state that is too large: it makes room for what a state says it is.

use std::cell::Cell;
use std::ffi::c_void;

use clap_sys::ext::state::{CLAP_EXT_STATE, clap_plugin_state};
use clap_sys::plugin::clap_plugin;
use clap_sys::stream::{clap_istream, clap_ostream};

use super::instance::Instance;
use crate::formats::MOST_STATE_BYTES;

/// Bytes of the length with which the framework begins a state.
const PREFIX_BYTES: usize = 8;

/// What a host gets in place of the framework's.
pub static EXTENSION: clap_plugin_state = clap_plugin_state {
    save: Some(save),
    load: Some(load),
};

/// The framework's extension of the insert that a host calls.
unsafe fn framework(plugin: *const clap_plugin) -> Option<&'static clap_plugin_state> {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert; the framework's extension is a static.
    unsafe {
        let instance = Instance::of(plugin)?;
        let extension = instance.framework.get_extension?(plugin, CLAP_EXT_STATE.as_ptr());
        extension.cast::<clap_plugin_state>().as_ref()
    }
}

/// \[main-thread\]
unsafe extern "C" fn save(plugin: *const clap_plugin, stream: *const clap_ostream) -> bool {
    // SAFETY: the host's arguments, for the same function of the framework.
    unsafe {
        framework(plugin)
            .and_then(|state| state.save)
            .is_some_and(|save| save(plugin, stream))
    }
}

/// \[main-thread\] Reads the length, and hands the stream on as it was.
unsafe extern "C" fn load(plugin: *const clap_plugin, stream: *const clap_istream) -> bool {
    // SAFETY: CLAP has a host pass a stream that lives as long as the call.
    let Some(host) = (unsafe { stream.as_ref() }) else {
        return false;
    };
    let Some(read) = host.read else {
        return false;
    };
    let (mut prefix, mut known) = ([0; PREFIX_BYTES], 0);
    while known < PREFIX_BYTES {
        let room = &mut prefix[known..];
        // SAFETY: there is as much room as the call says.
        let count = unsafe { read(stream, room.as_mut_ptr().cast(), room.len() as u64) };
        match usize::try_from(count) {
            Ok(count) if (1..=room.len()).contains(&count) => known += count,
            _ => return false,
        }
    }
    if u64::from_le_bytes(prefix) > MOST_STATE_BYTES {
        return false;
    }
    let replay = Replay {
        prefix,
        given: Cell::new(0),
        host: stream,
    };
    let replayed = clap_istream {
        ctx: (&raw const replay).cast_mut().cast(),
        read: Some(read_replay),
    };
    // SAFETY: the stream lives as long as the call; the framework's function, on an instance that carries its data.
    unsafe {
        framework(plugin)
            .and_then(|state| state.load)
            .is_some_and(|load| load(plugin, &raw const replayed))
    }
}

/// A host's stream whose first bytes were read already.
struct Replay {
    prefix: [u8; PREFIX_BYTES],
    /// How many bytes of the prefix were given again.
    given: Cell<usize>,
    host: *const clap_istream,
}

unsafe extern "C" fn read_replay(stream: *const clap_istream, buffer: *mut c_void, size: u64) -> i64 {
    // SAFETY: `load` made the stream of a `Replay` that lives as long; the framework passes room for `size` bytes.
    unsafe {
        let replay = &*(*stream).ctx.cast::<Replay>();
        let rest = &replay.prefix[replay.given.get()..];
        if rest.is_empty() {
            return (*replay.host)
                .read
                .map_or(-1, |read| read(replay.host, buffer, size));
        }
        let count = rest.len().min(usize::try_from(size).unwrap_or(usize::MAX));
        std::ptr::copy_nonoverlapping(rest.as_ptr(), buffer.cast(), count);
        replay.given.set(replay.given.get() + count);
        count as i64
    }
}
