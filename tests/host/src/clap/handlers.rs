//! The host's side of CLAP: what a plug-in may call. Each callback is held to its header's rule ([`HostRules`]);
//! requests are noted here and served by [`Plugin`](super::Plugin) between blocks.

use std::ffi::CStr;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use clack_extensions::audio_ports::{AudioPortRescanFlags, HostAudioPorts, HostAudioPortsImpl};
use clack_extensions::context_menu::HostContextMenu;
use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_extensions::latency::{HostLatency, HostLatencyImpl};
use clack_extensions::log::{HostLog, HostLogImpl, LogSeverity};
use clack_extensions::params::{
    HostParams, HostParamsImplMainThread, HostParamsImplShared, ParamClearFlags, ParamRescanFlags,
};
use clack_extensions::preset_discovery::HostPresetLoadImpl;
use clack_extensions::preset_discovery::prelude::{HostPresetLoad, Location};
use clack_extensions::state::{HostState, HostStateImpl};
use clack_extensions::tail::{HostTail, HostTailImpl};
use clack_extensions::thread_check::{HostThreadCheck, HostThreadCheckImpl};
use clack_extensions::track_info::HostTrackInfo;
use clack_host::prelude::*;

use super::bundle::text;
use super::menu::MenuRequests;
use crate::lock;
use crate::rules::{HostRules, Phase, Rule};

/// What the plug-in has asked for since the host last looked, and the rules for how it asks.
#[derive(Debug, Default)]
pub struct Requests {
    /// The rules of this insert, whose main thread is this one.
    pub rules: Arc<HostRules>,
    /// A restart.
    pub restart: AtomicBool,
    /// A call on the main thread.
    pub callback: AtomicBool,
    /// An exchange of values.
    pub flush: AtomicBool,
    /// How often it has announced another latency.
    pub latency_changes: AtomicUsize,
    /// Of the window that its editor lies in.
    pub window: Mutex<WindowRequests>,
    /// What it said about a preset.
    pub preset: Mutex<Option<PresetNews>>,
    /// Menus for parameters.
    pub menu: Mutex<MenuRequests>,
    /// The name of the track, which stays in memory, since clack has it live as long as the host; empty where the host does
    /// not tell it.
    pub track: Mutex<&'static str>,
}

/// What a plug-in asked of the window that its editor lies in.
#[derive(Debug, Default)]
pub struct WindowRequests {
    /// Whether there is a window at all.
    pub offered: bool,
    /// Whether it keeps its size.
    pub is_fixed: bool,
    /// The size that was asked for last, pixels.
    pub size: Option<GuiSize>,
    /// How often another size was asked for.
    pub asked: usize,
}

/// The word of the preset that was loaded, or why none was.
pub type PresetNews = Result<String, String>;

impl Requests {
    /// Whether anything waits for the main thread.
    pub fn any(&self) -> bool {
        self.restart.load(Ordering::Acquire) || self.callback.load(Ordering::Acquire)
    }

    /// Says whether the editor lies in a window, whose size it may then ask to change.
    pub fn offer_window(&self, offered: bool) {
        let mut window = lock(&self.window);
        (window.offered, window.size) = (offered, None);
    }

    /// Holds a callback to its header's rule.
    pub(super) fn check(&self, name: &str, rule: Rule) {
        self.rules.check(name, rule);
    }
}

/// The part of the host that every thread of the plug-in may call.
pub struct Shared(pub Arc<Requests>);

impl SharedHandler<'_> for Shared {
    fn initializing(&self, _: InitializingPluginHandle<'_>) {
        self.0.rules.enter(Phase::Inactive);
    }

    fn request_restart(&self) {
        self.0.check("clap_host.request_restart", Rule::AnyThread);
        self.0.restart.store(true, Ordering::Release);
    }

    fn request_process(&self) {
        self.0.check("clap_host.request_process", Rule::AnyThread);
    }

    fn request_callback(&self) {
        self.0.check("clap_host.request_callback", Rule::AnyThread);
        self.0.callback.store(true, Ordering::Release);
    }
}

impl HostThreadCheckImpl for Shared {
    fn is_main_thread(&self) -> bool {
        self.0
            .check("clap_host_thread_check.is_main_thread", Rule::AnyThread);
        self.0.rules.is_main_thread()
    }

    fn is_audio_thread(&self) -> bool {
        self.0
            .check("clap_host_thread_check.is_audio_thread", Rule::AnyThread);
        self.0.rules.is_audio_thread()
    }
}

impl HostLogImpl for Shared {
    fn log(&self, severity: LogSeverity, message: &str) {
        self.0.check("clap_host_log.log", Rule::AnyThread);
        if severity >= LogSeverity::Warning {
            eprintln!("[{severity}] {message}");
        }
    }
}

