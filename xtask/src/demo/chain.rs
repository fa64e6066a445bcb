//! The renderings: what a mixer does today, and the one insert instead.

use std::ops::Range;
use std::path::Path;

use anyhow::Result;
use siskin_dsp::SibilanceSettings;
use siskin_tests::host::{Bundle, Mode, Render};
use siskin_tests::measure::{above, mean, read_sibilants};
use siskin_tests::oracle::{FixedSibilanceSettings, HARD_LEVELLER, boost, compress, tame};
use siskin_tests::voices::{Kind, Section, Song};

use super::figures::asked_lu;

/// A fixed sibilance stage as it is set by default in (c); its threshold is found.
const FIXED_STAGE: FixedSibilanceSettings = FixedSibilanceSettings {
    from_hz: 4000.0,
    threshold_db: 0.0,
    ratio: 6.0,
    range_db: 12.0,
    attack_ms: 0.5,
    release_ms: 30.0,
};
/// Siskin's own leveller in (e): the chorus comes down by as much as in (b).
const OWN_LEVELLER: [(&str, &str); 5] = [
    ("lev_on", "on"),
    ("lev_thr", "-42 dB"),
    ("lev_ratio", "6"),
    ("lev_knee", "18 dB"),
    ("lev_gain", "21 dB"),
];
/// Names of the sound files, in the order of the renderings.
pub const FILES: [&str; 5] = [
    "a-raw",
    "b-levelled-untamed",
    "c-levelled-two-fixed-stages",
    "d-levelled-siskin",
    "e-siskin-alone",
];

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
        let (fixed, fixed_offset_db) = fixed_stack(song, &untamed);
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
        let chorus_reduction_db = mean(&over(
            &levelled.reduction_db,
            &song.spans(Section::Chorus, Kind::Vowel),
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
            chorus_reduction_db,
            fixed_offset_db,
        })
    }

    /// The five that a person hears.
    pub fn all(&self) -> [Rendering<'_>; 5] {
        let rendering = |index: usize, name, audio, before| Rendering {
            file: FILES[index],
            letter: ['a', 'b', 'c', 'd', 'e'][index],
            name,
            audio,
            before,
        };
        [
            rendering(0, "raw voice", &self.raw, &self.raw),
            rendering(
                1,
                "levelled hard and boosted, untamed",
                &self.untamed,
                &self.untamed,
            ),
            rendering(
                2,
                "with two fixed stages, set for the chorus",
                &self.fixed,
                &self.untamed,
            ),
            rendering(
                3,
                "as b, then Siskin once, at its defaults",
                &self.siskin,
                &self.untamed,
            ),
            rendering(
                4,
                "Siskin alone, with its own leveller",
                &self.alone,
                &self.alone_untamed,
            ),
        ]
    }
}

/// Where a new insert measures sibilance, Hz.
pub fn from_hz() -> f64 {
    f64::from(SibilanceSettings::default().from_hz)
}

/// One insert on a mono track, as a host renders it offline, latency compensated.
fn insert(clap: &Path, rate_hz: f64, audio: &[f32], settings: &[(&str, &str)]) -> Result<Vec<f32>> {
    let mut plugin = Bundle::load(clap)?.plugin("Siskin")?;
    plugin.select_channels(1)?;
    plugin.set_mode(Mode::Offline)?;
    for (id, value) in settings {
        plugin.set(id, value)?;
    }
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

/// The practice that one insert replaces: a fixed stage before the leveller and one at the end. Both thresholds lie
/// the same offset from the level that the chorus' sibilants have at that place; the offset is searched until the
/// chorus comes out at the proportion that Siskin would ask for, as a careful mixer would set it by ear.
fn fixed_stack(song: &Song, untamed: &[f32]) -> (Vec<f32>, f64) {
    let rate_hz = song.sample_rate_hz;
    let chorus = song.spans(Section::Chorus, Kind::Sibilant);
    let vowels = song.spans(Section::Chorus, Kind::Vowel);
    let proportion_lu = |audio: &[f32]| {
        let readings = read_sibilants(audio, rate_hz, &chorus, &vowels, from_hz());
        readings
            .iter()
            .map(|reading| reading.proportion_lu())
            .collect::<Vec<_>>()
    };
    let target_lu = mean(
        &proportion_lu(untamed)
            .into_iter()
            .map(asked_lu)
            .collect::<Vec<_>>(),
    );
    let before_db = band_level_db(&song.audio, rate_hz, &chorus);
    let after_db = band_level_db(untamed, rate_hz, &chorus);
    let stack = |offset_db: f64| {
        let stage = |threshold_db: f64| FixedSibilanceSettings {
            threshold_db,
            ..FIXED_STAGE
        };
        let first = tame(&song.audio, rate_hz, &stage(before_db + offset_db));
        let levelled = compress(&first, rate_hz, &HARD_LEVELLER);
        let boosted = boost(&levelled.audio, rate_hz);
        tame(&boosted, rate_hz, &stage(after_db + offset_db))
    };
    let (mut low_db, mut high_db) = (-18.0, 12.0);
    for _ in 0..8 {
        let middle_db = 0.5 * (low_db + high_db);
        if mean(&proportion_lu(&stack(middle_db))) > target_lu {
            high_db = middle_db;
        } else {
            low_db = middle_db;
        }
    }
    let offset_db = 0.5 * (low_db + high_db);
    (stack(offset_db), offset_db)
}

/// Mean level in dBFS of the band above `Detect from` over `spans`.
fn band_level_db(audio: &[f32], rate_hz: f64, spans: &[Range<usize>]) -> f64 {
    let band = above(audio, rate_hz, from_hz());
    let squares: Vec<f32> = over(&band, spans).iter().map(|sample| sample * sample).collect();
    10.0 * f64::from(mean(&squares)).log10()
}

fn over(signal: &[f32], spans: &[Range<usize>]) -> Vec<f32> {
    spans
        .iter()
        .flat_map(|span| signal[span.clone()].iter().copied())
        .collect()
}
