//! Events in CLAP's own structures.

use std::mem::size_of;
use std::ptr;

use clap_sys::events::{
    CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_MOD, CLAP_EVENT_PARAM_VALUE, CLAP_EVENT_TRANSPORT,
    CLAP_TRANSPORT_HAS_BEATS_TIMELINE, CLAP_TRANSPORT_HAS_SECONDS_TIMELINE, CLAP_TRANSPORT_HAS_TEMPO,
    CLAP_TRANSPORT_IS_LOOP_ACTIVE, CLAP_TRANSPORT_IS_PLAYING, clap_event_header, clap_event_param_value,
    clap_event_transport, clap_input_events,
};
use clap_sys::fixedpoint::{CLAP_BEATTIME_FACTOR, CLAP_SECTIME_FACTOR};

use super::{Place, Said, Told};

/// An event space that is not the standard's.
const FOREIGN_SPACE: u16 = 7;

/// A list of events, as a plug-in asks for them.
pub struct EventList {
    events: Box<[clap_event_param_value]>,
    given: clap_input_events,
}

impl EventList {
    /// What is told, in the order in which it is told.
    pub fn new(told: &[Told]) -> Box<Self> {
        let mut list = Box::new(Self {
            events: told.iter().map(event).collect(),
            given: clap_input_events {
                ctx: ptr::null_mut(),
                size: Some(size),
                get: Some(get),
            },
        });
        list.given.ctx = ptr::from_ref(list.as_ref()).cast_mut().cast();
        list
    }

    /// The list as a plug-in gets it.
    pub fn given(&self) -> &clap_input_events {
        &self.given
    }
}

unsafe extern "C" fn size(list: *const clap_input_events) -> u32 {
    // SAFETY: `EventList::new` made the list, which its box keeps where it is.
    let events = unsafe { &(*(*list).ctx.cast::<EventList>()).events };
    events.len() as u32
}

unsafe extern "C" fn get(list: *const clap_input_events, index: u32) -> *const clap_event_header {
    // SAFETY: as in `size`.
    let events = unsafe { &(*(*list).ctx.cast::<EventList>()).events };
    events
        .get(index as usize)
        .map_or(ptr::null(), |event| ptr::from_ref(event).cast())
}

/// A value and a modulation have one shape.
fn event(told: &Told) -> clap_event_param_value {
    let (space_id, type_, value) = match told.said {
        Said::Value(value) => (CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_VALUE, value),
        Said::Modulation(amount) => (CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_MOD, amount),
        Said::ForeignValue(value) => (FOREIGN_SPACE, CLAP_EVENT_PARAM_VALUE, value),
    };
    clap_event_param_value {
        header: clap_event_header {
            size: size_of::<clap_event_param_value>() as u32,
            time: told.sample,
            space_id,
            type_,
            flags: 0,
        },
        param_id: told.parameter,
        cookie: ptr::null_mut(),
        note_id: -1,
        port_index: -1,
        channel: -1,
        key: -1,
        value,
    }
}

/// Where the song is.
pub fn transport(place: Place) -> clap_event_transport {
    let seconds = |seconds: f64| (seconds * CLAP_SECTIME_FACTOR as f64) as i64;
    let beats = |seconds: f64| (seconds * place.tempo / 60.0 * CLAP_BEATTIME_FACTOR as f64) as i64;
    let flag = |flag: u32, is_set: bool| if is_set { flag } else { 0 };
    let (start, end) = place.looping.unwrap_or_default();
    clap_event_transport {
        header: clap_event_header {
            size: size_of::<clap_event_transport>() as u32,
            time: 0,
            space_id: CLAP_CORE_EVENT_SPACE_ID,
            type_: CLAP_EVENT_TRANSPORT,
            flags: 0,
        },
        flags: CLAP_TRANSPORT_HAS_TEMPO
            | CLAP_TRANSPORT_HAS_BEATS_TIMELINE
            | CLAP_TRANSPORT_HAS_SECONDS_TIMELINE
            | flag(CLAP_TRANSPORT_IS_PLAYING, place.playing)
            | flag(CLAP_TRANSPORT_IS_LOOP_ACTIVE, place.looping.is_some()),
        song_pos_beats: beats(place.seconds),
        song_pos_seconds: seconds(place.seconds),
        tempo: place.tempo,
        tempo_inc: 0.0,
        loop_start_beats: beats(start),
        loop_end_beats: beats(end),
        loop_start_seconds: seconds(start),
        loop_end_seconds: seconds(end),
        bar_start: 0,
        bar_number: 0,
        tsig_num: 4,
        tsig_denom: 4,
    }
}
