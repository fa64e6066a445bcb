//! Events in CLAP's own structures: those that a host sends, and those that a plug-in sends back.

use std::cell::RefCell;
use std::mem::size_of;
use std::ptr;

use clack_host::events::io::{InputEvents, OutputEvents};
use clap_sys::events::{
    CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_GESTURE_BEGIN, CLAP_EVENT_PARAM_GESTURE_END,
    CLAP_EVENT_PARAM_MOD, CLAP_EVENT_PARAM_VALUE, CLAP_EVENT_TRANSPORT, CLAP_TRANSPORT_HAS_BEATS_TIMELINE,
    CLAP_TRANSPORT_HAS_SECONDS_TIMELINE, CLAP_TRANSPORT_HAS_TEMPO, CLAP_TRANSPORT_HAS_TIME_SIGNATURE,
    CLAP_TRANSPORT_IS_LOOP_ACTIVE, CLAP_TRANSPORT_IS_PLAYING, clap_event_header, clap_event_param_gesture,
    clap_event_param_value, clap_event_transport, clap_input_events, clap_output_events,
};
use clap_sys::fixedpoint::{CLAP_BEATTIME_FACTOR, CLAP_SECTIME_FACTOR};

use super::Edit;
use crate::rules::{HostRules, Rule};
use crate::{EventKind, ParamEvent, Transport};

/// An event space that is not the standard's.
const FOREIGN_SPACE: u16 = 7;
/// Edits for which there is room without an allocation while a plug-in processes.
const EDITS_OF_A_BLOCK: usize = 256;

/// The events of one call, to the plug-in and back.
pub struct EventLists<'a> {
    events: Box<[clap_event_param_value]>,
    given: clap_input_events,
    samples: u32,
    rules: &'a HostRules,
    /// The thread on which the plug-in may send events back.
    rule: Rule,
    edits: RefCell<Vec<Edit>>,
    latest: RefCell<u32>,
    taken: clap_output_events,
}

impl<'a> EventLists<'a> {
    /// `events` as they are, for a call on this thread with a block of `samples`.
    pub fn new(events: &[ParamEvent], samples: u32, rules: &'a HostRules) -> Box<Self> {
        let rule = if rules.is_audio_thread() {
            Rule::AudioThread
        } else {
            Rule::MainThread
        };
        let mut lists = Box::new(Self {
            events: events.iter().map(raw_event).collect(),
            given: clap_input_events {
                ctx: ptr::null_mut(),
                size: Some(size),
                get: Some(get),
            },
            samples,
            rules,
            rule,
            edits: RefCell::new(Vec::with_capacity(EDITS_OF_A_BLOCK)),
            latest: RefCell::new(0),
            taken: clap_output_events {
                ctx: ptr::null_mut(),
                try_push: Some(try_push),
            },
        });
        let context = ptr::from_ref(lists.as_ref()).cast_mut().cast();
        lists.given.ctx = context;
        lists.taken.ctx = context;
        lists
    }

    /// The list that a plug-in reads.
    pub fn given(&self) -> &clap_input_events {
        &self.given
    }

    /// The list that a plug-in writes.
    pub fn taken(&self) -> &clap_output_events {
        &self.taken
    }

    /// What the plug-in wrote.
    pub fn take_edits(&self) -> Vec<Edit> {
        self.edits.take()
    }

    fn push(&self, header: &clap_event_header) -> bool {
        self.rules.check("clap_output_events.try_push", self.rule);
        let latest = self.latest.replace(header.time);
        if header.time < latest || header.time >= self.samples.max(1) {
            self.rules.note(format!(
                "clap_output_events.try_push: wants sample order inside the block; sample {} came after {latest}, of {}",
                header.time, self.samples
            ));
        }
        if header.space_id != CLAP_CORE_EVENT_SPACE_ID {
            return true;
        }
        let event = ptr::from_ref(header);
        // SAFETY: CLAP has the plug-in pass an event of the shape that its header's type names.
        let edit = unsafe {
            match header.type_ {
                CLAP_EVENT_PARAM_GESTURE_BEGIN => {
                    Edit::Begin((*event.cast::<clap_event_param_gesture>()).param_id)
                }
                CLAP_EVENT_PARAM_GESTURE_END => {
                    Edit::End((*event.cast::<clap_event_param_gesture>()).param_id)
                }
                CLAP_EVENT_PARAM_VALUE => {
                    let value = &*event.cast::<clap_event_param_value>();
                    Edit::Value(value.param_id, value.value)
                }
                _ => return true,
            }
        };
        self.edits.borrow_mut().push(edit);
        true
    }
}

