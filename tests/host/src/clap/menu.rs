//! The host's menu for a parameter, and what the host indicates about parameters: automation and controllers.

use std::ffi::CString;

use clack_extensions::context_menu::{ContextMenuBuilder, ContextMenuTarget, HostContextMenuImpl};
use clack_extensions::param_indication::PluginParamIndication;
use clack_host::prelude::HostError as Refusal;
use clack_host::utils::ClapId;

pub use clack_extensions::param_indication::ParamIndicationAutomation as Automation;

use super::Plugin;
use super::handlers::MainThread;
use crate::lock;
use crate::rules::Rule;

/// A menu that the plug-in had the host show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownMenu {
    /// The id of the parameter, as songs save it; `None` for a menu of no parameter.
    pub parameter: Option<String>,
    /// From the left edge of the editor, pixels.
    pub x: i32,
    /// From the upper edge of the editor, pixels.
    pub y: i32,
}

/// Menus that a plug-in asked for.
#[derive(Debug, Default)]
pub struct MenuRequests {
    /// Whether the host shows menus at all.
    offered: bool,
    shown: Option<(ContextMenuTarget, i32, i32)>,
}

impl HostContextMenuImpl for MainThread {
    fn populate(&self, _: ContextMenuTarget, _: &mut ContextMenuBuilder) -> Result<(), Refusal> {
        self.0.check("clap_host_context_menu.populate", Rule::MainThread);
        Err(Refusal::Message("this host's menu is its own"))
    }

    fn perform(&self, _: ContextMenuTarget, _: ClapId) -> Result<(), Refusal> {
        self.0.check("clap_host_context_menu.perform", Rule::MainThread);
        Err(Refusal::Message("this host's menu is its own"))
    }

    fn can_popup(&self) -> bool {
        self.0.check("clap_host_context_menu.can_popup", Rule::MainThread);
        lock(&self.0.menu).offered
    }

    fn popup(&self, target: ContextMenuTarget, _screen: i32, x: i32, y: i32) -> Result<(), Refusal> {
        self.0.check("clap_host_context_menu.popup", Rule::MainThread);
        let mut menu = lock(&self.0.menu);
        if !menu.offered {
            self.0
                .rules
                .note("clap_host_context_menu.popup: wants a host that can show menus".to_owned());
        }
        menu.shown = Some((target, x, y));
        Ok(())
    }
}

impl Plugin {
    /// Says whether the host shows menus for parameters.
    pub fn offer_menu(&mut self, offered: bool) {
        lock(&self.requests.menu).offered = offered;
    }

    /// The menu that the plug-in had the host show last; forgets it.
    pub fn take_menu(&mut self) -> Option<ShownMenu> {
        let (target, x, y) = lock(&self.requests.menu).shown.take()?;
        let parameter = match target {
            ContextMenuTarget::Param(id) => self.id_of(id.get()),
            _ => None,
        };
        Some(ShownMenu { parameter, x, y })
    }

    /// Indicates what automation does with a parameter.
    pub fn indicate_automation(&mut self, id: &str, automation: Automation) -> anyhow::Result<()> {
        let number = ClapId::new(self.parameter(id)?.clap_id);
        let extension: PluginParamIndication = self.extension("param indication")?;
        extension.set_automation(&self.instance.plugin_handle(), number, automation, None);
        Ok(())
    }

    /// Indicates which controller moves a parameter, if any.
    pub fn indicate_controller(&mut self, id: &str, controller: Option<&str>) -> anyhow::Result<()> {
        let number = ClapId::new(self.parameter(id)?.clap_id);
        let extension: PluginParamIndication = self.extension("param indication")?;
        let name = controller.and_then(|name| CString::new(name).ok());
        let handle = self.instance.plugin_handle();
        extension.set_mapping(&handle, number, controller.is_some(), None, None, name.as_deref());
        Ok(())
    }
}
