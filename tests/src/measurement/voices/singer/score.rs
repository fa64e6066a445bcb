//! The song: invented lines, rich in s, sh, ch and t.
//!
//! Verse: "Moonlight spills on the silent shore / I watch the ashes settle to dust / A wish, a vision, each step a
//! season / You just listen to the city's hush". Middle: "All the whispers chase my sleep / In the mist the shadows
//! reach / Loose as ashes, soft as snow / A treasure chest of misty breath". Chorus: "Oh, shine on us, stars, shine on
//! us / Raise the voices, shout it strong / We chase the storm, we touch the sun / Never cease, just shake these
//! chains".

use super::labels::Section;

/// Phonemes of a syllable, its pitch as a MIDI note, and the length of its vowel in ms.
pub type Syllable = (&'static str, f64, f64);

/// One line of the song: a breath, then its syllables, then a rest.
pub struct Line {
    /// Where in the song.
    pub section: Section,
    /// What is sung.
    pub syllables: &'static [Syllable],
}

const fn line(section: Section, syllables: &'static [Syllable]) -> Line {
    Line { section, syllables }
}

/// The lines in order.
#[rustfmt::skip]
pub const LINES: [Line; 12] = [
    line(Section::Verse, &[
        ("m uw n", 57.0, 360.0), ("l ay t", 60.0, 380.0), ("s p ih l z", 60.0, 330.0), ("aa n", 59.0, 280.0),
        ("dh ah", 57.0, 180.0), ("s ay", 59.0, 400.0), ("l ah n t", 57.0, 260.0), ("sh ao r", 55.0, 500.0),
    ]),
    line(Section::Verse, &[
        ("ay", 57.0, 300.0), ("w aa ch", 60.0, 380.0), ("dh iy", 60.0, 220.0), ("ae sh", 62.0, 360.0),
        ("ih z", 60.0, 240.0), ("s eh t", 59.0, 320.0), ("ah l", 57.0, 240.0), ("t uw", 57.0, 260.0),
        ("d ah s t", 55.0, 480.0),
    ]),
    line(Section::Verse, &[
        ("ah", 57.0, 180.0), ("w ih sh", 60.0, 340.0), ("ah", 60.0, 180.0), ("v ih zh", 62.0, 340.0),
        ("ah n", 60.0, 240.0), ("iy ch", 59.0, 360.0), ("s t eh p", 60.0, 320.0), ("ah", 59.0, 180.0),
        ("s iy z", 57.0, 420.0), ("ah n", 55.0, 360.0),
    ]),
    line(Section::Verse, &[
        ("y uw", 57.0, 280.0), ("j ah s t", 60.0, 320.0), ("l ih s", 62.0, 340.0), ("ah n", 60.0, 240.0),
        ("t uw", 59.0, 260.0), ("dh ah", 57.0, 180.0), ("s ih t", 59.0, 320.0), ("iy z", 57.0, 320.0),
        ("hh ah sh", 55.0, 480.0),
    ]),
    line(Section::Middle, &[
        ("ao l", 62.0, 400.0), ("dh ah", 60.0, 200.0), ("w ih s", 62.0, 340.0), ("p er z", 60.0, 380.0),
        ("ch ey s", 64.0, 480.0), ("m ay", 62.0, 420.0), ("s l iy p", 60.0, 500.0),
    ]),
    line(Section::Middle, &[
        ("ih n", 60.0, 280.0), ("dh ah", 60.0, 200.0), ("m ih s t", 64.0, 400.0), ("dh ah", 62.0, 200.0),
        ("sh ae", 65.0, 420.0), ("d ow z", 64.0, 420.0), ("r iy ch", 60.0, 500.0),
    ]),
    line(Section::Middle, &[
        ("l uw s", 62.0, 420.0), ("ae z", 60.0, 260.0), ("ae sh", 64.0, 380.0), ("ih z", 62.0, 280.0),
        ("s ao f t", 65.0, 420.0), ("ae z", 62.0, 280.0), ("s n ow", 60.0, 500.0),
    ]),
    line(Section::Middle, &[
        ("ah", 60.0, 200.0), ("t r eh zh", 64.0, 380.0), ("er", 62.0, 300.0), ("ch eh s t", 64.0, 400.0),
        ("ah v", 62.0, 220.0), ("m ih s", 62.0, 340.0), ("t iy", 60.0, 320.0), ("b r eh th", 57.0, 500.0),
    ]),
    line(Section::Chorus, &[
        ("ow", 64.0, 420.0), ("sh ay n", 67.0, 460.0), ("aa n", 67.0, 320.0), ("ah s", 65.0, 360.0),
        ("s t aa r z", 69.0, 500.0), ("sh ay n", 67.0, 460.0), ("aa n", 65.0, 320.0), ("ah s", 64.0, 480.0),
    ]),
    line(Section::Chorus, &[
        ("r ey z", 67.0, 480.0), ("dh ah", 65.0, 220.0), ("v oy s", 69.0, 440.0), ("ih z", 67.0, 340.0),
        ("sh aw t", 70.0, 500.0), ("ih t", 67.0, 300.0), ("s t r ao ng", 65.0, 500.0),
    ]),
    line(Section::Chorus, &[
        ("w iy", 64.0, 320.0), ("ch ey s", 69.0, 460.0), ("dh ah", 67.0, 220.0), ("s t ao r m", 70.0, 500.0),
        ("w iy", 67.0, 320.0), ("t ah ch", 69.0, 380.0), ("dh ah", 65.0, 220.0), ("s ah n", 64.0, 500.0),
    ]),
    line(Section::Chorus, &[
        ("n eh v", 67.0, 340.0), ("er", 65.0, 320.0), ("s iy s", 69.0, 480.0), ("j ah s t", 67.0, 380.0),
        ("sh ey k", 70.0, 460.0), ("dh iy z", 67.0, 420.0), ("ch ey n z", 65.0, 500.0),
    ]),
];
