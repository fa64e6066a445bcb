//! The two plug-ins: one generic insert, and what tells them apart.

use std::marker::PhantomData;
use std::sync::Arc;

use nice_plug::prelude::*;
use siskin_dsp::{Engine, EngineConfig, Listen, Lookahead};

use crate::editor::{EditorTask, InsertEditor, ListenReturn, Window};
use crate::params::{FollowGroup, FollowParams, FollowParamsWithSource, InsertParams};
use crate::settings::{lookahead, settings};
use crate::state::complete;
use crate::telemetry::{TelemetryReader, TelemetryWriter, telemetry};

/// The most channels of a reference voice.
const MOST_REFERENCE_CHANNELS: usize = 2;

/// What tells one plug-in of the bundle from the other.
pub trait Kind: Send + 'static {
    /// Its Follow group.
    type Follow: FollowGroup;
    /// Its name in a host.
    const NAME: &'static str;
    /// What it is for, in one line.
    const DESCRIPTION: &'static str;
    /// Its id in CLAP hosts, saved in people's songs.
    const CLAP_ID: &'static str;
    /// Its id in VST3 hosts, saved in people's songs.
    const VST3_CLASS_ID: [u8; 16];
    /// Its words of the CLAP standard's list.
    const CLAP_FEATURES: &'static [ClapFeature];
    /// Its ports.
    const LAYOUTS: &'static [AudioIOLayout];
}

/// For any voice track, mono or stereo.
pub struct Plain;

impl Kind for Plain {
    type Follow = FollowParams;
    const NAME: &'static str = "Siskin";
    const DESCRIPTION: &'static str = "Levels a voice, keeps its sibilants and breaths in proportion to it";
    const CLAP_ID: &'static str = "audio.siskin.siskin";
    const VST3_CLASS_ID: [u8; 16] = *b"SiskinVoiceInsrt";
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Deesser,
        ClapFeature::Mono,
        ClapFeature::Stereo,
    ];
    const LAYOUTS: &'static [AudioIOLayout] = &[layout(2, "Stereo"), layout(1, "Mono")];
}

/// For doubles, backing vocals or a breath track: follows another track's voice.
pub struct Following;

impl Kind for Following {
    type Follow = FollowParamsWithSource;
    const NAME: &'static str = "Siskin Follow";
    const DESCRIPTION: &'static str =
        "Keeps sibilants and breaths in proportion to the voice of another track";
    const CLAP_ID: &'static str = "audio.siskin.follow";
    const VST3_CLASS_ID: [u8; 16] = *b"SiskinFollowRefV";
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Deesser,
        ClapFeature::Stereo,
    ];
    const LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        aux_input_ports: &[new_nonzero_u32(2)],
        names: PortNames {
            layout: Some("Stereo with reference voice"),
            aux_inputs: &["Reference voice"],
            ..PortNames::const_default()
        },
        ..layout(2, "Stereo")
    }];
}

const fn layout(channels: u32, name: &'static str) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: NonZeroU32::new(channels),
        main_output_channels: NonZeroU32::new(channels),
        names: PortNames {
            layout: Some(name),
            ..PortNames::const_default()
        },
        ..AudioIOLayout::const_default()
    }
}

/// Siskin: mono and stereo, no side-chain.
pub type Siskin = Insert<Plain>;

/// Siskin Follow: stereo, with the side-chain input "Reference voice".
pub type SiskinFollow = Insert<Following>;

/// An engine with the parameters of its kind.
pub struct Insert<K: Kind> {
    params: Arc<InsertParams<K::Follow>>,
    engine: Option<Engine>,
    lookahead: Lookahead,
    telemetry: TelemetryWriter,
    unopened: Option<TelemetryReader>,
    window: Arc<Window>,
    listen_return: ListenReturn,
    kind: PhantomData<K>,
}

impl<K: Kind> Default for Insert<K> {
    fn default() -> Self {
        let (writer, reader) = telemetry();
        Self {
            params: Arc::default(),
            engine: None,
            lookahead: Lookahead::default(),
            telemetry: writer,
            unopened: Some(reader),
            window: Arc::default(),
            listen_return: ListenReturn::default(),
            kind: PhantomData,
        }
    }
}

