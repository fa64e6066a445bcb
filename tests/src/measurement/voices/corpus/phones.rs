//! What the symbols of each source mean to a detector of sibilance.

use serde::Deserialize;

use super::recording::Sound;

/// How a source writes phones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Notation {
    /// ARPAbet, in either case, with or without digits of stress: aligners of English.
    Arpabet,
    /// The mnemonics of eSpeak NG (its docs/phonemes.md, and read off what it says): other letters in every language,
    /// but no letter of two meanings among these.
    Espeak,
    /// Japanese in the Latin letters of Open JTalk.
    Japanese,
    /// The few names that were given by eye.
    ByEye,
}

/// A row: the sound and, parted by spaces, its symbols.
type Table = &'static [(Sound, &'static str)];

/// The empty symbol, which aligners write for silence, is a rest too.
const ARPABET: Table = &[
    (Sound::Sibilant, "S SH CH"),
    (Sound::VoicedSibilant, "Z ZH JH"),
    (Sound::WeakFricative, "F V TH DH HH"),
    (
        Sound::Vowel,
        "AA AE AH AO AW AX AXR AY EH ER EY IH IX IY OW OY UH UW UX",
    ),
    (Sound::Sonorant, "M N NG EM EN L EL R W Y"),
    (Sound::Stop, "P B T D K G DX Q"),
    (Sound::Rest, "SIL SP"),
    (Sound::Other, "SPN"),
];

/// Here S is sh, T and D are th and dh, C and x are German ich and ach, B is a Spanish soft b; a tilde marks nasal
/// vowels, a semicolon palatal consonants and, alone, a glide between two vowels; ss and ts2 are Italian.
const ESPEAK: Table = &[
    (Sound::Sibilant, "s s; ss S S; ts ts; ts2 tS tS;"),
    (Sound::VoicedSibilant, "z z; z2 Z Z; dz dz; dZ"),
    (Sound::WeakFricative, "f f; v v; T D B C x h"),
    (
        Sound::Vowel,
        "0 3 3: 8 @ @- @2 @5 @L A A: A@ A~ E E# E~ I I# I2 O O2 O: O@ OY O~ U V W W~ a a# a- aI aI2 aU aa e e- e: \
         e@ eI i i: i@ i@3 ja o oU u u: uI u~ y y: & &U~ &~",
    ),
    (
        Sound::Sonorant,
        "m m; n n; n^ N l l; l^ J^ r r- r; R R2 * ** j w ;",
    ),
    (Sound::Stop, "p p; b b; t t# d d; k g"),
    (Sound::Rest, "_ _: _!"),
];

/// Here z begins as dz and j as in English; cl is the closure of a long consonant.
const JAPANESE: Table = &[
    (Sound::Sibilant, "s sh ts ch"),
    (Sound::VoicedSibilant, "z j"),
    (Sound::WeakFricative, "f h hy v"),
    (Sound::Vowel, "a i u e o"),
    (Sound::Sonorant, "m my n ny N r ry w y"),
    (Sound::Stop, "p py b by t ty d dy k ky kw g gy gw cl"),
    (Sound::Rest, "sil pau"),
];

/// A sung phrase that holds no sibilant is all to be left alone, as vowels are, wherever its words begin and end.
const BY_EYE: Table = &[
    (Sound::Sibilant, "s sh"),
    (Sound::WeakFricative, "fricative"),
    (Sound::Vowel, "vowel sung"),
    (Sound::Stop, "stop"),
    (Sound::Breath, "breath"),
    (Sound::Other, "faint"),
];

impl Notation {
    /// The sound behind a symbol; none for a symbol that is not known, so that nothing goes unscored in silence.
    pub fn sound(self, symbol: &str) -> Option<Sound> {
        match self {
            Self::Arpabet if symbol.is_empty() => Some(Sound::Rest),
            Self::Arpabet => {
                let upper = symbol.to_ascii_uppercase();
                find(ARPABET, upper.trim_end_matches(['0', '1', '2']))
            }
            Self::Espeak => find(ESPEAK, symbol),
            Self::Japanese => find(JAPANESE, symbol),
            Self::ByEye => find(BY_EYE, symbol),
        }
    }
}

fn find(table: Table, symbol: &str) -> Option<Sound> {
    table
        .iter()
        .find(|(_, symbols)| symbols.split_whitespace().any(|known| known == symbol))
        .map(|&(sound, _)| sound)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_letters_mean_what_each_source_means_by_them() {
        for (notation, symbol, sound) in [
            (Notation::Arpabet, "S", Sound::Sibilant),
            (Notation::Arpabet, "jh", Sound::VoicedSibilant),
            (Notation::Arpabet, "TH", Sound::WeakFricative),
            (Notation::Arpabet, "IY1", Sound::Vowel),
            (Notation::Arpabet, "", Sound::Rest),
            (Notation::Arpabet, "spn", Sound::Other),
            (Notation::Espeak, "S", Sound::Sibilant),
            (Notation::Espeak, "ts;", Sound::Sibilant),
            (Notation::Espeak, "D", Sound::WeakFricative),
            (Notation::Espeak, "C", Sound::WeakFricative),
            (Notation::Espeak, "d", Sound::Stop),
            (Notation::Espeak, "R", Sound::Sonorant),
            (Notation::Japanese, "ts", Sound::Sibilant),
            (Notation::Japanese, "cl", Sound::Stop),
            (Notation::Japanese, "N", Sound::Sonorant),
            (Notation::ByEye, "sung", Sound::Vowel),
        ] {
            assert_eq!(notation.sound(symbol), Some(sound), "{notation:?} {symbol:?}");
        }
    }

    #[test]
    fn a_symbol_that_is_not_known_has_no_sound() {
        for notation in [
            Notation::Arpabet,
            Notation::Espeak,
            Notation::Japanese,
            Notation::ByEye,
        ] {
            assert_eq!(notation.sound("qx"), None, "{notation:?}");
            assert_eq!(notation.sound(" "), None, "{notation:?}");
        }
        assert_eq!(Notation::Espeak.sound(""), None);
    }

    #[test]
    fn no_table_gives_a_symbol_twice() {
        for table in [ARPABET, ESPEAK, JAPANESE, BY_EYE] {
            let mut symbols: Vec<&str> = table
                .iter()
                .flat_map(|(_, symbols)| symbols.split_whitespace())
                .collect();
            let count = symbols.len();
            symbols.sort_unstable();
            symbols.dedup();
            assert_eq!(symbols.len(), count);
        }
    }
}
