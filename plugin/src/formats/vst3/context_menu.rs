//! The host's menu for a parameter, which the editor asks for: `IComponentHandler3`.

use std::sync::atomic::{AtomicPtr, Ordering};
use std::sync::{Arc, Weak};

use nice_plug::wrapper::vst3::vst3::ComPtr;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandler3, IComponentHandler3Trait, IContextMenuTrait, ParamID,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{IPlugView, kNotImplemented, tresult};

use super::component_handler::HostCalls;
use crate::editor::{MenuHost, MenuRequest};
use crate::formats::link::{InsertTask, Link};

/// A menu of the host, in the host's terms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ParamMenu {
    /// The parameter.
    pub id: ParamID,
    /// From the left edge of the view.
    pub x: i32,
    /// From the upper edge of the view.
    pub y: i32,
}

/// The view that the framework made last. It keeps a reference to it until it makes another one or ends.
#[derive(Default)]
pub struct NewestView(AtomicPtr<IPlugView>);

impl NewestView {
    /// Notes a view that the framework made just now.
    pub fn set(&self, view: *mut IPlugView) {
        self.0.store(view, Ordering::Release);
    }

    /// Has the host show a menu. On the UI thread.
    pub fn show_menu(&self, host: &ComPtr<IComponentHandler>, menu: ParamMenu) -> tresult {
        let view = self.0.load(Ordering::Acquire);
        let handler = host.cast::<IComponentHandler3>();
        let (Some(handler), false) = (handler, view.is_null()) else {
            return kNotImplemented;
        };
        // SAFETY: the view is valid, see `NewestView`; the host hands over a menu with one reference, or null.
        unsafe {
            let shown = ComPtr::from_raw(handler.createContextMenu(view, &raw const menu.id));
            shown.map_or(kNotImplemented, |shown| shown.popup(menu.x, menu.y))
        }
    }
}

/// The host's menu, as the editor asks for it.
pub struct Vst3Menu {
    calls: Weak<HostCalls>,
    link: Weak<Link>,
}

impl Vst3Menu {
    /// The menu of the host behind `calls`.
    pub fn new(calls: &Arc<HostCalls>, link: &Arc<Link>) -> Self {
        Self {
            calls: Arc::downgrade(calls),
            link: Arc::downgrade(link),
        }
    }
}

impl MenuHost for Vst3Menu {
    fn can_show(&self) -> bool {
        self.calls.upgrade().is_some_and(|calls| calls.has_menus())
    }

    /// By way of the background thread: on Windows and macOS the editor draws on the UI thread, and a menu within a frame
    /// would handle the window's events there.
    fn show(&self, request: MenuRequest) {
        let link = self.link.upgrade();
        if let Some(threads) = link.as_ref().and_then(|link| link.threads()) {
            (threads.background)(InsertTask::ShowHostMenu(Box::new(request)));
        }
    }
}
