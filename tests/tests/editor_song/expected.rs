//! What an engine of the same settings reports of the song, and the list that the editor copies.

use siskin_dsp::{
    COUNTED_SIBILANT_S, Channels, Class, Engine, EngineConfig, Lookahead, Settings, SibilantLevels,
    SibilantSums, SongSection, VoiceLevels, section_of,
};
use siskin_tests::hosts::clap::LiveSound;
use siskin_tests::hosts::window::raw_song;

/// Samples of a block of the rig.
pub const BLOCK: usize = 480;
/// Sample rate, Hz.
pub const RATE_HZ: f64 = 48_000.0;
/// A sibilant further than this from what was asked is left to do, LU.
const NEAR_LU: f32 = 2.0;
/// So slow that many sibilants are over before they are turned down.
pub const SLOW: [(&str, &str); 4] = [
    ("look", "0 ms"),
    ("sib_att", "10 ms"),
    ("sib_prop", "-20 LU"),
    ("sib_range", "18 dB"),
];

/// The same for an engine.
pub fn slow() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.attack_ms = 10.0;
    settings.sibilance.proportion_lu = -20.0;
    settings.sibilance.range_db = 18.0;
    settings
}

/// A line of the list of what is left to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub place: String,
    pub time: String,
    section: usize,
    levels: [f32; 4],
    is_limited: bool,
}

impl Line {
    fn read(line: &str) -> Self {
        let fields: Vec<&str> = line.split('\t').collect();
        let number = |index: usize| fields[index].parse().unwrap();
        Self {
            place: fields[0].to_owned(),
            time: fields[1].to_owned(),
            section: fields[2].parse().unwrap(),
            levels: [3, 4, 5, 6].map(number),
            is_limited: fields[7] == "cut off",
        }
    }

    /// Seconds of the song.
    pub fn time_s(&self) -> f64 {
        let (sign, time) = match self.time.strip_prefix('-') {
            Some(time) => (-1.0, time),
            None => (1.0, self.time.as_str()),
        };
        let (minutes, seconds) = time.split_once(':').unwrap();
        sign * (60.0 * minutes.parse::<f64>().unwrap() + seconds.parse::<f64>().unwrap())
    }
}

/// What an engine of the same settings reports of the song.
pub struct Expected {
    sibilants: Vec<(f64, SibilantLevels)>,
    pub sections: Vec<SongSection>,
}

impl Expected {
    pub fn of(sound: &LiveSound, settings: &Settings) -> Self {
        let config = EngineConfig {
            sample_rate_hz: RATE_HZ,
            channels: 2,
            link: Channels::Linked,
            reference_channels: 0,
            lookahead: Lookahead::None,
        };
        let mut engine = Engine::new(config, settings);
        let hop_s = engine.hop_samples() as f32 / RATE_HZ as f32;
        let mut levels = VoiceLevels::default();
        let mut current: Option<(f64, SibilantSums)> = None;
        let mut sibilants = Vec::new();
        for start in (0..played(sound)).step_by(BLOCK) {
            let mut block: Vec<Vec<f32>> = sound
                .voice
                .iter()
                .map(|channel| channel[start..start + BLOCK].to_vec())
                .collect();
            let mut block: Vec<&mut [f32]> = block.iter_mut().map(Vec::as_mut_slice).collect();
            engine.locate(start as i64);
            engine.process(&mut block, &[], &mut |report| {
                levels.add(report, hop_s);
                if report.class == Class::Sibilant && report.voice_detected {
                    let start_s = report.centre_sample as f64 / RATE_HZ;
                    let (_, sums) = current.get_or_insert((start_s, SibilantSums::default()));
                    sums.add(report);
                } else if let Some((start_s, sums)) = current.take()
                    && sums.hops() * f64::from(hop_s) >= f64::from(COUNTED_SIBILANT_S)
                {
                    sibilants.push((start_s, sums.levels(&settings.sibilance)));
                }
            });
        }
        Self {
            sibilants,
            sections: levels.sections(),
        }
    }
}

/// Samples of the song in whole blocks.
pub fn played(sound: &LiveSound) -> usize {
    sound.voice[0].len() / BLOCK * BLOCK
}

/// A song as it was sung, as fast as it can be played.
pub fn song() -> LiveSound {
    raw_song().fast()
}

/// The lines of a copied list.
pub fn read(text: &str) -> Vec<Line> {
    let mut lines = text.lines();
    assert_eq!(
        lines.next().unwrap(),
        "place\ttime\tsection\tbefore LU\tasked LU\tleft LU\toff LU\tRange"
    );
    lines.map(Line::read).collect()
}

/// That each line names the bar of its time.
pub fn assert_bars(lines: &[Line], bar_s: f64) {
    for line in lines {
        let bar = (line.time_s() / bar_s).floor() + 1.0;
        assert!(
            line.place.starts_with(&format!("bar {bar:.0}, beat ")),
            "{line:?}"
        );
    }
}

/// That the list is what an engine hears of the song, which begins at `start_s`.
pub fn assert_as_played(lines: &[Line], expected: &Expected, start_s: f64) {
    // What is left to do, worst first.
    let off_lu = |levels: &SibilantLevels| (levels.left_lufs - levels.asked_lufs).abs();
    let mut far = expected.sibilants.clone();
    far.retain(|(_, levels)| off_lu(levels) > NEAR_LU);
    far.sort_by(|(_, one), (_, other)| off_lu(other).total_cmp(&off_lu(one)));
    assert!(far.len() >= 5, "{far:?}");
    assert!(expected.sections.len() >= 2, "{:?}", expected.sections);
    assert_eq!(lines.len(), far.len());
    for (line, (time_s, levels)) in lines.iter().zip(far) {
        let late_s = line.time_s() - start_s - time_s;
        assert!((-0.11..0.11).contains(&late_s), "{line:?} at {time_s}");
        let voice_lufs = levels.voice_lufs;
        let [before, asked, left, off] = line.levels;
        for (got, put) in [
            (before, levels.before_lufs - voice_lufs),
            (asked, levels.asked_lufs - voice_lufs),
            (left, levels.left_lufs - voice_lufs),
            (off, levels.left_lufs - levels.asked_lufs),
        ] {
            assert!((got - put).abs() < 0.1, "{line:?} {levels:?}");
        }
        assert_eq!(line.is_limited, levels.is_limited, "{line:?}");
        assert_eq!(
            line.section,
            section_of(&expected.sections, time_s as f32),
            "{line:?}"
        );
    }
}
