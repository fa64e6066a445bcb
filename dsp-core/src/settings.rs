//! Settings of the engine, as plain values in the units that a person reads. The engine smooths a change. Ranges and
//! defaults are in the table of parameters.

/// How far the output lags the input, so that the gain is in place before the sibilant arrives.
///
/// It changes the latency, so it is part of the configuration and not of [`Settings`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lookahead {
    /// No latency; the gain follows the onset.
    None,
    /// 2 ms.
    Short,
    /// 5 ms: the onset of a sibilant is caught whole.
    #[default]
    Long,
    /// 300 ms, for mixing: every sibilant and breath is known whole before it is heard, and the voice on both sides of it. An s
    /// of 150 ms and 145 ms of the voice after it fit in.
    Mixing,
}

impl Lookahead {
    /// Every length, in the order in which songs save them.
    pub const ALL: [Self; 4] = [Self::None, Self::Short, Self::Long, Self::Mixing];

    /// The length in milliseconds.
    #[must_use]
    pub fn ms(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Short => 2.0,
            Self::Long => 5.0,
            Self::Mixing => 300.0,
        }
    }

    /// True if the engine keeps what it analysed until that is heard. It then holds more memory, so that an engine cannot change
    /// to or from such a lookahead while sound runs.
    #[must_use]
    pub fn keeps_hops(self) -> bool {
        self == Self::Mixing
    }

    /// The length in samples at `sample_rate_hz`, rounded to the nearest.
    #[must_use]
    pub fn samples(self, sample_rate_hz: f64) -> usize {
        (self.ms() * 1e-3 * sample_rate_hz).round() as usize
    }
}

/// Whether the two channels of a stereo track are heard and treated as one.
///
/// It decides how much an engine holds, so it is part of the configuration and not of [`Settings`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Channels {
    /// As one: one detection, and one gain for both.
    #[default]
    Linked,
    /// Each for itself: a sibilant on one side leaves a word on the other alone. Both share the leveller and the voice level.
    Apart,
}

impl Channels {
    /// Every choice, in the order in which songs save them.
    pub const ALL: [Self; 2] = [Self::Linked, Self::Apart];

    /// How many sides are heard of `channels` (1 or 2).
    #[must_use]
    pub fn sides(self, channels: usize) -> usize {
        match self {
            Self::Linked => 1,
            Self::Apart => channels,
        }
    }
}

/// The leveller: a feed-forward compressor whose detector ignores sibilants and breaths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevellerSettings {
    /// Off: the gain is exactly 1.
    pub on: bool,
    /// Threshold in dB RMS, where a full-scale sine reads 0 dB (AES17).
    pub threshold_db: f32,
    /// Ratio to one.
    pub ratio: f32,
    /// Width of the soft knee, centred on the threshold.
    pub knee_db: f32,
    /// Attack time constant (63 % of the way).
    pub attack_ms: f32,
    /// Release time constant after a peak (63 % of the way); five times as long after a lasting reduction.
    pub release_ms: f32,
    /// Gain after levelling.
    pub makeup_db: f32,
    /// Adds the gain, 0 ... 30 dB, that gives the voice the level that it had before levelling, in the long run.
    pub auto_makeup: bool,
}

/// The sibilance stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SibilanceSettings {
    /// Off: the stage does nothing.
    pub on: bool,
    /// The adaptive threshold above the voice level.
    pub proportion_lu: f32,
    /// Ratio above the threshold, to one; it may be infinite.
    pub ratio: f32,
    /// The most that is taken away.
    pub range_db: f32,
    /// Lower edge of the band in which sibilance is measured.
    pub from_hz: f32,
    /// How far down the reduction reaches: 0 (the sibilant band) ... 1 (the whole voice).
    pub reach: f32,
    /// Time until 99 % of a reduction is in place.
    pub attack_ms: f32,
    /// Time until 99 % of a reduction is gone.
    pub release_ms: f32,
}

