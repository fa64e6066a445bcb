//! Saved states and preset files, changed at random: at bytes, and at the places of numbers, texts and names.

use super::random::Random;

/// What may stand in place of a number, a text or a name.
const TOKENS: [&str; 28] = [
    "0",
    "-0.0",
    "1",
    "-1",
    "1e38",
    "-1e38",
    "3.5e38",
    "1e-45",
    "2147483647",
    "-2147483648",
    "1e400",
    "-1e-400",
    "NaN",
    "Infinity",
    "2147483648",
    "-2147483649",
    "18446744073709551616",
    "null",
    "true",
    "false",
    "\"\"",
    "\"sib_prop\"",
    "\"\\ud800\"",
    "\"f32\"",
    "\"i32\"",
    "[]",
    "{}",
    "{\"f32\":0.5,\"i32\":1}",
];
/// How many of [`TOKENS`], from the first, are numbers at the ends of what numbers can be, that JSON can hold.
const NUMBERS: usize = 10;
/// Changes of one state.
const MOST_CHANGES: usize = 4;
/// The longest piece that one change inserts, removes or repeats, bytes.
const PIECE_BYTES: usize = 64;
/// How deep lists and objects are put into one another.
const DEPTHS: [usize; 4] = [1, 10, 127, 2000];

/// `bytes` with some changes: of numbers alone, so that the rest is still read, or of anything.
pub fn mutated(mut bytes: Vec<u8>, random: &mut Random) -> Vec<u8> {
    let numbers_alone = random.once_in(2);
    for _ in 0..=random.below(MOST_CHANGES) {
        if numbers_alone {
            change_number(&mut bytes, random);
        } else {
            change(&mut bytes, random);
        }
    }
    bytes
}

/// Puts another number in place of one, or another digit.
fn change_number(bytes: &mut Vec<u8>, random: &mut Random) {
    let mut numbers = tokens(bytes);
    numbers.retain(|place| bytes[place.start].is_ascii_digit() || bytes[place.start] == b'-');
    if numbers.is_empty() {
        return;
    }
    let place = random.of(&numbers).clone();
    if random.once_in(2) {
        bytes[place.end - 1] = b'0' + random.below(10) as u8;
    } else {
        let number = *random.of(&TOKENS[..NUMBERS]);
        drop(bytes.splice(place, number.bytes()));
    }
}

fn change(bytes: &mut Vec<u8>, random: &mut Random) {
    let at = random.below(bytes.len() + 1);
    let end = (at + random.below(PIECE_BYTES)).min(bytes.len());
    match random.below(9) {
        0 if at < bytes.len() => bytes[at] ^= 1 << random.below(8),
        1 if at < bytes.len() => bytes[at] = *random.of(b"\0\xff\x80\"{}[]:,\\-.eE0 "),
        2 => drop(bytes.drain(at..end)),
        3 => {
            let piece = bytes[at..end].to_vec();
            let to = random.below(bytes.len() + 1);
            drop(bytes.splice(to..to, piece));
        }
        4 => {
            let noise: Vec<u8> = (0..end - at).map(|_| random.next_u64() as u8).collect();
            drop(bytes.splice(at..end, noise));
        }
        5 if random.once_in(8) => bytes.truncate(at),
        6 if random.once_in(4) => {
            let (open, close) = *random.of(&[("[", "]"), ("{\"a\":", "}")]);
            let depth = *random.of(&DEPTHS);
            let nested = format!("{}0{}", open.repeat(depth), close.repeat(depth));
            replace_token(bytes, random, nested.as_bytes());
        }
        // One number, text or name in place of another.
        7 => {
            let tokens = tokens(bytes);
            if !tokens.is_empty() {
                let token = bytes[random.of(&tokens).clone()].to_vec();
                replace_token(bytes, random, &token);
            }
        }
        _ => {
            let token = *random.of(&TOKENS);
            replace_token(bytes, random, token.as_bytes());
        }
    }
}

/// Puts `token` in place of a number, a text or a name.
fn replace_token(bytes: &mut Vec<u8>, random: &mut Random, token: &[u8]) {
    let tokens = tokens(bytes);
    if !tokens.is_empty() {
        let place = random.of(&tokens).clone();
        drop(bytes.splice(place, token.iter().copied()));
    }
}

/// The places of numbers, words and texts in quotation marks.
fn tokens(bytes: &[u8]) -> Vec<std::ops::Range<usize>> {
    let is_word = |byte: u8| byte.is_ascii_alphanumeric() || b"+-._".contains(&byte);
    let (mut found, mut at) = (Vec::new(), 0);
    while at < bytes.len() {
        let start = at;
        at += 1;
        if bytes[start] == b'"' {
            let length = bytes[at..].iter().position(|&byte| byte == b'"');
            at = length.map_or(bytes.len(), |length| at + length + 1);
        } else if is_word(bytes[start]) {
            let length = bytes[at..].iter().position(|&byte| !is_word(byte));
            at = length.map_or(bytes.len(), |length| at + length);
        } else {
            continue;
        }
        found.push(start..at);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_are_numbers_words_and_texts() {
        let json = br#"{"a":{"f32":-6.5e1},"b":true}"#;
        let found: Vec<&[u8]> = tokens(json).into_iter().map(|place| &json[place]).collect();
        let expected: [&[u8]; 5] = [b"\"a\"", b"\"f32\"", b"-6.5e1", b"\"b\"", b"true"];
        assert_eq!(found, expected);
    }

    #[test]
    fn one_seed_is_one_mutation_and_most_change_something() {
        let state = br#"{"version":"0.1.0","params":{"sib_prop":{"f32":-6.0}},"fields":{}}"#.to_vec();
        let of = |seed| mutated(state.clone(), &mut Random::new(seed));
        assert_eq!(of(7), of(7));
        assert!((0..100).filter(|&seed| of(seed) != state).count() > 90);
        assert!(mutated(Vec::new(), &mut Random::new(1)).len() < 1000);
    }
}
