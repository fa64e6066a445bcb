//! What a person sets, as plain values in the units that they read. No memory, no smoothing: the
//! engine smooths a change on its way to the sound.

/// How far the output lags the input so that the gain can stand before the sibilant arrives.
///
/// It changes the latency, hence it is part of the configuration and not of [`Settings`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lookahead {
    /// No latency; the gain follows the onset.
    None,
    /// 2 ms.
    Short,
    /// 5 ms: the onset of a sibilant is caught whole.
    #[default]
    Long,
}

impl Lookahead {
    /// The length in milliseconds.
    #[must_use]
    pub fn ms(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Short => 2.0,
            Self::Long => 5.0,
        }
    }

    /// The length in samples at `sample_rate_hz`, rounded to the nearest.
    #[must_use]
    pub fn samples(self, sample_rate_hz: f64) -> usize {
        (self.ms() * 1e-3 * sample_rate_hz).round() as usize
    }
}

/// The leveller: a feed-forward compressor whose detector is blind to sibilants and breaths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevellerSettings {
    /// Off: the gain is exactly 1, whatever levels the voice sits upstream of the insert.
    pub on: bool,
    /// Threshold in dB RMS, where a full-scale sine reads 0 dB (AES17); -60 ... 0.
    pub threshold_db: f32,
    /// Ratio, 1 ... 20 to one.
    pub ratio: f32,
    /// Width of the soft knee, centred on the threshold; 0 ... 36 dB.
    pub knee_db: f32,
    /// Attack time constant, 0.1 ... 100 ms (63 % of the way).
    pub attack_ms: f32,
    /// Release time constant after a peak, 10 ... 1000 ms (63 % of the way); five times as long after a lasting reduction.
    pub release_ms: f32,
    /// Gain after levelling, -12 ... +30 dB.
    pub makeup_db: f32,
    /// Adds the gain, 0 ... 30 dB, that gives the voice the level that it had before levelling, in the long run.
    pub auto_makeup: bool,
}

/// The sibilance stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SibilanceSettings {
    /// Off: the stage does nothing.
    pub on: bool,
    /// The adaptive threshold above the voice level, -24 ... +12 LU.
    pub proportion_lu: f32,
    /// Ratio above the threshold, 1 ... 20 to one, or infinity.
    pub ratio: f32,
    /// The most that is taken away, 0 ... 24 dB.
    pub range_db: f32,
    /// Lower edge of the band in which sibilance is measured, 2000 ... 10 000 Hz.
    pub from_hz: f32,
    /// How far down the reduction reaches: 0 (the sibilant band) ... 1 (the whole voice).
    pub reach: f32,
    /// Time until 99 % of a reduction stands, 0.1 ... 10 ms.
    pub attack_ms: f32,
    /// Time until 99 % of a reduction is gone, 5 ... 200 ms.
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

/// The voice follower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FollowSettings {
    /// How much voiced material the voice level is the mean of, 50 ... 3000 ms.
    pub time_ms: f32,
    /// The voice level that is assumed after a reset until a voice is heard, -50 ... -6 LUFS.
    pub start_lufs: f32,
    /// Whose voice is followed.
    pub source: FollowSource,
}

/// The breath stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreathSettings {
    /// Off: the stage does nothing.
    pub on: bool,
    /// The level above which a breath is held, relative to the voice level, -40 ... 0 LU.
    pub proportion_lu: f32,
    /// The most that is taken away, 0 ... 24 dB.
    pub range_db: f32,
    /// Corner of the low cut that acts on breaths only, 40 ... 1000 Hz; `None` is off.
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
    /// What the sibilance detector hears: the voice above `from_hz`.
    Detector,
}

/// The end of the path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputSettings {
    /// Output gain, -24 ... +24 dB.
    pub gain_db: f32,
    /// What is heard.
    pub listen: Listen,
    /// The delayed input, untouched, latency kept.
    pub bypass: bool,
}

