//! Starting points: settings for the jobs around a lead, as a saved state holds them.
//!
//! The CLAP entry offers them to hosts (`formats`), and `cargo xtask bundle` asks the built plug-in for them to write its
//! preset files. Hosts save a word in their lists of favourites: it never changes.
//!
//! Values without a reason beside them are common practice, no source; `purpose` says what they are for. They follow one
//! rule of the trade: a double carries no sibilants of its own, since they never fall exactly on the lead's, and an s
//! that is heard twice is heard as a mistake.

use std::collections::BTreeMap;

use nice_plug::plugin::ParamValue;
use nice_plug::prelude::PluginState;
use siskin_dsp::{Channels, Part};

use crate::kind::{Following, Kind, Plain};

/// Settings to begin a job with.
#[derive(Debug)]
pub struct StartingPoint {
    /// The word by which a host or a command asks for it.
    pub word: &'static str,
    /// As a person reads it.
    pub name: &'static str,
    /// What it is for, in plain words.
    pub purpose: &'static str,
    /// The CLAP id of the plug-in that it is for.
    pub plug_in: &'static str,
    /// Parameter ids with plain values, as a state saves them. Other parameters keep their defaults.
    pub values: &'static [(&'static str, ParamValue)],
}

/// No part of a starting point: they do not depend on the voice.
pub const EXCLUDED: [&str; 3] = ["look", "listen", "bypass"];

/// Every starting point, in the order in which a mix is built.
pub const STARTING_POINTS: [StartingPoint; 4] = [
    StartingPoint {
        word: "lead",
        name: "Lead",
        purpose: "A lead voice after its leveller: sibilants in proportion, breaths eased where levelling lifted them",
        plug_in: Plain::CLAP_ID,
        values: &[
            // Sibilance at its defaults: with them the demo's levelled song is held (README).
            ("br_on", ParamValue::Bool(true)),
            // Hard levelling brings breaths to some 5 LU under the voice; unlevelled they lie 15 LU under it and deeper.
            ("br_prop", ParamValue::F32(-14.0)),
            // A lead keeps its breaths: what levelling added is taken back, the breath itself stays.
            ("br_range", ParamValue::F32(6.0)),
        ],
    },
    StartingPoint {
        word: "breaths",
        name: "Breaths alone",
        purpose: "A copy of the lead for its breaths: the voice is silent, the breaths are held and without rumble",
        plug_in: Plain::CLAP_ID,
        values: &[
            ("br_on", ParamValue::Bool(true)),
            // Common practice, no source: 600 to 700 Hz.
            ("br_cut", ParamValue::F32(650.0)),
            ("part", ParamValue::I32(Part::Breaths as i32)),
        ],
    },
    StartingPoint {
        word: "double",
        name: "Double",
        purpose: "A double of the lead, the lead on the side-chain: its sibilants and breaths stay behind the lead's",
        plug_in: Following::CLAP_ID,
        values: &[
            // The lead's are held at -6: 5 LU under them, a second s is covered by the first.
            ("sib_prop", ParamValue::F32(-11.0)),
            ("sib_range", ParamValue::F32(18.0)),
            ("br_on", ParamValue::Bool(true)),
            // Under the lead's own breaths.
            ("br_prop", ParamValue::F32(-24.0)),
            ("br_range", ParamValue::F32(18.0)),
        ],
    },
    StartingPoint {
        word: "backing-stack",
        name: "Backing stack",
        purpose: "Several voices on one track, the lead on the side-chain: sibilants well below the lead's, vowels whole",
        plug_in: Following::CLAP_ID,
        values: &[
            // Several singers' s add up: lower than one double's.
            ("sib_prop", ParamValue::F32(-14.0)),
            ("sib_range", ParamValue::F32(18.0)),
            // Singers stand to either side, and sing other words.
            ("chan", ParamValue::I32(Channels::Apart as i32)),
            // While one singer is at an s others still hold the vowel: little more than the band is turned down.
            ("sib_reach", ParamValue::F32(10.0)),
            // Singers leave an s one after the other, some 25 ms apart (the spread of `docs/detector.md`'s backing stack).
            ("sib_rel", ParamValue::F32(60.0)),
            ("br_on", ParamValue::Bool(true)),
            // Several singers' breaths add up too.
            ("br_prop", ParamValue::F32(-28.0)),
            ("br_range", ParamValue::F32(18.0)),
        ],
    },
];

