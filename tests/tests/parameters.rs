//! Values of parameters as text, in a host. Their list is in conform_text.

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::HostError;

#[test]
fn what_is_written_reads_back() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        for parameter in plugin.parameters().to_vec() {
            let id = &parameter.id;
            for value in [parameter.lowest, parameter.default, parameter.highest] {
                let text = plugin.text_of(id, value).unwrap();
                let read = plugin
                    .value_of(id, &text)
                    .unwrap_or_else(|error| panic!("{name}: {error}"));
                let again = plugin.text_of(id, read).unwrap();
                assert_eq!(again, text, "{name}: {id}");
            }
        }
    }
}

#[test]
fn plain_values_set_what_they_say() {
    let mut plugin = insert(SISKIN);
    for (id, given, shown) in [
        ("sib_prop", "-9", "-9.0 LU"),
        ("sib_prop", "-9.5 LU", "-9.5 LU"),
        ("sib_from", "5500", "5.50 kHz"),
        ("sib_from", "5.5 kHz", "5.50 kHz"),
        ("sib_from", "5", "5.00 kHz"),
        ("fol_time", "1.2 s", "1200 ms"),
        ("sib_ratio", "inf", "inf : 1"),
        ("br_cut", "off", "off"),
        ("br_cut", "80", "80 Hz"),
        ("look", "2", "2 ms"),
        ("br_on", "ON", "on"),
        ("listen", "removed", "Removed"),
    ] {
        plugin.set(id, given).unwrap_or_else(|error| panic!("{error}"));
        let value = plugin.value(id).unwrap();
        assert_eq!(plugin.text_of(id, value).unwrap(), shown, "{id}={given}");
    }
}

#[test]
fn nothing_is_bent_into_range() {
    let mut plugin = insert(SISKIN);
    for (id, given) in [
        ("sib_prop", "-24.1"),
        ("sib_prop", "12.5 LU"),
        ("sib_from", "12 kHz"),
        ("sib_from", "500"),
        ("sib_ratio", "25"),
        ("sib_ratio", "0.5"),
        ("br_cut", "20 Hz"),
        ("br_cut", "1200"),
        ("out_gain", "-100"),
        ("lev_att", "0.05"),
    ] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::OutOfRange { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    for (id, given) in [("sib_prop", "loud"), ("sib_prop", ""), ("sib_from", "4 dB")] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::NotAValue { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    for (id, given) in [("look", "3 ms"), ("sib_on", "maybe"), ("listen", "all")] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::NotAWord { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    assert!(matches!(
        plugin.value_of("sib", "1"),
        Err(HostError::UnknownParameter { .. })
    ));
}
