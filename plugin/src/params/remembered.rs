//! What a song remembers of the window: its size and its zoom.
//!
//! Saved as a map with whole numbers, so that two savings of one song are the same to the byte; empty until a person has
//! changed something, so that a state without it (a starting point, an older song) leaves the window as it is.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};

use nice_plug::params::persist::PersistentField;

/// What is saved, by these words.
const WIDTH: &str = "width";
const HEIGHT: &str = "height";
const ZOOM: &str = "zoom_percent";
/// What can be meant, pixels at a scale of 1; a song that says otherwise is not believed.
const SIZES_PX: std::ops::RangeInclusive<u32> = 200..=8000;
/// The zooms that there are.
const ZOOMS_PERCENT: std::ops::RangeInclusive<u32> = 100..=200;

/// The size and the zoom; 0 is "as a new window has it".
#[derive(Debug, Default)]
pub struct RememberedWindow {
    width_px: AtomicU32,
    height_px: AtomicU32,
    zoom_percent: AtomicU32,
}

impl RememberedWindow {
    /// The size, pixels at a scale of 1, if one is remembered.
    pub fn size_px(&self) -> Option<(u32, u32)> {
        let size = (read(&self.width_px), read(&self.height_px));
        (SIZES_PX.contains(&size.0) && SIZES_PX.contains(&size.1)).then_some(size)
    }

    /// The zoom, if one is remembered.
    pub fn zoom_percent(&self) -> Option<u32> {
        Some(read(&self.zoom_percent)).filter(|zoom| ZOOMS_PERCENT.contains(zoom))
    }

    /// Remembers a size.
    pub fn set_size_px(&self, width_px: u32, height_px: u32) {
        self.width_px.store(width_px, Ordering::Relaxed);
        self.height_px.store(height_px, Ordering::Relaxed);
    }

    /// Remembers a zoom.
    pub fn set_zoom_percent(&self, zoom_percent: u32) {
        self.zoom_percent.store(zoom_percent, Ordering::Relaxed);
    }
}

fn read(value: &AtomicU32) -> u32 {
    value.load(Ordering::Relaxed)
}

type Saved = BTreeMap<String, u32>;

impl PersistentField<'_, Saved> for RememberedWindow {
    fn set(&self, saved: Saved) {
        if let (Some(&width), Some(&height)) = (saved.get(WIDTH), saved.get(HEIGHT)) {
            self.set_size_px(width, height);
        }
        if let Some(&zoom) = saved.get(ZOOM) {
            self.set_zoom_percent(zoom);
        }
    }

    fn map<F, R>(&self, look: F) -> R
    where
        F: Fn(&Saved) -> R,
    {
        let mut saved = Saved::new();
        if let Some((width, height)) = self.size_px() {
            saved.extend([(WIDTH.to_owned(), width), (HEIGHT.to_owned(), height)]);
        }
        saved.extend(self.zoom_percent().map(|zoom| (ZOOM.to_owned(), zoom)));
        look(&saved)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::Plain;
    use crate::params::InsertParams;
    use nice_plug::params::Params;

    #[test]
    fn what_is_saved_comes_back_and_is_the_same_to_the_byte() {
        let params = InsertParams::of::<Plain>();
        assert_eq!(params.serialize_fields()["window"], "{}");
        params.window.set_size_px(1234, 800);
        params.window.set_zoom_percent(150);
        let saved = params.serialize_fields();
        assert_eq!(
            saved["window"],
            r#"{"height":800,"width":1234,"zoom_percent":150}"#
        );
        let opened = InsertParams::of::<Plain>();
        opened.deserialize_fields(&saved);
        assert_eq!(opened.window.size_px(), Some((1234, 800)));
        assert_eq!(opened.window.zoom_percent(), Some(150));
        assert_eq!(opened.serialize_fields(), saved);
    }

    #[test]
    fn a_song_without_it_leaves_the_window_and_nonsense_is_not_believed() {
        let window = RememberedWindow::default();
        window.set_size_px(900, 700);
        window.set(Saved::new());
        assert_eq!(window.size_px(), Some((900, 700)));
        let saved = |width, zoom| {
            Saved::from([
                (WIDTH.to_owned(), width),
                (HEIGHT.to_owned(), 700),
                (ZOOM.to_owned(), zoom),
            ])
        };
        window.set(saved(u32::MAX, 9000));
        assert_eq!((window.size_px(), window.zoom_percent()), (None, None));
        window.set(saved(640, 125));
        assert_eq!(
            (window.size_px(), window.zoom_percent()),
            (Some((640, 700)), Some(125))
        );
    }
}