/// Starting points that are no longer offered. Songs and hosts' favourites hold their words, which load what they always did.
const EARLIER: [StartingPoint; 1] = [StartingPoint {
    word: "breath-track",
    name: "Breath track",
    purpose: "Breaths cut out to a track of their own, the lead on the side-chain: in proportion to it, without rumble",
    plug_in: Following::CLAP_ID,
    values: &[
        ("sib_on", ParamValue::Bool(false)),
        ("br_on", ParamValue::Bool(true)),
        // Nothing but breaths is here: they may be turned down as far as it takes.
        ("br_range", ParamValue::F32(24.0)),
        // Common practice, no source: 600 to 700 Hz.
        ("br_cut", ParamValue::F32(650.0)),
    ],
}];

/// The starting points for one kind of plug-in.
pub fn of<K: Kind>() -> impl Iterator<Item = StartingPoint> {
    STARTING_POINTS
        .into_iter()
        .filter(|point| point.plug_in == K::CLAP_ID)
}

/// The starting point that a host or a command asks for by its word, whether it is still offered or not.
pub fn by_word<K: Kind>(word: &[u8]) -> Option<StartingPoint> {
    let earlier = EARLIER.into_iter().filter(|point| point.plug_in == K::CLAP_ID);
    of::<K>()
        .chain(earlier)
        .find(|point| point.word.as_bytes() == word)
}

impl StartingPoint {
    /// The state with its values. Loading adds the defaults of the other parameters.
    #[must_use]
    pub fn state(&self) -> PluginState {
        let owned = |(id, value): &(&str, ParamValue)| ((*id).to_owned(), value.clone());
        PluginState {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            params: self.values.iter().map(owned).collect(),
            fields: BTreeMap::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::InsertParams;
    use crate::params::state::complete;
    use std::collections::HashSet;

    /// Fails where a value is for no parameter, of the wrong kind, out of range, or the default anyway.
    fn check<K: Kind>(point: &StartingPoint) {
        let params = InsertParams::of::<K>();
        for (id, value) in point.values {
            let case = format!("{}: {id} {value:?}", point.word);
            let parameter = params
                .parameter(id)
                .unwrap_or_else(|| panic!("{case}: no such parameter"));
            let normalized = parameter
                .saved(value)
                .unwrap_or_else(|| panic!("{case}: not that kind of parameter"));
            assert_ne!(normalized, parameter.default(), "{case}");
        }
        let mut state = point.state();
        complete(&mut state, &params);
        for (id, value) in point.values {
            assert_eq!(
                format!("{:?}", state.params[*id]),
                format!("{value:?}"),
                "{}: {id} is out of range",
                point.word
            );
        }
    }

    #[test]
    fn every_value_is_one_that_its_parameter_takes_and_no_default() {
        let (plain, following): (Vec<_>, Vec<_>) = (of::<Plain>().collect(), of::<Following>().collect());
        assert_eq!((plain.len(), following.len()), (2, 2));
        assert_eq!(plain.len() + following.len(), STARTING_POINTS.len());
        for point in &plain {
            check::<Plain>(point);
        }
        for point in following.iter().chain(&EARLIER) {
            check::<Following>(point);
        }
    }

    #[test]
    fn words_and_names_are_different_and_fit_a_file_name() {
        let all = || STARTING_POINTS.iter().chain(&EARLIER);
        let words: HashSet<_> = all().map(|point| point.word).collect();
        let names: HashSet<_> = all().map(|point| point.name).collect();
        assert_eq!((words.len(), names.len()), (5, 5));
        for point in all() {
            assert!(
                !point.values.is_empty() && !point.purpose.is_empty(),
                "{}",
                point.word
            );
            let ids: HashSet<_> = point.values.iter().map(|(id, _)| id).collect();
            assert_eq!(ids.len(), point.values.len(), "{}: an id twice", point.word);
            let plain = |letter: char| letter.is_ascii_alphanumeric() || letter == ' ';
            assert!(point.name.chars().all(plain), "{}", point.name);
        }
    }
}
