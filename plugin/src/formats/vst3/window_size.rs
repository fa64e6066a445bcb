//! Another size of the window, for which the editor asks the host: `IPlugFrame::resizeView`. A host that agrees calls
//! `IPlugView::onSize`.
//!
//! The framework (nice-plug 0.4.2) keeps the frame, and gives its editor a call that asks the host. That call belongs to the
//! UI thread, so the request goes there, always by way of the background thread: on Windows and macOS the editor draws on
//! the UI thread, and the host would set the size within a frame. Where a host on Linux gives no run loop with its frame,
//! nothing reaches the UI thread, and the window stays as it is.

use std::sync::Arc;

use crate::formats::link::{InsertTask, Link};

/// Connects the editor's requests with the host.
pub fn connect(link: &Arc<Link>) {
    let Some(editor) = link.editor() else { return };
    let link = Arc::downgrade(link);
    editor.size_requests.connect(move |size| {
        let link = link.upgrade();
        if let Some(threads) = link.as_ref().and_then(|link| link.threads()) {
            (threads.background)(InsertTask::AskForSize(size));
        }
    });
}
