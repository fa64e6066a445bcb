//! Broken states change nothing, and states come in any pieces.

use serde_json::{Value, json};
use siskin_tests::hosts::Insert;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::state_from_json;
use siskin_tests::hosts::fixtures::both;

use super::{RELEASED, everything_moved};

/// Loads `bytes`: refused, it changes nothing; taken, what it leaves is a state that loads again and stays as it is.
fn survives(insert: &mut Insert, load: impl FnOnce(&mut Insert) -> bool, case: &str) -> bool {
    let before = insert.save_json().unwrap();
    if !load(insert) {
        assert_eq!(
            insert.save_json().unwrap(),
            before,
            "refused, yet changed: {case}"
        );
        return false;
    }
    let after = insert.save_json().unwrap();
    assert!(insert.load_json(&after), "{case}");
    assert_eq!(insert.save_json().unwrap(), after, "{case}");
    assert!(!String::from_utf8_lossy(&after).contains("null"), "{case}");
    true
}

#[test]
fn truncated_state_changes_nothing() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let whole = everything_moved(name);
        for mut insert in both(name) {
            for length in 0..whole.len() {
                let cut = &whole.as_bytes()[..length];
                assert!(!survives(
                    &mut insert,
                    |insert| insert.load_json(cut),
                    &format!("{length} bytes")
                ));
                if let Insert::Clap(plugin) = &mut insert {
                    // The stream ends before the length that it began with.
                    let before = plugin.save_state().unwrap();
                    let framed = state_from_json(whole.as_bytes());
                    assert!(plugin.load_state(&framed[..length]).is_err());
                    assert_eq!(plugin.save_state().unwrap(), before);
                }
            }
            assert!(insert.load_json(whole.as_bytes()));
        }
    }
}

#[test]
fn state_with_one_bit_flipped_is_refused_or_loads_whole() {
    let whole = RELEASED[1].2.trim().as_bytes();
    for mut insert in both(SISKIN_FOLLOW) {
        let mut taken = 0;
        for bit in 0..whole.len() * 8 {
            let mut turned = whole.to_vec();
            turned[bit / 8] ^= 1 << (bit % 8);
            taken += usize::from(survives(
                &mut insert,
                |insert| insert.load_json(&turned),
                &format!("bit {bit}"),
            ));
        }
        // Digits become other digits and ids unknown ones; the rest is no state any more.
        assert!((1..whole.len() * 8 / 2).contains(&taken), "{taken}");
    }
}

#[test]
fn numbers_beyond_all_ranges_are_brought_into_them() {
    for mut insert in both(SISKIN) {
        assert!(insert.load_json(everything_moved(SISKIN).as_bytes()));
        let mut state: Value = serde_json::from_str(RELEASED[0].2).unwrap();
        for (_, value) in state["params"].as_object_mut().unwrap() {
            for (kind, value) in value.as_object_mut().unwrap() {
                match kind.as_str() {
                    "f32" => *value = json!(3.0e38),
                    "i32" => *value = json!(i32::MIN),
                    _ => {}
                }
            }
        }
        let state = state.to_string();
        assert!(survives(
            &mut insert,
            |insert| insert.load_json(state.as_bytes()),
            "beyond"
        ));
    }
}

#[test]
fn state_loads_in_pieces() {
    let whole = state_from_json(everything_moved(SISKIN).as_bytes());
    for piece in [1, 7, 8, 9, 100] {
        let mut plugin = insert(SISKIN);
        plugin.load_state_in_pieces(&whole, piece).unwrap();
        assert_eq!(plugin.save_state().unwrap(), whole, "{piece}");
    }
}