/// Hands `events` to `flush` without a block; what the plug-in sent.
pub fn exchange(
    events: &[ParamEvent],
    rules: &HostRules,
    flush: impl FnOnce(&InputEvents, &mut OutputEvents),
) -> Vec<Edit> {
    let lists = EventLists::new(events, 0, rules);
    let mut taken = *lists.taken();
    // SAFETY: both lists are whole, and live until the end of the call.
    unsafe {
        let given = InputEvents::from_raw(lists.given());
        flush(given, OutputEvents::from_raw_mut(&mut taken));
    }
    lists.take_edits()
}

unsafe extern "C" fn size(list: *const clap_input_events) -> u32 {
    // SAFETY: `EventLists::new` set the context to itself, and its box keeps it in place.
    let lists = unsafe { &*(*list).ctx.cast::<EventLists>() };
    lists.events.len() as u32
}

unsafe extern "C" fn get(list: *const clap_input_events, index: u32) -> *const clap_event_header {
    // SAFETY: `EventLists::new` set the context to itself, and its box keeps it in place.
    let lists = unsafe { &*(*list).ctx.cast::<EventLists>() };
    let event = lists.events.get(index as usize);
    event.map_or(ptr::null(), |event| ptr::from_ref(event).cast())
}

unsafe extern "C" fn try_push(list: *const clap_output_events, event: *const clap_event_header) -> bool {
    // SAFETY: `EventLists::new` set the context to itself; CLAP has the plug-in pass an event.
    unsafe { (*(*list).ctx.cast::<EventLists>()).push(&*event) }
}

/// A value and a modulation have one shape.
fn raw_event(event: &ParamEvent) -> clap_event_param_value {
    let (space_id, type_, value) = match event.kind {
        EventKind::Value(value) => (CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_VALUE, value),
        EventKind::Modulation(amount) => (CLAP_CORE_EVENT_SPACE_ID, CLAP_EVENT_PARAM_MOD, amount),
        EventKind::ForeignValue(value) => (FOREIGN_SPACE, CLAP_EVENT_PARAM_VALUE, value),
    };
    clap_event_param_value {
        header: clap_event_header {
            size: size_of::<clap_event_param_value>() as u32,
            time: event.sample,
            space_id,
            type_,
            flags: 0,
        },
        param_id: event.parameter,
        cookie: ptr::null_mut(),
        note_id: -1,
        port_index: -1,
        channel: -1,
        key: -1,
        value,
    }
}

/// Where the song is.
pub fn raw_transport(transport: Transport) -> clap_event_transport {
    let seconds = |seconds: f64| (seconds * CLAP_SECTIME_FACTOR as f64) as i64;
    let beats = |seconds: f64| (seconds * transport.tempo_bpm / 60.0 * CLAP_BEATTIME_FACTOR as f64) as i64;
    let flag = |flag: u32, is_set: bool| if is_set { flag } else { 0 };
    let (start, end) = transport.loop_s.unwrap_or_default();
    let (numerator, denominator) = transport.metre.unwrap_or((4, 4));
    // Quarter notes in a bar; a metre of no beats has none.
    let bar_quarters = (4.0 * f64::from(numerator) / f64::from(denominator)).max(f64::MIN_POSITIVE);
    let bar = (transport.position_s * transport.tempo_bpm / 60.0 / bar_quarters).floor();
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
            | flag(CLAP_TRANSPORT_HAS_TIME_SIGNATURE, transport.metre.is_some())
            | flag(CLAP_TRANSPORT_IS_PLAYING, transport.playing)
            | flag(CLAP_TRANSPORT_IS_LOOP_ACTIVE, transport.loop_s.is_some()),
        song_pos_beats: beats(transport.position_s),
        song_pos_seconds: seconds(transport.position_s),
        tempo: transport.tempo_bpm,
        tempo_inc: 0.0,
        loop_start_beats: beats(start),
        loop_end_beats: beats(end),
        loop_start_seconds: seconds(start),
        loop_end_seconds: seconds(end),
        bar_start: (bar * bar_quarters * CLAP_BEATTIME_FACTOR as f64) as i64,
        bar_number: bar as i32,
        tsig_num: numerator,
        tsig_denom: denominator,
    }
}
