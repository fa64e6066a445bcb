//! The framework's window: how the host opens, sizes and closes it, and when it draws.

mod app;
#[cfg(target_os = "linux")]
mod graphics_library;
mod host_callbacks;
pub mod host_editor;
mod keyboard_focus;
mod repaint;
