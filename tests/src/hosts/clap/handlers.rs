//! The host's side of CLAP: what a plug-in may ask of it. Requests are noted here and served by
//! [`Plugin`](super::Plugin) between blocks.

use std::ffi::CStr;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, ThreadId};

use clack_extensions::audio_ports::{AudioPortRescanFlags, HostAudioPorts, HostAudioPortsImpl};
use clack_extensions::gui::{GuiSize, HostGui, HostGuiImpl};
use clack_extensions::latency::{HostLatency, HostLatencyImpl};
use clack_extensions::log::{HostLog, HostLogImpl, LogSeverity};
use clack_extensions::params::{
    HostParams, HostParamsImplMainThread, HostParamsImplShared, ParamClearFlags, ParamRescanFlags,
};
use clack_extensions::preset_discovery::HostPresetLoadImpl;
use clack_extensions::preset_discovery::prelude::{HostPresetLoad, Location};
use clack_extensions::state::{HostState, HostStateImpl};
use clack_extensions::thread_check::{HostThreadCheck, HostThreadCheckImpl};
use clack_host::prelude::*;

/// What the plug-in has asked for since the host last looked.
#[derive(Debug, Default)]
pub struct Requests {
    restart: AtomicBool,
    callback: AtomicBool,
    latency_changes: AtomicUsize,
    flush: AtomicBool,
    window: Mutex<WindowRequests>,
    preset: Mutex<Option<PresetNews>>,
}

/// What a plug-in asked of the window that its editor lies in.
#[derive(Debug, Default)]
struct WindowRequests {
    /// Whether there is a window at all.
    offered: bool,
    size: Option<GuiSize>,
}

/// The word of the preset that was loaded, or why none was.
pub type PresetNews = Result<String, String>;

impl Requests {
    /// Whether anything waits for the main thread.
    pub fn any(&self) -> bool {
        self.restart.load(Ordering::Acquire) || self.callback.load(Ordering::Acquire)
    }

    /// Whether a restart was asked for; forgets it.
    pub fn take_restart(&self) -> bool {
        self.restart.swap(false, Ordering::AcqRel)
    }

    /// Whether a call on the main thread was asked for; forgets it.
    pub fn take_callback(&self) -> bool {
        self.callback.swap(false, Ordering::AcqRel)
    }

    /// How often the plug-in has told that its latency is another one.
    pub fn latency_changes(&self) -> usize {
        self.latency_changes.load(Ordering::Acquire)
    }

    /// Whether values wait to be exchanged; forgets it.
    pub fn take_flush(&self) -> bool {
        self.flush.swap(false, Ordering::AcqRel)
    }

    /// Says whether the editor lies in a window, whose size it may then ask to change.
    pub fn offer_window(&self, offered: bool) {
        *self.window() = WindowRequests { offered, size: None };
    }

    /// The size of the editor that was asked for last, pixels; forgets it.
    pub fn take_size(&self) -> Option<GuiSize> {
        self.window().size.take()
    }

    fn window(&self) -> MutexGuard<'_, WindowRequests> {
        self.window.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What was told of a preset; forgets it.
    pub fn take_preset_news(&self) -> Option<PresetNews> {
        self.preset.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    fn note_preset(&self, news: PresetNews) {
        *self.preset.lock().unwrap_or_else(PoisonError::into_inner) = Some(news);
    }
}

/// The part of the host that every thread of the plug-in may call.
pub struct Shared {
    main_thread: ThreadId,
    requests: Arc<Requests>,
}

impl Shared {
    /// On the thread that will be the plug-in's main thread.
    pub fn new(requests: Arc<Requests>) -> Self {
        Self {
            main_thread: thread::current().id(),
            requests,
        }
    }
}

impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {
        self.requests.restart.store(true, Ordering::Release);
    }

    fn request_process(&self) {}

    fn request_callback(&self) {
        self.requests.callback.store(true, Ordering::Release);
    }
}

impl HostThreadCheckImpl for Shared {
    fn is_main_thread(&self) -> bool {
        thread::current().id() == self.main_thread
    }

    fn is_audio_thread(&self) -> bool {
        !self.is_main_thread()
    }
}

impl HostLogImpl for Shared {
    fn log(&self, severity: LogSeverity, message: &str) {
        if severity >= LogSeverity::Warning {
            eprintln!("[{severity}] {message}");
        }
    }
}

impl HostParamsImplShared for Shared {
    fn request_flush(&self) {
        self.requests.flush.store(true, Ordering::Release);
    }
}

/// nice-plug takes it for granted that a host knows of windows, even where none is ever opened.
impl HostGuiImpl for Shared {
    fn resize_hints_changed(&self) {}

    fn request_resize(&self, size: GuiSize) -> Result<(), HostError> {
        let mut window = self.requests.window();
        if !window.offered {
            return Err(HostError::Message("this host has opened no window"));
        }
        window.size = Some(size);
        Ok(())
    }

    fn request_show(&self) -> Result<(), HostError> {
        Err(HostError::Message("this host shows and hides nothing by itself"))
    }

    fn request_hide(&self) -> Result<(), HostError> {
        Err(HostError::Message("this host shows and hides nothing by itself"))
    }

    fn closed(&self, _was_destroyed: bool) {}
}

/// The part of the host that only the main thread may call. Ports and values are read anew whenever they are needed, so
/// that there is nothing to note but presets, and that the latency has changed.
pub struct MainThread(pub Arc<Requests>);

impl MainThreadHandler<'_> for MainThread {}

impl HostLatencyImpl for MainThread {
    fn changed(&self) {
        self.0.latency_changes.fetch_add(1, Ordering::AcqRel);
    }
}

impl HostParamsImplMainThread for MainThread {
    fn rescan(&self, _flags: ParamRescanFlags) {}

    fn clear(&self, _parameter: ClapId, _flags: ParamClearFlags) {}
}

impl HostAudioPortsImpl for MainThread {
    fn is_rescan_flag_supported(&self, _flag: AudioPortRescanFlags) -> bool {
        true
    }

    fn rescan(&self, _flags: AudioPortRescanFlags) {}
}

impl HostStateImpl for MainThread {
    fn mark_dirty(&self) {}
}

impl HostPresetLoadImpl for MainThread {
    fn on_error(&self, _: Location, _: Option<&CStr>, _os_error: i32, message: Option<&CStr>) {
        let message = message.unwrap_or_default().to_string_lossy();
        self.0.note_preset(Err(message.into_owned()));
    }

    fn loaded(&self, _: Location, load_key: Option<&CStr>) {
        let word = load_key.unwrap_or_default().to_string_lossy();
        self.0.note_preset(Ok(word.into_owned()));
    }
}

/// The host as a whole.
pub struct Handlers;

impl HostHandlers for Handlers {
    type Shared<'a> = Shared;
    type MainThread<'a> = MainThread;
    type AudioProcessor<'a> = ();

    fn declare_extensions(builder: &mut HostExtensions<Self>, _shared: &Shared) {
        builder
            .register::<HostAudioPorts>()
            .register::<HostGui>()
            .register::<HostLatency>()
            .register::<HostLog>()
            .register::<HostParams>()
            .register::<HostPresetLoad>()
            .register::<HostState>()
            .register::<HostThreadCheck>();
    }
}
