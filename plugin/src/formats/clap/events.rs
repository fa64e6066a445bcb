//! A host's events, put in order and inside the block before the framework reads them.

use std::cell::{Cell, UnsafeCell};
use std::ffi::c_void;
use std::ptr;

use clap_sys::events::{
    CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_MOD, CLAP_EVENT_PARAM_VALUE, clap_event_header,
    clap_event_param_value, clap_input_events,
};

/// A host's events in order and inside the block: the framework would process up to a time behind the block's end, and
/// counts backwards from an event that is earlier than the one before.
pub struct Events {
    host: *const clap_input_events,
    frames: u32,
    /// The latest time that was asked for.
    latest: Cell<u32>,
    /// A copy of the last event, with its time corrected. The framework is done with one event before it asks for the next.
    moved: UnsafeCell<clap_event_param_value>,
}

impl Events {
    /// The events that a host passes with a block of `frames` samples.
    pub fn new(host: *const clap_input_events, frames: u32) -> Self {
        Self {
            host,
            frames,
            latest: Cell::new(0),
            // SAFETY: numbers and a pointer, all of which may be zero.
            moved: UnsafeCell::new(unsafe { std::mem::zeroed() }),
        }
    }

    /// The list as the framework asks for it; it lives as long as this.
    pub fn list(&self) -> clap_input_events {
        clap_input_events {
            ctx: ptr::from_ref(self).cast_mut().cast::<c_void>(),
            size: Some(size),
            get: Some(get),
        }
    }
}

unsafe extern "C" fn size(list: *const clap_input_events) -> u32 {
    // SAFETY: `Events::list` set `ctx`, and its `Events` lives as long as the list; so does the host's own list.
    unsafe {
        let host = (*(*list).ctx.cast::<Events>()).host;
        (*host).size.map_or(0, |size| size(host))
    }
}

/// Null for an event with a wrong time that is not a parameter value.
unsafe extern "C" fn get(list: *const clap_input_events, index: u32) -> *const clap_event_header {
    // SAFETY: `Events::list` set `ctx`, and its `Events` lives as long as the list.
    let events = unsafe { &*(*list).ctx.cast::<Events>() };
    // SAFETY: the host's list lives as long as its call; an event's header says its type and size.
    unsafe {
        let event = (*events.host)
            .get
            .map_or(ptr::null(), |get| get(events.host, index));
        let Some(header) = event.as_ref() else {
            return event;
        };
        let time = header
            .time
            .max(events.latest.get())
            .min(events.frames.saturating_sub(1));
        events.latest.set(time);
        if time == header.time {
            return event;
        }
        let is_change = header.space_id == CLAP_CORE_EVENT_SPACE_ID
            && [CLAP_EVENT_PARAM_VALUE, CLAP_EVENT_PARAM_MOD].contains(&header.type_)
            && header.size as usize == size_of::<clap_event_param_value>();
        if !is_change {
            return ptr::null();
        }
        let moved = events.moved.get();
        *moved = *event.cast::<clap_event_param_value>();
        (*moved).header.time = time;
        moved.cast_const().cast()
    }
}
