//! What the renderings measure.

use siskin_tests::measurement::figures::properties::{Played, asked_db, asked_lu, from_hz};
use siskin_tests::measurement::levels::{
    SibilantReading, above, integrated_lufs, k_weighted, lufs, mean, read_sibilants, residual_db,
    share_within, vowel_changes_db,
};
use siskin_tests::measurement::voices::singer::{Kind, Section, Song};

use super::chain::{Rendering, Renderings};

/// One rendering in one section.
pub struct Row {
    pub letter: char,
    pub name: &'static str,
    pub section: Section,
    pub sibilants: usize,
    /// Mean proportion of the labelled sibilants, LU, and what was asked for.
    pub proportion_lu: f32,
    pub target_lu: f32,
    /// Shares of sibilants within 1 and 2 LU of what was asked for.
    pub within_1_lu: f32,
    pub within_2_lu: f32,
    /// Mean change over labelled vowels, dB, and the share of 10 ms hops that change by more than 0.5 dB.
    pub vowel_change_db: f32,
    pub vowels_beyond_half_db: f32,
    pub loudness_lufs: f32,
}

/// Siskin against its own reported threshold, in one section.
pub struct OwnRow {
    pub section: Section,
    pub within_1_lu: f32,
    pub mean_error_lu: f32,
}

/// Everything that the demo tells.
pub struct Figures {
    pub rows: Vec<Row>,
    pub own: Vec<OwnRow>,
    /// Input gain in dB and residual in dB after undoing it.
    pub invariance: Vec<(f32, f32)>,
    /// How far levelling alone lifts the verse's sibilants, LU: the textbook compressor, Siskin's leveller.
    pub textbook_lift_lu: f32,
    pub own_lift_lu: f32,
    pub chorus_reduction_db: f32,
    pub fixed_offset_db: f64,
}

impl Figures {
    /// Measures all renderings of `song`.
    pub fn of(song: &Song, renderings: &Renderings, trace: &Played) -> Self {
        let verse = |audio: &[f32]| mean(&proportions(&readings(song, Section::Verse, audio)));
        let before_lu = verse(&renderings.boosted);
        let sections = || Section::ALL.into_iter();
        Self {
            rows: renderings
                .all()
                .iter()
                .flat_map(|rendering| {
                    sections()
                        .map(|section| row(song, rendering, section))
                        .collect::<Vec<_>>()
                })
                .collect(),
            own: sections()
                .map(|section| own_row(song, renderings, trace, section))
                .collect(),
            invariance: renderings
                .scaled
                .iter()
                .map(|(gain_db, audio)| (*gain_db, residual_db(&renderings.siskin, audio)))
                .collect(),
            textbook_lift_lu: verse(&renderings.untamed) - before_lu,
            own_lift_lu: verse(&renderings.alone_untamed) - before_lu,
            chorus_reduction_db: renderings.chorus_reduction_db,
            fixed_offset_db: renderings.fixed_offset_db,
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
fn readings(song: &Song, section: Section, audio: &[f32]) -> Vec<SibilantReading> {
    let vowels = song.spans(section, Kind::Vowel);
    read_sibilants(
        audio,
        song.sample_rate_hz,
        &song.spans(section, Kind::Sibilant),
        &vowels,
        from_hz(),
    )
}

fn proportions(readings: &[SibilantReading]) -> Vec<f32> {
    readings.iter().map(SibilantReading::proportion_lu).collect()
}

fn row(song: &Song, rendering: &Rendering, section: Section) -> Row {
    let rate_hz = song.sample_rate_hz;
    let after = proportions(&readings(song, section, rendering.audio));
    let targets: Vec<f32> = proportions(&readings(song, section, rendering.before))
        .into_iter()
        .map(asked_lu)
        .collect();
    let errors: Vec<f32> = after
        .iter()
        .zip(&targets)
        .map(|(after, target)| after - target)
        .collect();
    let vowels = song.spans(section, Kind::Vowel);
    let changes = vowel_changes_db(rendering.before, rendering.audio, rate_hz, &vowels);
    Row {
        letter: rendering.letter,
        name: rendering.name,
        section,
        sibilants: after.len(),
        proportion_lu: mean(&after),
        target_lu: mean(&targets),
        within_1_lu: share_within(&errors, 1.0),
        within_2_lu: share_within(&errors, 2.0),
        vowel_change_db: mean(&changes),
        vowels_beyond_half_db: 1.0 - share_within(&changes, 0.5),
        loudness_lufs: integrated_lufs(&rendering.audio[song.section_span(section)], rate_hz),
    }
}

/// (d) against the threshold that the stage itself reported.
fn own_row(song: &Song, renderings: &Renderings, trace: &Played, section: Section) -> OwnRow {
    let band = |audio: &[f32]| k_weighted(&above(audio, song.sample_rate_hz, from_hz()), song.sample_rate_hz);
    let (before, after) = (band(&renderings.untamed), band(&renderings.siskin));
    let errors: Vec<f32> = song
        .spans(section, Kind::Sibilant)
        .into_iter()
        .map(|span| {
            let threshold_lufs = trace.mean_over(&span, |report| report.threshold_lufs);
            let (input, output) = (lufs(&before[span.clone()]), lufs(&after[span]));
            output - (input - asked_db(input - threshold_lufs))
        })
        .collect();
    OwnRow {
        section,
        within_1_lu: share_within(&errors, 1.0),
        mean_error_lu: mean(&errors),
    }
}
