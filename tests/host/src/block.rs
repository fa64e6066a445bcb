//! A block of sound as a host hands it over, correct or not; the same for both formats.

/// One channel, or a null pointer.
pub type Channel = Option<Vec<f32>>;

/// One bus.
#[derive(Debug, Clone, PartialEq)]
pub struct Bus {
    /// Its channels; `None` is a null list of channels.
    pub channels: Option<Vec<Channel>>,
    /// Which channels the host calls constant (CLAP) or silent (VST3), a bit each.
    pub constant_mask: u64,
}

impl Bus {
    /// A bus with the samples that `sound` gives each channel.
    pub fn new(sound: &[Vec<f32>]) -> Self {
        Self::of(Some(sound.iter().cloned().map(Some).collect()))
    }

    /// A bus of such channels, none of them called constant.
    pub fn of(channels: Option<Vec<Channel>>) -> Self {
        Self {
            channels,
            constant_mask: 0,
        }
    }

    /// A bus of silence.
    pub fn silent(channels: usize, samples: usize) -> Self {
        Self::new(&vec![vec![0.0; samples]; channels])
    }

    /// The sound of the channels that are there.
    pub fn sound(&self) -> Vec<Vec<f32>> {
        self.channels.iter().flatten().flatten().cloned().collect()
    }

    /// Calls both channels of a stereo bus constant where they are silent, and neither where they are not.
    pub fn flag_silence(&mut self) {
        let is_silent = self.sound().iter().flatten().all(|&sample| sample == 0.0);
        self.constant_mask = if is_silent { 0b11 } else { 0 };
    }
}

/// The channels of a bus at 64 bits.
type Wide = Option<Vec<Option<Vec<f64>>>>;

/// Pointers to the channels of a bus, as a format's list holds them; `None` is a null list.
pub type List = Option<Vec<*mut f32>>;

/// The lists of a block's buses, of samples of 64 bits where the block is wide.
pub struct Lists {
    wide: Option<[Vec<Wide>; 2]>,
    /// Of the inputs.
    pub inputs: Vec<List>,
    /// Of the outputs.
    pub outputs: Vec<List>,
}

impl Lists {
    /// Valid as long as the block is left alone.
    pub fn new(block: &mut HostBlock) -> Self {
        let of = |buses: &mut [Bus]| buses.iter_mut().map(|bus| list(&mut bus.channels)).collect();
        let mut wide = block
            .wide
            .then(|| [&block.inputs, &block.outputs].map(|buses| buses.iter().map(widened).collect()));
        let [inputs, mut outputs]: [Vec<List>; 2] = match &mut wide {
            Some(wide) => wide
                .each_mut()
                .map(|buses: &mut Vec<Wide>| buses.iter_mut().map(list).collect()),
            None => [of(&mut block.inputs), of(&mut block.outputs)],
        };
        if block.in_place {
            outputs[0].clone_from(&inputs[0]);
        }
        Self {
            wide,
            inputs,
            outputs,
        }
    }

    /// Puts into the block what the plug-in wrote, with the masks that it set for the outputs. Panics where a wide sample does
    /// not fit into 32 bits: the plug-in has no others.
    pub fn write_back(&self, block: &mut HostBlock, masks: impl IntoIterator<Item = u64>) {
        let both = [&mut block.inputs, &mut block.outputs];
        for (wide, buses) in self.wide.iter().flatten().zip(both) {
            for (wide, bus) in wide.iter().zip(buses) {
                let channels = wide.iter().flatten().zip(bus.channels.iter_mut().flatten());
                for (wide, channel) in channels {
                    for (&wide, sample) in wide.iter().flatten().zip(channel.iter_mut().flatten()) {
                        *sample = wide as f32;
                        assert_eq!(f64::from(*sample).to_bits(), wide.to_bits());
                    }
                }
            }
        }
        for (bus, mask) in block.outputs.iter_mut().zip(masks) {
            bus.constant_mask = mask;
        }
    }
}

fn widened(bus: &Bus) -> Wide {
    let channel = |channel: &Channel| {
        let samples = channel.as_ref()?.iter();
        Some(samples.map(|&sample| f64::from(sample)).collect())
    };
    Some(bus.channels.as_ref()?.iter().map(channel).collect())
}

