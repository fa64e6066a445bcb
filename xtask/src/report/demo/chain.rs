//! The renderings: what a mixer does today, and the one insert instead.

use std::path::Path;

use anyhow::Result;
use siskin_tests::hosts::clap::{Bundle, Render};
use siskin_tests::measurement::figures::properties::asked_lu;
use siskin_tests::measurement::levels::mean;
use siskin_tests::measurement::models::{FixedStack, HARD_LEVELLER, SetFor, boost, compress};
use siskin_tests::measurement::voices::signals;
use siskin_tests::measurement::voices::singer::{Kind, Section, Song};

/// Siskin's own leveller in (e): the chorus comes down by as much as in (b).
const OWN_LEVELLER: [(&str, &str); 5] = [
    ("lev_on", "on"),
    ("lev_thr", "-42 dB"),
    ("lev_ratio", "6"),
    ("lev_knee", "18 dB"),
    ("lev_gain", "21 dB"),
];
/// The sound files, which begin with the letter of their rendering, and what each holds.
pub const FILES: [(&str, &str); 5] = [
    ("a-raw", "raw voice"),
    ("b-levelled-untamed", "levelled hard and boosted, untamed"),
    (
        "c-levelled-two-fixed-stages",
        "with two fixed stages, set for the chorus",
    ),
    (
        "d-levelled-siskin",
        "levelled hard and boosted, then Siskin at its defaults",
    ),
    ("e-siskin-alone", "Siskin alone, with its own leveller"),
];

/// The parts of (d), as the parameter Part has them, and their sound files.
pub const PARTS: [(&str, &str); 2] = [
    ("voice", "f-siskin-voice-without-breaths"),
    ("breaths", "g-siskin-breaths-alone"),
];
/// How the parts are rendered: each breath from its first millisecond on, and held.
const PARTED: [(&str, &str); 2] = [("look", "300 ms"), ("br_on", "on")];

/// One way to treat the voice.
pub struct Rendering<'a> {
    pub file: &'static str,
    pub letter: char,
    pub name: &'static str,
    pub audio: &'a [f32],
    /// The same voice without its sibilance stages: what they are judged against.
    pub before: &'a [f32],
}

/// All renderings of one song, mono.
pub struct Renderings {
    pub raw: Vec<f32>,
    pub untamed: Vec<f32>,
    pub fixed: Vec<f32>,
    pub siskin: Vec<f32>,
    pub alone: Vec<f32>,
    /// (e) with Sibilance off: what its leveller does by itself.
    pub alone_untamed: Vec<f32>,
    /// The boosted voice before any levelling: what a leveller's effect on proportion is judged against.
    pub boosted: Vec<f32>,
    /// (d)'s input at other gains, rendered, with the gain undone: gain in dB and sound.
    pub scaled: Vec<(f32, Vec<f32>)>,
    /// The voice of (d)'s input without its breaths, and the breaths alone.
    pub parts: [Vec<f32>; 2],
    /// The highest peak of what both together leave of the whole, dB of full scale.
    pub parts_residual_db: f32,
    /// Mean gain reduction of the textbook leveller over the chorus' vowels, dB.
    pub chorus_reduction_db: f32,
    /// Offset of the fixed stages' thresholds from the chorus sibilants' own level, dB.
    pub fixed_offset_db: f64,
}

