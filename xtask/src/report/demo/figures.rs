//! What the renderings measure.

use siskin_tests::measurement::figures::properties::{BeforeAfter, OwnRule, Played, proportions_lu};
use siskin_tests::measurement::levels::{integrated_lufs, mean, residual_db, share_within, vowel_changes_db};
use siskin_tests::measurement::voices::singer::{Kind, Section, Song};

use super::chain::{Rendering, Renderings};

/// One rendering in one section.
pub struct Row {
    pub letter: char,
    pub name: &'static str,
    pub section: Section,
    pub sibilants: usize,
    /// Mean proportion of the labelled sibilants, LU, and by how much it is off what was asked for.
    pub proportion_lu: f32,
    pub error_lu: f32,
    /// Shares of sibilants within 1 and 2 LU of what was asked for.
    pub within_1_lu: f32,
    pub within_2_lu: f32,
    /// Mean change over labelled vowels, dB, and the share of 10 ms hops that change by more than 0.5 dB.
    pub vowel_change_db: f32,
    pub vowels_beyond_half_db: f32,
    pub loudness_lufs: f32,
}

/// Everything that the demo measures.
pub struct Figures {
    pub rows: Vec<Row>,
    /// Shares of sibilants within 1 LU of what Siskin's own reported threshold asks, by section.
    pub own: [(Section, f32); 3],
    /// Input gain in dB and residual in dB after undoing it.
    pub invariance: Vec<(f32, f32)>,
    /// How far levelling alone lifts the verse's sibilants, LU: the textbook compressor, Siskin's leveller.
    pub textbook_lift_lu: f32,
    pub own_lift_lu: f32,
    pub chorus_reduction_db: f32,
    pub fixed_offset_db: f64,
    /// The highest peak of what voice and breaths together leave of the whole, dB of full scale.
    pub parts_residual_db: f32,
}

impl Figures {
    /// Measures all renderings of `song`.
    pub fn of(song: &Song, renderings: &Renderings, trace: &Played) -> Self {
        let verse = |audio: &[f32]| mean(&proportions(song, Section::Verse, audio));
        let before_lu = verse(&renderings.boosted);
        let own = OwnRule::new(&renderings.untamed, &renderings.siskin, trace);
        let residual =
            |(gain_db, audio): &(f32, Vec<f32>)| (*gain_db, residual_db(&renderings.siskin, audio));
        let renderings_of = renderings.all();
        let rows = renderings_of
            .iter()
            .flat_map(|rendering| Section::ALL.map(|section| row(song, rendering, section)));
        Self {
            rows: rows.collect(),
            own: Section::ALL.map(|section| {
                let spans = song.spans(section, Kind::Sibilant).into_iter();
                let errors: Vec<f32> = spans.map(|span| own.error_lu(span)).collect();
                (section, share_within(&errors, 1.0))
            }),
            invariance: renderings.scaled.iter().map(residual).collect(),
            textbook_lift_lu: verse(&renderings.untamed) - before_lu,
            own_lift_lu: verse(&renderings.alone_untamed) - before_lu,
            chorus_reduction_db: renderings.chorus_reduction_db,
            fixed_offset_db: renderings.fixed_offset_db,
            parts_residual_db: renderings.parts_residual_db,
        }
    }

    /// The row of one rendering in one section.
    pub fn row(&self, letter: char, section: Section) -> Option<&Row> {
        self.rows
            .iter()
            .find(|row| row.letter == letter && row.section == section)
    }
}

/// Sibilants of a section, read against the section's vowels around them: where sections meet, the other's level is no measure.
fn proportions(song: &Song, section: Section, audio: &[f32]) -> Vec<f32> {
    let [sibilants, vowels] = [Kind::Sibilant, Kind::Vowel].map(|kind| song.spans(section, kind));
    proportions_lu(audio, &sibilants, &vowels)
}

fn row(song: &Song, rendering: &Rendering, section: Section) -> Row {
    let rate_hz = song.sample_rate_hz;
    let [sibilants, vowels] = [Kind::Sibilant, Kind::Vowel].map(|kind| song.spans(section, kind));
    let proportions = proportions(song, section, rendering.audio);
    let errors = BeforeAfter::new(rendering.before, rendering.audio).errors_lu(&sibilants, &vowels);
    let changes = vowel_changes_db(rendering.before, rendering.audio, rate_hz, &vowels);
    Row {
        letter: rendering.letter,
        name: rendering.name,
        section,
        sibilants: proportions.len(),
        proportion_lu: mean(&proportions),
        error_lu: mean(&errors),
        within_1_lu: share_within(&errors, 1.0),
        within_2_lu: share_within(&errors, 2.0),
        vowel_change_db: mean(&changes),
        vowels_beyond_half_db: 1.0 - share_within(&changes, 0.5),
        loudness_lufs: integrated_lufs(&rendering.audio[song.section_span(section)], rate_hz),
    }
}
