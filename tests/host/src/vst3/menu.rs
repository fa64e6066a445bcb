//! The host's menu for a parameter. Its one item sets the parameter to its upper end, and is chosen as the menu appears.

use std::sync::{Arc, Mutex};

use vst3::Steinberg::Vst::IContextMenu_::Item;
use vst3::Steinberg::Vst::{
    IComponentHandler3Trait, IContextMenu, IContextMenuTarget, IContextMenuTrait, IEditController,
    IEditControllerTrait, ParamID,
};
use vst3::Steinberg::{IPlugView, UCoord, int32, kNotImplemented, kResultOk, tresult};
use vst3::{Class, ComPtr, ComWrapper};

use super::handler::Handler;
use crate::lock;
use crate::rules::{HostRules, Rule};

/// A menu that the plug-in had the host show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShownMenu {
    /// The parameter.
    pub parameter: u32,
    /// From the left edge of the view, pixels.
    pub x: i32,
    /// From the upper edge of the view, pixels.
    pub y: i32,
}

/// The menus of one insert.
pub struct Menus {
    /// Whose parameters the items set; none once the insert ends.
    pub controller: Mutex<Option<ComPtr<IEditController>>>,
    shown: Mutex<Vec<ShownMenu>>,
}

impl Menus {
    /// For the insert of this controller.
    pub fn new(controller: ComPtr<IEditController>) -> Self {
        Self {
            controller: Mutex::new(Some(controller)),
            shown: Mutex::default(),
        }
    }

    /// What was shown since the last call.
    pub fn take(&self) -> Vec<ShownMenu> {
        std::mem::take(&mut lock(&self.shown))
    }
}

struct Menu {
    rules: Arc<HostRules>,
    menus: Arc<Menus>,
    parameter: ParamID,
}

impl Class for Menu {
    type Interfaces = (IContextMenu,);
}

impl IComponentHandler3Trait for Handler {
    unsafe fn createContextMenu(&self, view: *mut IPlugView, id: *const ParamID) -> *mut IContextMenu {
        self.rules
            .check("IComponentHandler3::createContextMenu", Rule::MainThread);
        if view.is_null() || id.is_null() {
            self.rules
                .note("IComponentHandler3::createContextMenu: wants a view and a parameter".to_owned());
            return std::ptr::null_mut();
        }
        let menu = ComWrapper::new(Menu {
            rules: Arc::clone(&self.rules),
            menus: Arc::clone(&self.menus),
            // SAFETY: not null, and VST3 has the plug-in pass a valid id.
            parameter: unsafe { *id },
        });
        menu.to_com_ptr::<IContextMenu>()
            .map_or(std::ptr::null_mut(), ComPtr::into_raw)
    }
}

impl IContextMenuTrait for Menu {
    unsafe fn getItemCount(&self) -> int32 {
        self.rules.check("IContextMenu::getItemCount", Rule::MainThread);
        1
    }

    unsafe fn getItem(
        &self,
        _index: int32,
        _item: *mut Item,
        _target: *mut *mut IContextMenuTarget,
    ) -> tresult {
        self.rules.check("IContextMenu::getItem", Rule::MainThread);
        kNotImplemented
    }

    unsafe fn addItem(&self, _item: *const Item, _target: *mut IContextMenuTarget) -> tresult {
        self.rules.check("IContextMenu::addItem", Rule::MainThread);
        kNotImplemented
    }

    unsafe fn removeItem(&self, _item: *const Item, _target: *mut IContextMenuTarget) -> tresult {
        self.rules.check("IContextMenu::removeItem", Rule::MainThread);
        kNotImplemented
    }

    unsafe fn popup(&self, x: UCoord, y: UCoord) -> tresult {
        self.rules.check("IContextMenu::popup", Rule::MainThread);
        lock(&self.menus.shown).push(ShownMenu {
            parameter: self.parameter,
            x,
            y,
        });
        let controller = lock(&self.menus.controller).clone();
        if let Some(controller) = controller {
            // SAFETY: numbers alone, to a counted controller, on the UI thread.
            return unsafe { controller.setParamNormalized(self.parameter, 1.0) };
        }
        kResultOk
    }
}
