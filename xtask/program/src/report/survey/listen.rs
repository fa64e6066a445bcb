//! One pass of a track through the engine, for what the plug-in does not tell its host: classes, levels and gains.

use siskin_dsp::{
    Channels, Class, DetectFromListener, Engine, EngineConfig, HopReport, Lookahead, ProportionListener,
    Settings, VoiceLevels,
};
use siskin_host::audio_file::Audio;

use super::sibilants::{Event, EventListener};

/// Channels of Siskin Follow.
const STEREO: usize = 2;
/// Samples a block.
const BLOCK: usize = 512;
/// Length of a cell of the trace, s.
pub const CELL_S: f32 = 0.1;
/// Spectra are looked at so often, s: as the editor's *Propose* gets them.
const SPECTRUM_S: f32 = 1.0 / 30.0;

/// The levels of one cell.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// Level of the voice, LUFS; NaN before the first.
    pub voice_lufs: f32,
    /// The threshold, LUFS; NaN before the first voice.
    pub threshold_lufs: f32,
    /// Mean level of all sound, LUFS.
    pub level_lufs: f32,
    /// Whether there is no voice in it.
    pub is_quiet: bool,
}

/// What was heard of a track.
#[derive(Debug, Default)]
pub struct Heard {
    /// For the sections.
    pub levels: VoiceLevels,
    /// For Proportion.
    pub proportion: ProportionListener,
    /// For Detect from.
    pub detect_from: DetectFromListener,
    /// Sibilants and breaths, in order.
    pub events: Vec<Event>,
    /// The trace.
    pub cells: Vec<Cell>,
    /// Mean spectrum of the sibilants, power per bin, and the width of a bin, Hz.
    pub spectrum: Vec<f32>,
    /// Width of a bin, Hz.
    pub bin_hz: f32,
}

/// Listens to a track with these settings; `reference` is the voice on the side-chain, at the same rate. With one, both are
/// stereo, as in Siskin Follow.
pub fn listen(voice: &Audio, reference: Option<&Audio>, link: Channels, settings: &Settings) -> Heard {
    let channels = reference.map_or(voice.channels.len(), |_| STEREO);
    let config = EngineConfig {
        sample_rate_hz: f64::from(voice.sample_rate_hz),
        channels,
        link,
        reference_channels: reference.map_or(0, |_| STEREO),
        lookahead: Lookahead::Long,
    };
    let mut engine = Engine::new(config, settings);
    let mut listener = Listener::new(&engine, voice.sample_rate_hz, settings);
    let mut block = vec![vec![0.0; BLOCK]; channels];
    let mut heard = vec![vec![0.0; BLOCK]; config.reference_channels];
    let none = Vec::new();
    for start in (0..voice.length() + engine.latency_samples()).step_by(BLOCK) {
        fill(&mut block, &voice.channels, start);
        fill(
            &mut heard,
            reference.map_or(&none, |reference| &reference.channels),
            start,
        );
        let mut views: Vec<&mut [f32]> = block.iter_mut().map(Vec::as_mut_slice).collect();
        let references: Vec<&[f32]> = heard.iter().map(Vec::as_slice).collect();
        engine.process(&mut views, &references, &mut |report| listener.add(report));
        listener.look(&engine);
    }
    listener.heard()
}

/// Fills a block from `start` on; silence follows the sound. A single channel goes to every one of the block.
fn fill(block: &mut [Vec<f32>], sound: &[Vec<f32>], start: usize) {
    for (to, from) in block.iter_mut().zip(sound.iter().cycle()) {
        let from = from.get(start..).unwrap_or_default();
        let from = &from[..from.len().min(BLOCK)];
        to[..from.len()].copy_from_slice(from);
        to[from.len()..].fill(0.0);
    }
}

struct Listener {
    heard: Heard,
    events: EventListener,
    hop_s: f32,
    class: Class,
    since_look_s: f32,
    cell: OpenCell,
}

/// Sums over the cell that is not over yet.
#[derive(Default)]
struct OpenCell {
    power: f64,
    hops: f64,
    has_voice: bool,
}

impl Listener {
    fn new(engine: &Engine, rate_hz: u32, settings: &Settings) -> Self {
        Self {
            heard: Heard::default(),
            events: EventListener::new(f64::from(rate_hz), settings),
            hop_s: engine.hop_samples() as f32 / rate_hz as f32,
            class: Class::Quiet,
            since_look_s: 0.0,
            cell: OpenCell::default(),
        }
    }

    fn add(&mut self, report: &HopReport) {
        let Heard {
            levels,
            proportion,
            events,
            ..
        } = &mut self.heard;
        levels.add(report, self.hop_s);
        proportion.add(report, self.hop_s);
        events.extend(self.events.add(report, self.hop_s));
        self.class = report.class;
        self.since_look_s += self.hop_s;
        self.cell.power += 10f64.powf(f64::from(report.level_lufs) / 10.0);
        self.cell.hops += 1.0;
        self.cell.has_voice |= report.class == Class::Voice;
        if self.cell.hops * f64::from(self.hop_s) >= f64::from(CELL_S) {
            let cell = std::mem::take(&mut self.cell);
            let known = |lufs: f32| if report.voice_detected { lufs } else { f32::NAN };
            self.heard.cells.push(Cell {
                voice_lufs: known(report.voice_lufs),
                threshold_lufs: known(report.threshold_lufs),
                level_lufs: (10.0 * (cell.power / cell.hops).log10()) as f32,
                is_quiet: !cell.has_voice,
            });
        }
    }

    /// Looks at the last spectrum, where it is time.
    fn look(&mut self, engine: &Engine) {
        if self.since_look_s < SPECTRUM_S {
            return;
        }
        self.since_look_s = 0.0;
        let spectrum = engine.spectrum();
        self.heard.detect_from.add(self.class, spectrum);
        if self.class == Class::Sibilant {
            self.heard.bin_hz = spectrum.bin_hz;
            self.heard.spectrum.resize(spectrum.powers.len(), 0.0);
            for (sum, power) in self.heard.spectrum.iter_mut().zip(spectrum.powers) {
                *sum += power;
            }
        }
    }

    fn heard(mut self) -> Heard {
        self.heard.events.extend(self.events.end());
        self.heard
    }
}
