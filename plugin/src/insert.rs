//! The plug-in of either kind: passes the host's slices and the current settings to the engine.

use std::marker::PhantomData;
use std::sync::Arc;

use nice_plug::prelude::*;
use siskin_dsp::{Channels, Engine, EngineConfig, Listen, Lookahead, Settings};

use crate::editor::{EditorSession, InsertEditor, ListenReturn};
use crate::formats::clap::remote_controls;
use crate::formats::link::{InsertTask, Link, Threads};
use crate::kind::{Following, Kind, Plain};
use crate::params::InsertParams;
use crate::params::state::complete;
use crate::song_notes::{HostPlace, NotesReader, NotesWriter, song_notes};
use crate::telemetry::{TelemetryReader, TelemetryWriter, telemetry};

/// The most channels of a reference voice.
const MOST_REFERENCE_CHANNELS: usize = 2;

/// The filters ring for so long after the last sample, in seconds: the lowest low cut, 40 Hz, has fallen by more than
/// 120 dB by then (second order, in closed form).
const RINGING_S: f32 = 0.08;

/// Siskin: mono and stereo, no side-chain.
pub type Siskin = Insert<Plain>;

/// Siskin Follow: stereo, with the side-chain input "Reference voice".
pub type SiskinFollow = Insert<Following>;

/// An engine with the parameters of its kind.
pub struct Insert<K: Kind> {
    params: Arc<InsertParams>,
    engine: Option<Engine>,
    lookahead: Lookahead,
    channels: Channels,
    sample_rate_hz: f64,
    ringing_samples: u32,
    telemetry: TelemetryWriter,
    unopened: Option<TelemetryReader>,
    notes: NotesWriter,
    noted: NotesReader,
    editor_session: Arc<EditorSession>,
    listen_return: ListenReturn,
    link: Arc<Link>,
    kind: PhantomData<K>,
}

impl<K: Kind> Default for Insert<K> {
    fn default() -> Self {
        let (writer, reader) = telemetry();
        let (notes, noted) = song_notes();
        Self {
            params: Arc::new(InsertParams::of::<K>()),
            engine: None,
            lookahead: Lookahead::default(),
            channels: Channels::default(),
            sample_rate_hz: 0.0,
            ringing_samples: 0,
            telemetry: writer,
            unopened: Some(reader),
            notes,
            noted,
            editor_session: Arc::default(),
            listen_return: ListenReturn::default(),
            link: Arc::default(),
            kind: PhantomData,
        }
    }
}

impl<K: Kind> Plugin for Insert<K> {
    const NAME: &'static str = K::NAME;
    const VENDOR: &'static str = "Siskin";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    /// It takes no notes: room for what never comes would be a sixth of what an insert holds.
    const INPUT_EVENT_CAPACITY: usize = 1;
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = K::LAYOUTS;
    const SAMPLE_ACCURATE_AUTOMATION: bool = true;

    type Editor = InsertEditor;
    type SysExMessage = ();
    type BackgroundTask = InsertTask;

    fn setup_logger() -> Option<bool> {
        // A plug-in writes nothing into its host's console.
        Some(true)
    }

    fn task_executor(&mut self) -> TaskExecutor<Self> {
        let (params, session, link) = (
            self.params.clone(),
            self.editor_session.clone(),
            self.link.clone(),
        );
        Box::new(move |task| match task {
            InsertTask::ListenToOutput => session.listen_to_output(&params),
            InsertTask::Flush(flushed) => drop(flushed.send(())),
            InsertTask::DeliverHostCalls => link.deliver_host_calls(),
            InsertTask::ShowHostMenu(request) => link.show_host_menu(*request),
            InsertTask::AskForSize(size) => {
                if let Some(threads) = link.threads() {
                    (threads.ui)(InsertTask::ResizeWindow(size));
                }
            }
            InsertTask::ResizeWindow(size) => session.size_requests.ask_host(size),
        })
    }

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn editor(&mut self, executor: AsyncExecutor<Self>) -> Option<Self::Editor> {
        let (background, ui) = (executor.clone(), executor);
        let threads = Threads {
            background: Arc::new(move |task| background.execute_background(task)),
            ui: Arc::new(move |task| ui.execute_gui(task)),
        };
        self.link.offer(threads, self.editor_session.clone());
        let telemetry = self.unopened.take()?;
        Some(crate::editor::create::<K>(
            self.params.clone(),
            self.editor_session.clone(),
            telemetry,
            self.noted.clone(),
        ))
    }

    fn filter_state(state: &mut PluginState) {
        complete(state, &InsertParams::of::<K>());
    }

    fn activate(
        &mut self,
        layout: &AudioIOLayout,
        buffer: &BufferConfig,
        context: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.lookahead = self.params.lookahead();
        self.channels = self.params.channels();
        self.sample_rate_hz = f64::from(buffer.sample_rate);
        self.ringing_samples = (RINGING_S * buffer.sample_rate).ceil() as u32;
        let channels = |channels: Option<NonZeroU32>| channels.map_or(0, |count| count.get() as usize);
        let config = EngineConfig {
            sample_rate_hz: self.sample_rate_hz,
            channels: channels(layout.main_input_channels),
            link: self.channels,
            reference_channels: channels(layout.aux_input_ports.first().copied()),
            lookahead: self.lookahead,
        };
        let engine = Engine::new(config, &self.params.settings());
        let latency_samples = engine.latency_samples() as u32;
        self.link.set_latency_samples(latency_samples);
        if context.plugin_api() != PluginApi::Clap {
            context.set_latency_samples(latency_samples);
        }
        self.telemetry.set_clock(buffer.sample_rate, engine.hop_samples());
        self.notes.set_clock(self.sample_rate_hz, engine.hop_samples());
        self.engine = Some(engine);
        true
    }

