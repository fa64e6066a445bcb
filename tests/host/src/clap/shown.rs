//! What a host shows of an insert, and tells it: controller pages, gain reduction, the name of the track.

use anyhow::{Context, Result};
use clack_extensions::remote_controls::{PluginRemoteControls, RemoteControlsPageBuffer};
use clack_extensions::track_info::{HostTrackInfoImpl, PluginTrackInfo, TrackInfo, TrackInfoWriter};
use clap_sys::plugin::clap_plugin;

use super::Plugin;
use super::handlers::MainThread;
use super::parameters::id_of;
use super::plugin::missing;
use crate::lock;
use crate::rules::Rule;

/// A page of a hardware controller.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ControllerPage {
    /// The name of the section that it is in.
    pub section: String,
    /// Its own name.
    pub name: String,
    /// The ids of its parameters, as songs save them; `None` is an empty place.
    pub parameters: [Option<String>; 8],
}

/// `clap_plugin_gain_adjustment_metering` of the draft.
#[repr(C)]
struct GainMetering {
    get: Option<unsafe extern "C" fn(*const clap_plugin) -> f64>,
}

impl HostTrackInfoImpl for MainThread {
    fn get<'a>(&'a self, writer: &mut TrackInfoWriter<'_, 'a>) {
        self.0.check("clap_host_track_info.get", Rule::MainThread);
        let track = *lock(&self.0.track);
        if !track.is_empty() {
            writer.set(&TrackInfo::new().with_name(Some(track.as_bytes())));
        }
    }
}

impl Plugin {
    /// The pages for hardware controllers.
    pub fn controller_pages(&mut self) -> Result<Vec<ControllerPage>> {
        let extension: PluginRemoteControls = self.extension("controller pages")?;
        let handle = self.instance.plugin_handle();
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        let mut pages = Vec::new();
        for index in 0..extension.count(&handle) {
            let mut buffer = RemoteControlsPageBuffer::new();
            let page = extension
                .get(&handle, index, &mut buffer)
                .context("the plug-in does not offer a controller page that it counts")?;
            pages.push(ControllerPage {
                section: text(page.section_name),
                name: text(page.page_name),
                parameters: page.param_ids.map(|id| id_of(&self.parameters, id?.get())),
            });
        }
        Ok(pages)
    }

    /// The gain that the plug-in reports for the end of the last block, dB; fails where it is not active.
    pub fn gain_adjustment_db(&mut self) -> Result<f64> {
        let name = c"clap.gain-adjustment-metering/0";
        let metered = self.on_audio_thread(|processor, _| {
            let plugin = processor.plugin_handle().as_raw_ptr();
            // SAFETY: the plug-in is active, this is its audio thread, and the name is that of the structure.
            unsafe {
                let metering = (*plugin).get_extension?(plugin, name.as_ptr()).cast::<GainMetering>();
                Some(metering.as_ref()?.get?(plugin))
            }
        })?;
        metered.ok_or_else(|| missing("its gain adjustment"))
    }

    /// Names the track that the insert is on.
    pub fn set_track(&mut self, name: &str) -> Result<()> {
        *lock(&self.requests.track) = name.to_owned().leak();
        let extension: PluginTrackInfo = self.extension("track info")?;
        extension.changed(&self.instance.plugin_handle());
        Ok(())
    }
}
