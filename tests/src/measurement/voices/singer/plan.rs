//! From the score to labelled segments: when each sound is made, how high and how loud.

use super::labels::{Kind, Label, Section};
use super::phonemes::{Part, Phoneme, phoneme_of};
use super::random::Random;
use super::score::{Line, Syllable};
use super::source::Effort;

/// Mean square level of the verse's vowels, dB re full scale.
pub const VERSE_DB: f64 = -38.0;
/// The effort at which the published levels of fricatives re vowels hold, dB re the verse: between the quiet verse
/// and the middle's fuller voice, as one speaks to a microphone.
pub const ANCHOR_EFFORT_DB: f64 = 6.0;
/// How fast frication rises with the voice, dB per dB: a third.
pub const FRICATION_SLOPE: f64 = 1.0 / 3.0;
/// Chance in the level of a syllable's voice and of a noise, dB to either side.
const SYLLABLE_DB: f64 = 2.0;
const NOISE_DB: f64 = 1.5;

/// One label and how it is sung.
pub struct Segment {
    /// Its label.
    pub label: Label,
    /// What it is made of.
    pub part: Part,
    /// The note, Hz.
    pub pitch_hz: f64,
    /// Mean square level of its voice, dB re full scale; its part says whether there is one.
    pub voice_db: f64,
    /// Mean square level of its noise, dB re full scale; its part says whether there is one.
    pub noise_db: f64,
}

/// How loud the voice of a section is, dB re the verse.
pub fn effort_db(section: Section) -> f64 {
    match section {
        Section::Verse => 0.0,
        Section::Middle => 5.0,
        Section::Chorus => 18.0,
    }
}

/// What the throat does in a section: a shout has more overtones, the middle more breath.
pub fn effort(section: Section) -> Effort {
    match section {
        Section::Verse => Effort {
            tilt_hz: 1500.0,
            aspiration: 0.02,
            top_db: -32.0,
        },
        Section::Middle => Effort {
            tilt_hz: 1500.0,
            aspiration: 0.3,
            top_db: -30.0,
        },
        Section::Chorus => Effort {
            tilt_hz: 3500.0,
            aspiration: 0.01,
            top_db: -24.0,
        },
    }
}

/// How much louder the middle's breaths are than others, re the voice, dB: they are meant to be heard.
const HEARD_BREATH_DB: f64 = 9.0;

/// Mean square level of a noise, dB re full scale, without chance.
///
/// `effort_db`: the voice re the verse. `table_db`: the noise re the vowels, at the anchor effort but for breaths,
/// which follow the voice.
pub fn noise_level_db(kind: Kind, section: Section, effort_db: f64, table_db: f64) -> f64 {
    match (kind, section) {
        (Kind::Breath, Section::Middle) => VERSE_DB + effort_db + table_db + HEARD_BREATH_DB,
        (Kind::Breath, _) => VERSE_DB + effort_db + table_db,
        _ => VERSE_DB + ANCHOR_EFFORT_DB + table_db + FRICATION_SLOPE * (effort_db - ANCHOR_EFFORT_DB),
    }
}

/// Lines sung one after another, without a gap.
///
/// `effort_db`: how loud the voice of a section is, dB re the verse of the song.
pub fn plan(
    lines: &[Line],
    effort_db: fn(Section) -> f64,
    sample_rate_hz: f64,
    random: &mut Random,
) -> Vec<Segment> {
    let mut planner = Planner {
        effort_db,
        sample_rate_hz,
        random,
        segments: Vec::new(),
    };
    for line in lines {
        planner.line(line);
    }
    planner.segments
}

struct Planner<'a> {
    effort_db: fn(Section) -> f64,
    sample_rate_hz: f64,
    random: &'a mut Random,
    segments: Vec<Segment>,
}

impl Planner<'_> {
    fn line(&mut self, line: &Line) {
        let section = line.section;
        self.syllable(section, &("breath", line.syllables[0].1, 0.0));
        for syllable in line.syllables {
            self.syllable(section, syllable);
        }
        self.syllable(section, &("rest", line.syllables[0].1, 0.0));
    }

    fn syllable(&mut self, section: Section, &(symbols, note, vowel_ms): &Syllable) {
        let voice_db = self.random.between(-SYLLABLE_DB, SYLLABLE_DB);
        for phoneme in symbols.split(' ').map(phoneme_of) {
            for part in phoneme.parts {
                self.part(section, phoneme, part, note, vowel_ms, voice_db);
            }
        }
    }

    fn part(
        &mut self,
        section: Section,
        phoneme: &Phoneme,
        part: &Part,
        note: f64,
        vowel_ms: f64,
        syllable_db: f64,
    ) {
        let [least_ms, most_ms] = part.length_ms;
        let length_ms = match part.kind {
            Kind::Vowel => (vowel_ms * self.random.between(0.94, 1.06)).clamp(least_ms, most_ms),
            _ => self.random.between(least_ms, most_ms),
        };
        let effort_db = (self.effort_db)(section);
        let chance_db = self.random.between(-NOISE_DB, NOISE_DB);
        let table_db = part.noise.map_or(0.0, |noise| noise.level_db);
        let voice_table_db = part.voice.map_or(0.0, |voice| voice.level_db);
        let voice_db = match part.kind {
            Kind::Vowel | Kind::Sonorant => VERSE_DB + effort_db + voice_table_db + syllable_db,
            _ => noise_level_db(part.kind, section, effort_db, voice_table_db) + chance_db,
        };
        let start = self.segments.last().map_or(0, |segment| segment.label.end);
        let end = start + (length_ms * 1e-3 * self.sample_rate_hz).round() as usize;
        self.segments.push(Segment {
            label: Label {
                symbol: phoneme.symbol,
                kind: part.kind,
                section,
                start,
                end,
            },
            part: *part,
            pitch_hz: 440.0 * ((note - 69.0) / 12.0).exp2(),
            voice_db,
            noise_db: noise_level_db(part.kind, section, effort_db, table_db) + chance_db,
        });
    }
}
