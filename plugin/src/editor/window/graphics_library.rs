//! The system's graphics library, kept loaded once an editor has been open.
//!
//! baseview 0.4.2 loads `libEGL` with each window on X11 and unloads it with the window. The thread that drew ends later, and
//! glibc then calls what the graphics libraries have left for its end. With those of Debian 11 (libglvnd 1.3.2, Mesa 20.3) that
//! code is gone by then, and the host crashes as the editor closes.

use std::sync::OnceLock;

use libloading::Library;

/// The name under which baseview looks for it.
const NAME: &str = "libEGL.so.1";

/// Loads the library for as long as the process runs, where the system has it: without it baseview takes another way. Call it
/// before a window opens.
pub fn keep_loaded() {
    static LIBRARY: OnceLock<Option<Library>> = OnceLock::new();
    // SAFETY: the library is the one that baseview is about to load itself, so its initialisers run anyway, and no symbol is
    // taken of it.
    LIBRARY.get_or_init(|| unsafe { Library::new(NAME) }.ok());
}