impl Renderings {
    /// Renders `song`, through the bundle at `clap` where Siskin is meant.
    pub fn of(song: &Song, clap: &Path, say: &dyn Fn(&'static str)) -> Result<Self> {
        let rate_hz = song.sample_rate_hz;
        say("levelling");
        let levelled = compress(&song.audio, rate_hz, &HARD_LEVELLER);
        let untamed = boost(&levelled.audio, rate_hz);
        say("two fixed stages, set for the chorus");
        let (fixed, fixed_offset_db) = fixed_stack(song);
        say("Siskin after the leveller");
        let siskin = insert(clap, rate_hz, &untamed, &[])?;
        say("Siskin alone");
        let boosted = boost(&song.audio, rate_hz);
        let alone = insert(clap, rate_hz, &boosted, &OWN_LEVELLER)?;
        let without: Vec<_> = OWN_LEVELLER.into_iter().chain([("sib_on", "off")]).collect();
        let alone_untamed = insert(clap, rate_hz, &boosted, &without)?;
        say("the same at other input gains");
        let scaled = [-18.0, 12.0]
            .into_iter()
            .map(|gain_db| Ok((gain_db, at_gain(clap, rate_hz, &untamed, gain_db)?)))
            .collect::<Result<_>>()?;
        say("voice and breaths apart");
        let whole = insert(clap, rate_hz, &untamed, &PARTED)?;
        let [voice, breaths] = PARTS.map(|(part, _)| {
            let settings: Vec<_> = PARTED.into_iter().chain([("part", part)]).collect();
            insert(clap, rate_hz, &untamed, &settings)
        });
        let parts = [voice?, breaths?];
        let parts_residual_db = peak_residual_db(&whole, &parts);
        let chorus_reduction_db = mean(&signals::parts(
            &levelled.reduction_db,
            song.spans(Section::Chorus, Kind::Vowel),
        ));
        Ok(Self {
            raw: song.audio.clone(),
            untamed,
            fixed,
            siskin,
            alone,
            alone_untamed,
            boosted,
            scaled,
            parts,
            parts_residual_db,
            chorus_reduction_db,
            fixed_offset_db,
        })
    }

    /// The five to listen to.
    pub fn all(&self) -> [Rendering<'_>; 5] {
        let sounds = [
            (&self.raw, &self.raw),
            (&self.untamed, &self.untamed),
            (&self.fixed, &self.untamed),
            (&self.siskin, &self.untamed),
            (&self.alone, &self.alone_untamed),
        ];
        std::array::from_fn(|index| {
            let ((file, name), (audio, before)) = (FILES[index], sounds[index]);
            let letter = ['a', 'b', 'c', 'd', 'e'][index];
            Rendering {
                file,
                letter,
                name,
                audio,
                before,
            }
        })
    }
}

/// One insert on a mono track, as a host renders it offline, latency compensated.
fn insert(clap: &Path, rate_hz: f64, audio: &[f32], settings: &[(&str, &str)]) -> Result<Vec<f32>> {
    let mut plugin = Bundle::load(clap)?.plugin("Siskin")?;
    plugin.prepare(1, settings)?;
    let voice = [audio.to_vec()];
    let rendering = plugin.render(&Render::new(rate_hz, &voice), &mut |_frames| {})?;
    Ok(rendering.audio.into_iter().next().unwrap_or_default())
}

fn at_gain(clap: &Path, rate_hz: f64, audio: &[f32], gain_db: f32) -> Result<Vec<f32>> {
    let gain = 10f32.powf(gain_db / 20.0);
    let scaled: Vec<f32> = audio.iter().map(|sample| sample * gain).collect();
    let rendered = insert(clap, rate_hz, &scaled, &[])?;
    Ok(rendered.iter().map(|sample| sample / gain).collect())
}

/// The practice that one insert replaces, set for the chorus: the sound, and how far its thresholds lie from the
/// chorus' sibilants, dB.
fn fixed_stack(song: &Song) -> (Vec<f32>, f64) {
    let stack = FixedStack::set_for(&SetFor {
        raw: &song.audio,
        sample_rate_hz: song.sample_rate_hz,
        sibilants: &song.spans(Section::Chorus, Kind::Sibilant),
        vowels: &song.spans(Section::Chorus, Kind::Vowel),
        asked_lu,
    });
    (stack.whole(&song.audio, song.sample_rate_hz), stack.offset_db)
}

/// The highest peak of a whole less the sum of its parts, dB of full scale.
fn peak_residual_db(whole: &[f32], [voice, breaths]: &[Vec<f32>; 2]) -> f32 {
    let parts = voice.iter().zip(breaths);
    let residuals = whole
        .iter()
        .zip(parts)
        .map(|(whole, (voice, breath))| voice + breath - whole);
    20.0 * signals::peak(&residuals.collect::<Vec<_>>()).log10()
}