fn list<T>(channels: &mut Option<Vec<Option<Vec<T>>>>) -> List {
    let pointer = |channel: &mut Option<Vec<T>>| {
        let samples = channel.as_mut();
        samples.map_or(std::ptr::null_mut(), |samples| samples.as_mut_ptr().cast())
    };
    Some(channels.as_mut()?.iter_mut().map(pointer).collect())
}

/// What an event does to a parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EventKind {
    /// Sets the value, in CLAP's scale or VST3's 0 to 1.
    Value(f64),
    /// Offsets the value (CLAP only).
    Modulation(f64),
    /// A value in an event space that is not CLAP's own, which plug-ins ignore (CLAP only).
    ForeignValue(f64),
}

/// An event for one parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ParamEvent {
    /// In the block, or in the sound where a whole sound is played.
    pub sample: u32,
    /// The number of the parameter in the format, which need not exist.
    pub parameter: u32,
    /// What it does.
    pub kind: EventKind,
}

impl ParamEvent {
    /// Sets a value.
    pub fn value(sample: u32, parameter: u32, value: f64) -> Self {
        Self {
            sample,
            parameter,
            kind: EventKind::Value(value),
        }
    }

    /// Modulates a value.
    pub fn modulation(sample: u32, parameter: u32, amount: f64) -> Self {
        Self {
            sample,
            parameter,
            kind: EventKind::Modulation(amount),
        }
    }
}

/// Where the song is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transport {
    /// Whether it plays.
    pub playing: bool,
    /// Seconds from the song's start.
    pub position_s: f64,
    /// Beats a minute.
    pub tempo_bpm: f64,
    /// Beats in a bar, and which part of a whole note a beat is, where the host tells them.
    pub metre: Option<(u16, u16)>,
    /// Start and end of the loop, in seconds.
    pub loop_s: Option<(f64, f64)>,
}

/// A block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HostBlock {
    /// How many samples the host announces.
    pub samples: usize,
    /// The input buses.
    pub inputs: Vec<Bus>,
    /// The output buses.
    pub outputs: Vec<Bus>,
    /// Whether the first output shares the first input's memory.
    pub in_place: bool,
    /// Events in order of their sample, if the host is correct.
    pub events: Vec<ParamEvent>,
    /// Where the song is, if the host says so.
    pub transport: Option<Transport>,
    /// Whether the host passes samples of 64 bits.
    pub wide: bool,
}

impl HostBlock {
    /// A block of `sound` for the first input, with an output of as many channels.
    pub fn new(sound: &[Vec<f32>]) -> Self {
        let samples = sound.first().map_or(0, Vec::len);
        let unwritten = vec![vec![UNWRITTEN; samples]; sound.len()];
        Self {
            samples,
            inputs: vec![Bus::new(sound)],
            outputs: vec![Bus::new(&unwritten)],
            ..Self::default()
        }
    }

    /// Events without sound, as VST3 hosts flush parameters.
    pub fn without_sound(events: Vec<ParamEvent>) -> Self {
        Self {
            events,
            ..Self::default()
        }
    }

    /// What came out of the first output.
    pub fn output(&self) -> Vec<Vec<f32>> {
        let buses = if self.in_place {
            &self.inputs
        } else {
            &self.outputs
        };
        buses.first().map(Bus::sound).unwrap_or_default()
    }
}

/// What lies in an output before it is written: no sound comes near.
pub const UNWRITTEN: f32 = -77_777.0;

/// What a plug-in returns from a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProcessStatus {
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
pub fn blocks(sound: &[Vec<f32>], sizes: &[usize]) -> Vec<HostBlock> {
    let length = sound.first().map_or(0, Vec::len);
    let mut blocks = Vec::new();
    let (mut start, mut turns) = (0, sizes.iter().cycle());
    while start < length {
        let end = length.min(start + turns.next().copied().unwrap_or(length).max(1));
        let piece: Vec<Vec<f32>> = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
        blocks.push(HostBlock::new(&piece));
        start = end;
    }
    blocks
}

/// What came out of the first output of all blocks, in one piece.
pub fn joined(blocks: &[HostBlock]) -> Vec<Vec<f32>> {
    let mut sound: Vec<Vec<f32>> = Vec::new();
    for output in blocks.iter().map(HostBlock::output) {
        sound.resize(output.len(), Vec::new());
        for (sound, piece) in sound.iter_mut().zip(output) {
            sound.extend(piece);
        }
    }
    sound
}