    fn reset(&mut self) {
        let settings = self.params.settings();
        if let Some(engine) = &mut self.engine {
            engine.set(&settings);
            engine.reset();
        }
        self.link.set_gain_db(0.0);
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        aux: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let settings = self.current_settings(context);
        let (lookahead, channels) = (self.params.lookahead(), self.params.channels());
        let Some(engine) = &mut self.engine else {
            return ProcessStatus::Error("processed before it was activated");
        };
        engine.set(&settings);
        if lookahead != self.lookahead {
            self.lookahead = lookahead;
            let latency_samples = lookahead.samples(self.sample_rate_hz) as u32;
            self.link.set_latency_samples(latency_samples);
            start_again(engine, lookahead, latency_samples, context);
        }
        if channels != self.channels {
            self.channels = channels;
            if !engine.has_sides_of(channels) {
                // Another engine comes with the next activation.
                context.request_restart();
            }
        }
        let transport = context.transport();
        if let Some(position) = transport.pos_samples().filter(|_| transport.playing) {
            engine.locate(position);
        }

        self.notes
            .begin_block(&HostPlace::of(transport), engine.next_sample());

        let (reference, channels) = reference_voice(aux);
        let (telemetry, notes) = (&mut self.telemetry, &mut self.notes);
        let open = self.editor_session.is_open();
        let mut gain_db = self.link.gain_db();
        engine.process(buffer.as_slice(), &reference[..channels], &mut |report| {
            gain_db = report.leveller_gain_db + report.sibilance_gain_db + report.breath_gain_db;
            notes.add(report, &settings);
            if open {
                telemetry.write(report);
            }
        });
        self.link
            .set_gain_db(if settings.output.bypass { 0.0 } else { gain_db });
        if open {
            telemetry.end_block(engine.spectrum(), buffer.samples());
        }
        ProcessStatus::Tail(engine.latency_samples() as u32 + self.ringing_samples)
    }
}

impl<K: Kind> Insert<K> {
    /// The settings for this block; Listen returns to Output when the window has closed.
    fn current_settings(&mut self, context: &impl ProcessContext<Self>) -> Settings {
        let mut settings = self.params.settings();
        let open = self.editor_session.is_open();
        if self.listen_return.is_active(open, settings.output.listen) {
            settings.output.listen = Listen::Output;
        }
        if self.listen_return.take_request() {
            context.execute_gui(InsertTask::ListenToOutput);
        }
        settings
    }
}

/// Starts again with another lookahead while sound runs, as a state that is loaded does not activate again. From the new
/// settings: makeup for the old Start level would be louder than they say.
///
/// A lookahead that needs another engine waits for the next activation, and the engine keeps its own until then. In CLAP the
/// format layer asks for that activation, and reports the latency within it. In VST3 the latency that is reported stays true
/// here: some hosts read it and never activate again.
fn start_again<K: Kind>(
    engine: &mut Engine,
    lookahead: Lookahead,
    latency_samples: u32,
    context: &mut impl ProcessContext<Insert<K>>,
) {
    let is_there = engine.set_lookahead(lookahead);
    if !is_there {
        engine.reset();
    }
    match context.plugin_api() {
        PluginApi::Clap => {}
        _ if is_there => context.set_latency_samples(latency_samples),
        _ => context.request_restart(),
    }
}

/// The channels of the reference voice, and how many there are.
fn reference_voice<'a>(aux: &'a AuxiliaryBuffers) -> ([&'a [f32]; MOST_REFERENCE_CHANNELS], usize) {
    let mut reference: [&[f32]; MOST_REFERENCE_CHANNELS] = [&[]; MOST_REFERENCE_CHANNELS];
    let channels = aux
        .inputs
        .first()
        .map_or(&[][..], |input| input.as_slice_immutable());
    for (slice, channel) in reference.iter_mut().zip(channels) {
        *slice = channel;
    }
    (reference, channels.len().min(MOST_REFERENCE_CHANNELS))
}

impl<K: Kind> ClapPlugin for Insert<K> {
    const CLAP_ID: &'static str = K::CLAP_ID;
    const CLAP_DESCRIPTION: Option<&'static str> = Some(K::DESCRIPTION);
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = K::CLAP_FEATURES;

    fn remote_controls(&self, context: &mut impl RemoteControlsContext) {
        remote_controls::define(K::NAME, &self.params, context);
    }
}

impl<K: Kind> Vst3Plugin for Insert<K> {
    const VST3_CLASS_ID: [u8; 16] = K::VST3_CLASS_ID;
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] = &[Vst3SubCategory::Fx, Vst3SubCategory::Dynamics];
}