impl<K: Kind> Plugin for Insert<K> {
    const NAME: &'static str = K::NAME;
    const VENDOR: &'static str = "Siskin";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = K::LAYOUTS;
    const SAMPLE_ACCURATE_AUTOMATION: bool = true;

    type Editor = InsertEditor<K::Follow>;
    type SysExMessage = ();
    type BackgroundTask = EditorTask;

    fn setup_logger() -> Option<bool> {
        // A plug-in writes nothing into its host's console.
        Some(true)
    }

    fn task_executor(&mut self) -> TaskExecutor<Self> {
        let (params, window) = (self.params.clone(), self.window.clone());
        Box::new(move |EditorTask::ListenToOutput| window.listen_to_output(&params.output))
    }

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn editor(&mut self, _async_executor: AsyncExecutor<Self>) -> Option<Self::Editor> {
        crate::editor::create(
            K::NAME,
            self.params.clone(),
            self.window.clone(),
            self.unopened.take()?,
        )
    }

    fn filter_state(state: &mut PluginState) {
        complete(state, &InsertParams::<K::Follow>::default());
    }

    fn activate(
        &mut self,
        layout: &AudioIOLayout,
        buffer: &BufferConfig,
        context: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.lookahead = lookahead(&self.params.output);
        let channels = |channels: Option<NonZeroU32>| channels.map_or(0, |count| count.get() as usize);
        let config = EngineConfig {
            sample_rate_hz: f64::from(buffer.sample_rate),
            channels: channels(layout.main_input_channels),
            reference_channels: channels(layout.aux_input_ports.first().copied()),
            lookahead: self.lookahead,
        };
        let engine = Engine::new(config, &settings(&self.params));
        context.set_latency_samples(engine.latency_samples() as u32);
        self.engine = Some(engine);
        true
    }

    fn reset(&mut self) {
        let settings = settings(&self.params);
        if let Some(engine) = &mut self.engine {
            engine.set(&settings);
            engine.reset();
        }
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        aux: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let Some(engine) = &mut self.engine else {
            return ProcessStatus::Error("processed before it was activated");
        };
        // A state that is loaded while sound runs does not activate again.
        let lookahead = lookahead(&self.params.output);
        if lookahead != self.lookahead {
            self.lookahead = lookahead;
            engine.set_lookahead(lookahead);
            context.set_latency_samples(engine.latency_samples() as u32);
        }
        let mut settings = settings(&self.params);
        if self
            .listen_return
            .is_due(self.window.is_open(), settings.output.listen)
        {
            settings.output.listen = Listen::Output;
        }
        if self.listen_return.shall_ask() {
            context.execute_gui(EditorTask::ListenToOutput);
        }
        engine.set(&settings);

        let mut reference: [&[f32]; MOST_REFERENCE_CHANNELS] = [&[]; MOST_REFERENCE_CHANNELS];
        let channels = aux
            .inputs
            .first()
            .map_or(&[][..], |input| input.as_slice_immutable());
        for (slice, channel) in reference.iter_mut().zip(channels) {
            *slice = channel;
        }
        let heard = channels.len().min(MOST_REFERENCE_CHANNELS);
        let telemetry = &mut self.telemetry;
        engine.process(buffer.as_slice(), &reference[..heard], &mut |report| {
            telemetry.write(report)
        });
        ProcessStatus::Tail(engine.latency_samples() as u32)
    }
}

impl<K: Kind> ClapPlugin for Insert<K> {
    const CLAP_ID: &'static str = K::CLAP_ID;
    const CLAP_DESCRIPTION: Option<&'static str> = Some(K::DESCRIPTION);
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = K::CLAP_FEATURES;
}

impl<K: Kind> Vst3Plugin for Insert<K> {
    const VST3_CLASS_ID: [u8; 16] = K::VST3_CLASS_ID;
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] = &[Vst3SubCategory::Fx, Vst3SubCategory::Dynamics];
}