impl HostParamsImplShared for Shared {
    fn request_flush(&self) {
        self.0
            .check("clap_host_params.request_flush", Rule::NotAudioThread);
        self.0.flush.store(true, Ordering::Release);
    }
}

/// nice-plug needs a host that offers windows, even where none is ever opened.
impl HostGuiImpl for Shared {
    fn resize_hints_changed(&self) {
        self.0
            .check("clap_host_gui.resize_hints_changed", Rule::AnyThread);
    }

    fn request_resize(&self, size: GuiSize) -> Result<(), HostError> {
        self.0.check("clap_host_gui.request_resize", Rule::AnyThread);
        let mut window = lock(&self.0.window);
        if !window.offered {
            return Err(HostError::Message("this host has opened no window"));
        }
        window.asked += 1;
        if window.is_fixed {
            return Err(HostError::Message("this window keeps its size"));
        }
        window.size = Some(size);
        Ok(())
    }

    fn request_show(&self) -> Result<(), HostError> {
        self.0.check("clap_host_gui.request_show", Rule::AnyThread);
        Err(HostError::Message("this host shows and hides nothing by itself"))
    }

    fn request_hide(&self) -> Result<(), HostError> {
        self.0.check("clap_host_gui.request_hide", Rule::AnyThread);
        Err(HostError::Message("this host shows and hides nothing by itself"))
    }

    fn closed(&self, _was_destroyed: bool) {
        self.0.check("clap_host_gui.closed", Rule::AnyThread);
    }
}

/// The part of the host that only the main thread may call. Ports and values are read anew whenever they are needed, so
/// that there is nothing to note but presets, and that the latency has changed.
pub struct MainThread(pub Arc<Requests>);

impl MainThreadHandler<'_> for MainThread {}

impl HostLatencyImpl for MainThread {
    fn changed(&self) {
        self.0.check("clap_host_latency.changed", Rule::BeingActivated);
        self.0.latency_changes.fetch_add(1, Ordering::AcqRel);
    }
}

impl HostParamsImplMainThread for MainThread {
    fn rescan(&self, flags: ParamRescanFlags) {
        let rule = if flags.contains(ParamRescanFlags::ALL) {
            Rule::Inactive
        } else {
            Rule::MainThread
        };
        self.0.check("clap_host_params.rescan", rule);
    }

    fn clear(&self, _parameter: ClapId, _flags: ParamClearFlags) {
        self.0.check("clap_host_params.clear", Rule::MainThread);
    }
}

impl HostAudioPortsImpl for MainThread {
    fn is_rescan_flag_supported(&self, _flag: AudioPortRescanFlags) -> bool {
        self.0
            .check("clap_host_audio_ports.is_rescan_flag_supported", Rule::MainThread);
        true
    }

    /// Names alone may change while the plug-in is active.
    fn rescan(&self, flags: AudioPortRescanFlags) {
        let rule = if flags == AudioPortRescanFlags::NAMES {
            Rule::MainThread
        } else {
            Rule::Inactive
        };
        self.0.check("clap_host_audio_ports.rescan", rule);
    }
}

impl HostStateImpl for MainThread {
    fn mark_dirty(&self) {
        self.0.check("clap_host_state.mark_dirty", Rule::MainThread);
    }
}

impl HostPresetLoadImpl for MainThread {
    fn on_error(&self, _: Location, _: Option<&CStr>, _os_error: i32, message: Option<&CStr>) {
        self.0.check("clap_host_preset_load.on_error", Rule::MainThread);
        *lock(&self.0.preset) = Some(Err(text(message)));
    }

    fn loaded(&self, _: Location, load_key: Option<&CStr>) {
        self.0.check("clap_host_preset_load.loaded", Rule::MainThread);
        *lock(&self.0.preset) = Some(Ok(text(load_key)));
    }
}

/// The part of the host that only the audio thread may call.
pub struct AudioThread(pub Arc<Requests>);

impl AudioProcessorHandler<'_> for AudioThread {}

impl HostTailImpl for AudioThread {
    fn changed(&mut self) {
        self.0.check("clap_host_tail.changed", Rule::AudioThread);
    }
}

/// The host as a whole.
pub struct Handlers;

impl HostHandlers for Handlers {
    type Shared<'a> = Shared;
    type MainThread<'a> = MainThread;
    type AudioProcessor<'a> = AudioThread;

    fn declare_extensions(builder: &mut HostExtensions<Self>, shared: &Shared) {
        shared.0.check("clap_host.get_extension", Rule::AnyThread);
        builder
            .register::<HostAudioPorts>()
            .register::<HostContextMenu>()
            .register::<HostGui>()
            .register::<HostLatency>()
            .register::<HostLog>()
            .register::<HostParams>()
            .register::<HostPresetLoad>()
            .register::<HostState>()
            .register::<HostTail>()
            .register::<HostThreadCheck>()
            .register::<HostTrackInfo>();
    }
}