/// Whose voice sets the adaptive threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FollowSource {
    /// The voice on the side-chain; this track's own while that is missing or silent.
    #[default]
    Reference,
    /// This track's own voice.
    ThisTrack,
}

impl FollowSource {
    /// Every source, in the order in which songs save them.
    pub const ALL: [Self; 2] = [Self::Reference, Self::ThisTrack];
}

/// The voice follower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FollowSettings {
    /// The voice level is the mean of so much voiced material.
    pub time_ms: f32,
    /// The voice level that is assumed after a reset until a voice is heard.
    pub start_lufs: f32,
    /// Whose voice is followed.
    pub source: FollowSource,
}

/// The breath stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreathSettings {
    /// Off: the stage does nothing.
    pub on: bool,
    /// The level above which a breath is reduced, relative to the voice level.
    pub proportion_lu: f32,
    /// The most that is taken away.
    pub range_db: f32,
    /// Corner of the low cut that acts on breaths only; `None` is off.
    pub low_cut_hz: Option<f32>,
}

/// What is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Listen {
    /// The processed voice.
    #[default]
    Output,
    /// What the sibilance and breath stages take away.
    Removed,
    /// The input of the sibilance detector: the voice above `from_hz`.
    Detector,
}

impl Listen {
    /// Every choice, in the order in which songs save them.
    pub const ALL: [Self; 3] = [Self::Output, Self::Removed, Self::Detector];
}

/// Which part of the track is heard. The parts add up to the whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Part {
    /// The voice with its breaths.
    #[default]
    Whole,
    /// The voice without its breaths; sibilants belong to it.
    Voice,
    /// The breaths alone.
    Breaths,
}

impl Part {
    /// Every part, in the order in which songs save them.
    pub const ALL: [Self; 3] = [Self::Whole, Self::Voice, Self::Breaths];
}

/// The end of the path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputSettings {
    /// Which part of the track is heard.
    pub part: Part,
    /// Output gain.
    pub gain_db: f32,
    /// What is heard.
    pub listen: Listen,
    /// The delayed input, untouched, latency kept.
    pub bypass: bool,
}

/// Everything that can be set while sound runs. The default is that of a new insert.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// The leveller.
    pub leveller: LevellerSettings,
    /// The sibilance stage.
    pub sibilance: SibilanceSettings,
    /// The voice follower.
    pub follow: FollowSettings,
    /// The breath stage.
    pub breath: BreathSettings,
    /// The end of the path.
    pub output: OutputSettings,
}

impl Settings {
    /// What benchmarks call "all on": the leveller with auto makeup, sibilance, breaths with a low cut, an output gain.
    #[must_use]
    pub fn all_on() -> Self {
        let mut settings = Self::default();
        settings.leveller.on = true;
        settings.leveller.auto_makeup = true;
        settings.breath.on = true;
        settings.breath.low_cut_hz = Some(120.0);
        settings.output.gain_db = -1.0;
        settings
    }

    /// All zero: where the table of parameters starts to write its defaults.
    pub(crate) const ZERO: Self = Self {
        leveller: LevellerSettings {
            on: false,
            threshold_db: 0.0,
            ratio: 0.0,
            knee_db: 0.0,
            attack_ms: 0.0,
            release_ms: 0.0,
            makeup_db: 0.0,
            auto_makeup: false,
        },
        sibilance: SibilanceSettings {
            on: false,
            proportion_lu: 0.0,
            ratio: 0.0,
            range_db: 0.0,
            from_hz: 0.0,
            reach: 0.0,
            attack_ms: 0.0,
            release_ms: 0.0,
        },
        follow: FollowSettings {
            time_ms: 0.0,
            start_lufs: 0.0,
            source: FollowSource::Reference,
        },
        breath: BreathSettings {
            on: false,
            proportion_lu: 0.0,
            range_db: 0.0,
            low_cut_hz: None,
        },
        output: OutputSettings {
            part: Part::Whole,
            gain_db: 0.0,
            listen: Listen::Output,
            bypass: false,
        },
    };
}
