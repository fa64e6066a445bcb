//! The parameters against the golden file that guards people's songs, and every text against the value that it stands
//! for.

use nice_plug::prelude::*;

use super::parameter::AnyParam;
use super::{InsertParams, Parameter};
use crate::kind::{Following, Kind, Plain};

/// What the bundles tell hosts of each parameter, as conform_text writes it.
const GOLDEN: &str = include_str!("../../../tests/golden/parameters.txt");

/// Id, name, group, the texts of both ends, the text of the default.
type Row = [String; 5];

/// The CLAP rows of the golden file for one plug-in: `CLAP | plug-in | id | CLAP id | name | group | values | texts |
/// default | flags`.
fn golden(plug_in: &str) -> Vec<Row> {
    let columns = |line: &'static str| line.split(" | ").collect::<Vec<_>>();
    GOLDEN
        .lines()
        .map(columns)
        .filter(|columns| columns[..2] == ["CLAP", plug_in])
        .map(|columns| [2, 4, 5, 7, 8].map(|column| columns[column].to_owned()))
        .collect()
}

fn rows<K: Kind>() -> Vec<Row> {
    let params = InsertParams::of::<K>();
    let row = |parameter: &Parameter| {
        let spec = parameter.spec();
        let ends = format!("{} ... {}", parameter.text(0.0), parameter.text(1.0));
        let default = parameter.text(parameter.default());
        [
            spec.id.into(),
            spec.name.into(),
            spec.stage.name().into(),
            ends,
            default,
        ]
    };
    params.parameters().iter().map(row).collect()
}

/// Calls `check` with each parameter of Siskin Follow, which has them all.
fn each(check: impl FnMut(&Parameter)) {
    InsertParams::of::<Following>()
        .parameters()
        .iter()
        .for_each(check);
}

#[test]
fn both_plug_ins_match_the_golden_file() {
    assert_eq!(rows::<Plain>(), golden(Plain::NAME));
    assert_eq!(rows::<Following>(), golden(Following::NAME));
}

#[test]
fn hosts_get_the_parameters_in_the_order_of_the_editor() {
    let params = InsertParams::of::<Following>();
    let hosts = params.param_map();
    assert_eq!(hosts.len(), params.parameters().len());
    for ((id, pointer, group), parameter) in hosts.iter().zip(params.parameters()) {
        assert_eq!(
            (id.as_str(), group.as_str()),
            (parameter.id(), parameter.spec().stage.name())
        );
        assert_eq!(*pointer, parameter.as_ptr());
    }
}

#[test]
fn a_new_insert_has_the_settings_of_the_engine() {
    for params in [InsertParams::of::<Plain>(), InsertParams::of::<Following>()] {
        assert_eq!(params.settings(), siskin_dsp::Settings::default());
        assert_eq!(params.lookahead(), siskin_dsp::Lookahead::default());
        assert_eq!(params.channels(), siskin_dsp::Channels::default());
    }
}

#[test]
fn every_text_reads_back_as_what_it_shows_with_its_unit_and_without() {
    each(|parameter| {
        let id = parameter.id();
        for step in 0..=1000 {
            let text = parameter.text(step as f32 / 1000.0);
            let bare = text
                .trim_end_matches(" : 1")
                .trim_end_matches([' ', 'd', 'B', 'L', 'U', 'F', 'S', 'm', 's', '%']);
            let bare = bare.trim_end_matches(" kHz").trim_end_matches(" Hz");
            for typed in [&text, bare] {
                if typed == bare && text.starts_with(char::is_alphabetic) {
                    continue;
                }
                let read = parameter
                    .read(typed)
                    .unwrap_or_else(|| panic!("{id} cannot read {typed:?}"));
                assert_eq!(parameter.text(read), text, "{id} read {typed:?}");
            }
        }
    });
}

#[test]
fn what_is_no_value_is_not_read() {
    each(|parameter| {
        for text in ["", " ", "loud", "1 furlong", "nan", "1e9"] {
            assert_eq!(parameter.read(text), None, "{} read {text:?}", parameter.id());
        }
    });
}

#[test]
fn a_value_out_of_range_is_read_as_the_nearest_end() {
    let params = InsertParams::of::<Plain>();
    let parameter = |id| params.parameter(id).unwrap();
    assert_eq!(parameter("sib_range").read("99 dB"), Some(1.0));
    assert_eq!(parameter("sib_from").read("100 Hz"), Some(0.0));
    let ratio = parameter("sib_ratio");
    assert_eq!(ratio.text(ratio.read("500").unwrap()), "20.0 : 1");
    assert_eq!(ratio.read("\u{221e}"), Some(1.0));
}

#[test]
fn what_is_typed_must_lie_within_the_range() {
    let params = InsertParams::of::<Plain>();
    let refusal = |id, text| {
        let parameter = params.parameter(id).unwrap();
        parameter.read_in_range(text).unwrap_err()
    };
    assert_eq!(refusal("sib_from", "99"), "2.00 kHz to 10.00 kHz");
    assert_eq!(refusal("br_cut", "5 kHz"), "40 Hz to 1.00 kHz, or off");
    assert_eq!(refusal("sib_ratio", "21"), "1.0 : 1 to 20.0 : 1, or inf");
    assert_eq!(refusal("listen", "1e3"), "Output, Removed, Detector");
    assert_eq!(refusal("lev_on", ""), "on or off");
    each(|parameter| {
        for normalized in [0.0, 0.3, 0.5, 1.0] {
            let text = parameter.text(normalized);
            for typed in [text.to_uppercase(), text.to_lowercase(), text.replace('.', ",")] {
                let read = parameter.read_in_range(&typed);
                assert_eq!(
                    read.map(|read| parameter.text(read)),
                    Ok(text.clone()),
                    "{typed:?}"
                );
            }
        }
    });
}

#[test]
fn zero_decibels_are_zero_after_any_way_through_a_host() {
    let params = InsertParams::of::<Plain>();
    for id in ["lev_gain", "out_gain"] {
        let AnyParam::Number(param) = &params.parameter(id).unwrap().param else {
            panic!("{id} is no number");
        };
        let normalized = param.string_to_normalized_value("0 dB").unwrap();
        assert_eq!(param.preview_plain(normalized), 0.0);
        assert_eq!(param.preview_plain((f64::from(normalized) as f32).next_up()), 0.0);
    }
}

#[test]
fn only_lookahead_channels_and_part_are_closed_to_automation_and_only_bypass_bypasses() {
    each(|parameter| {
        let id = parameter.id();
        let flags = match &parameter.param {
            AnyParam::Number(param) => param.flags(),
            AnyParam::Choice(param) => param.flags(),
            AnyParam::Switch(param) => param.flags(),
        };
        let is_fixed = ["look", "chan", "part"].contains(&id);
        assert_eq!(flags.contains(ParamFlags::NON_AUTOMATABLE), is_fixed, "{id}");
        assert_eq!(flags.contains(ParamFlags::BYPASS), id == "bypass", "{id}");
    });
}
