//! A block as a host hands it over, down to its mistakes; the same for both formats.

use super::ClapId;

/// One channel, or a pointer to nowhere.
pub type Channel = Option<Vec<f32>>;

/// One bus.
#[derive(Debug, Clone, PartialEq)]
pub struct Bus {
    /// Its channels; `None` is no list of channels at all.
    pub channels: Option<Vec<Channel>>,
    /// Which channels the host calls constant (CLAP) or silent (VST3), a bit each.
    pub constant_mask: u64,
}

impl Bus {
    /// A bus of `channels` channels, each with the samples that `sound` gives it.
    #[must_use]
    pub fn new(sound: &[Vec<f32>]) -> Self {
        Self {
            channels: Some(sound.iter().cloned().map(Some).collect()),
            constant_mask: 0,
        }
    }

    /// A bus of silence.
    #[must_use]
    pub fn silent(channels: usize, samples: usize) -> Self {
        Self::new(&vec![vec![0.0; samples]; channels])
    }

    /// The sound of the channels that are there.
    #[must_use]
    pub fn sound(&self) -> Vec<Vec<f32>> {
        self.channels.iter().flatten().flatten().cloned().collect()
    }

    /// Calls both channels of a stereo bus constant where they are silent, and neither where they are not.
    pub fn flag_silence(&mut self) {
        let is_silent = self.sound().iter().flatten().all(|&sample| sample == 0.0);
        self.constant_mask = if is_silent { 0b11 } else { 0 };
    }

    /// Pointers to the channels, as a format's list holds them.
    pub fn pointers(&mut self) -> Option<Vec<*mut f32>> {
        let pointer = |channel: &mut Channel| {
            channel
                .as_mut()
                .map_or(std::ptr::null_mut(), |samples| samples.as_mut_ptr())
        };
        Some(self.channels.as_mut()?.iter_mut().map(pointer).collect())
    }
}

/// What a host says at a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Said {
    /// A value; CLAP's scale, or VST3's 0 to 1.
    Value(f64),
    /// An offset to the value (CLAP only).
    Modulation(f64),
    /// A value in somebody else's event space, which is none of the plug-in's business (CLAP only).
    ForeignValue(f64),
}

/// Something that a host says of a parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// In the block. A correct host stays inside.
    pub sample: u32,
    /// The number of the parameter, which need not exist.
    pub parameter: u32,
    /// What is said.
    pub said: Said,
}

impl Told {
    /// A value for a parameter of CLAP.
    #[must_use]
    pub fn value(sample: u32, parameter: ClapId, value: f64) -> Self {
        Self {
            sample,
            parameter: parameter.get(),
            said: Said::Value(value),
        }
    }
}

/// Where the song is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Whether it plays.
    pub playing: bool,
    /// Since the song's start.
    pub seconds: f64,
    /// Beats a minute.
    pub tempo: f64,
    /// Start and end of the loop, in seconds.
    pub looping: Option<(f64, f64)>,
}

/// A block.
#[derive(Debug, Clone, PartialEq)]
pub struct Handed {
    /// How many samples the host says that there are.
    pub samples: usize,
    /// The input buses.
    pub inputs: Vec<Bus>,
    /// The output buses.
    pub outputs: Vec<Bus>,
    /// The first output is the first input: the sound is changed where it lies.
    pub in_place: bool,
    /// What is said of parameters, in order of the sample if the host is correct.
    pub told: Vec<Told>,
    /// Where the song is, if the host knows.
    pub place: Option<Place>,
}

impl Handed {
    /// A block of `sound` for the first input, with an output of as many channels.
    #[must_use]
    pub fn new(sound: &[Vec<f32>]) -> Self {
        let samples = sound.first().map_or(0, Vec::len);
        // No silence, so that what is not written is seen.
        let untouched = vec![vec![UNTOUCHED; samples]; sound.len()];
        Self {
            samples,
            inputs: vec![Bus::new(sound)],
            outputs: vec![Bus::new(&untouched)],
            in_place: false,
            told: Vec::new(),
            place: None,
        }
    }

    /// What came out of the first output.
    #[must_use]
    pub fn output(&self) -> Vec<Vec<f32>> {
        let buses = if self.in_place {
            &self.inputs
        } else {
            &self.outputs
        };
        buses.first().map(Bus::sound).unwrap_or_default()
    }
}

/// What lies in an output before anything is written there: no sound comes near.
pub const UNTOUCHED: f32 = -77_777.0;

/// What a plug-in answers to a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// It wants more.
    Continue,
    /// It wants more unless what comes is silence.
    ContinueIfNotQuiet,
    /// It wants more until its tail has sounded.
    Tail,
    /// It may sleep until something happens.
    Sleep,
    /// It did not process the block.
    Refused,
}

/// `sound` cut into blocks of `sizes` samples, taken in turn, again and again.
#[must_use]
pub fn blocks(sound: &[Vec<f32>], sizes: &[usize]) -> Vec<Handed> {
    let length = sound.first().map_or(0, Vec::len);
    let mut blocks = Vec::new();
    let (mut start, mut turns) = (0, sizes.iter().cycle());
    while start < length {
        let end = length.min(start + turns.next().copied().unwrap_or(length).max(1));
        let piece: Vec<Vec<f32>> = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
        blocks.push(Handed::new(&piece));
        start = end;
    }
    blocks
}

/// What came out of the first output of all blocks, in one piece.
#[must_use]
pub fn joined(blocks: &[Handed]) -> Vec<Vec<f32>> {
    let mut sound: Vec<Vec<f32>> = Vec::new();
    for block in blocks {
        let output = block.output();
        sound.resize(output.len(), Vec::new());
        for (sound, piece) in sound.iter_mut().zip(output) {
            sound.extend(piece);
        }
    }
    sound
}