/// Everything that can be set while sound runs. The defaults are those of a new insert.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
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
    /// These settings with every value inside its range, and those of `previous` where a value is no number. An
    /// infinite ratio is meant.
    pub(crate) fn sanitized(&self, previous: &Self) -> Self {
        let value = |value: f32, previous: f32, low: f32, high: f32| {
            if value.is_finite() {
                value.clamp(low, high)
            } else {
                previous
            }
        };
        let (this, last) = (self, previous);
        let ratio = if this.sibilance.ratio == f32::INFINITY {
            f32::INFINITY
        } else {
            value(this.sibilance.ratio, last.sibilance.ratio, 1.0, 20.0)
        };
        let low_cut_hz = this
            .breath
            .low_cut_hz
            .filter(|hz| hz.is_finite())
            .map(|hz| hz.clamp(40.0, 1000.0));
        Self {
            leveller: LevellerSettings {
                on: this.leveller.on,
                threshold_db: value(this.leveller.threshold_db, last.leveller.threshold_db, -60.0, 0.0),
                ratio: value(this.leveller.ratio, last.leveller.ratio, 1.0, 20.0),
                knee_db: value(this.leveller.knee_db, last.leveller.knee_db, 0.0, 36.0),
                attack_ms: value(this.leveller.attack_ms, last.leveller.attack_ms, 0.1, 100.0),
                release_ms: value(this.leveller.release_ms, last.leveller.release_ms, 10.0, 1000.0),
                makeup_db: value(this.leveller.makeup_db, last.leveller.makeup_db, -12.0, 30.0),
                auto_makeup: this.leveller.auto_makeup,
            },
            sibilance: SibilanceSettings {
                on: this.sibilance.on,
                proportion_lu: value(
                    this.sibilance.proportion_lu,
                    last.sibilance.proportion_lu,
                    -24.0,
                    12.0,
                ),
                ratio,
                range_db: value(this.sibilance.range_db, last.sibilance.range_db, 0.0, 24.0),
                from_hz: value(this.sibilance.from_hz, last.sibilance.from_hz, 2000.0, 10_000.0),
                reach: value(this.sibilance.reach, last.sibilance.reach, 0.0, 1.0),
                attack_ms: value(this.sibilance.attack_ms, last.sibilance.attack_ms, 0.1, 10.0),
                release_ms: value(this.sibilance.release_ms, last.sibilance.release_ms, 5.0, 200.0),
            },
            follow: FollowSettings {
                time_ms: value(this.follow.time_ms, last.follow.time_ms, 50.0, 3000.0),
                start_lufs: value(this.follow.start_lufs, last.follow.start_lufs, -50.0, -6.0),
                source: this.follow.source,
            },
            breath: BreathSettings {
                on: this.breath.on,
                proportion_lu: value(this.breath.proportion_lu, last.breath.proportion_lu, -40.0, 0.0),
                range_db: value(this.breath.range_db, last.breath.range_db, 0.0, 24.0),
                low_cut_hz,
            },
            output: OutputSettings {
                gain_db: value(this.output.gain_db, last.output.gain_db, -24.0, 24.0),
                ..this.output
            },
        }
    }
}

impl Default for LevellerSettings {
    fn default() -> Self {
        Self {
            on: false,
            threshold_db: -30.0,
            ratio: 4.0,
            knee_db: 18.0,
            attack_ms: 4.0,
            release_ms: 120.0,
            makeup_db: 0.0,
            auto_makeup: false,
        }
    }
}

impl Default for SibilanceSettings {
    fn default() -> Self {
        Self {
            on: true,
            proportion_lu: -6.0,
            ratio: 6.0,
            range_db: 12.0,
            from_hz: 4000.0,
            reach: 0.25,
            attack_ms: 0.5,
            release_ms: 30.0,
        }
    }
}

impl Default for FollowSettings {
    fn default() -> Self {
        Self {
            time_ms: 400.0,
            start_lufs: -24.0,
            source: FollowSource::Reference,
        }
    }
}

impl Default for BreathSettings {
    fn default() -> Self {
        Self {
            on: false,
            proportion_lu: -20.0,
            range_db: 12.0,
            low_cut_hz: None,
        }
    }
}

impl Default for OutputSettings {
    fn default() -> Self {
        Self {
            gain_db: 0.0,
            listen: Listen::Output,
            bypass: false,
        }
    }
}
