//! The size, the zoom and the colours of the window, as songs save them.
//!
//! A map of whole numbers, so that saving a song twice gives the same bytes. It is empty until a person has changed
//! something, so that a state without it (a starting point, an older song) leaves the window as it is.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};

use nice_plug::params::persist::PersistentField;

/// The keys of the map.
const WIDTH: &str = "width";
const HEIGHT: &str = "height";
const ZOOM: &str = "zoom_percent";
const SCHEME: &str = "scheme";
/// Sizes that a song may ask for, pixels at a scale of 1; others are ignored.
const SIZES_PX: std::ops::RangeInclusive<u32> = 200..=8000;
/// Zooms that a song may ask for.
const ZOOMS_PERCENT: std::ops::RangeInclusive<u32> = 100..=200;

/// A scheme of colours. The numbers are saved in songs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// Dark ink on pale paper.
    Light = 1,
    /// Pale ink on dark paper.
    Dark = 2,
}

impl Scheme {
    fn of(number: u32) -> Option<Self> {
        [Self::Light, Self::Dark]
            .into_iter()
            .find(|scheme| *scheme as u32 == number)
    }
}

/// The scheme that was chosen last in any insert of this program, for new ones; 0 before that. No file is opened for it.
static LAST_SCHEME: AtomicU32 = AtomicU32::new(0);

/// The saved size, zoom and scheme; 0 is that of a new window.
#[derive(Debug, Default)]
pub struct RememberedWindow {
    width_px: AtomicU32,
    height_px: AtomicU32,
    zoom_percent: AtomicU32,
    scheme: AtomicU32,
}

impl RememberedWindow {
    /// The size, pixels at a scale of 1, if one was saved.
    pub fn size_px(&self) -> Option<(u32, u32)> {
        let size = (read(&self.width_px), read(&self.height_px));
        (SIZES_PX.contains(&size.0) && SIZES_PX.contains(&size.1)).then_some(size)
    }

    /// The zoom, percent, if one was saved.
    pub fn zoom_percent(&self) -> Option<u32> {
        Some(read(&self.zoom_percent)).filter(|zoom| ZOOMS_PERCENT.contains(zoom))
    }

    /// The scheme that was saved, else the one that was chosen last in another insert of this program, else the light one.
    pub fn scheme(&self) -> Scheme {
        let last = || Scheme::of(read(&LAST_SCHEME));
        Scheme::of(read(&self.scheme))
            .or_else(last)
            .unwrap_or(Scheme::Light)
    }

    /// Saves the scheme that a person has chosen, for new inserts too.
    pub fn choose_scheme(&self, scheme: Scheme) {
        self.scheme.store(scheme as u32, Ordering::Relaxed);
        LAST_SCHEME.store(scheme as u32, Ordering::Relaxed);
    }

    /// Saves the scheme that a window has opened with, where a person has chosen it in another insert.
    pub fn keep_chosen_scheme(&self) {
        if Scheme::of(read(&LAST_SCHEME)).is_some() {
            self.scheme.store(self.scheme() as u32, Ordering::Relaxed);
        }
    }

    /// Saves a size.
    pub fn set_size_px(&self, width_px: u32, height_px: u32) {
        self.width_px.store(width_px, Ordering::Relaxed);
        self.height_px.store(height_px, Ordering::Relaxed);
    }

    /// Saves a zoom.
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
        if let Some(scheme) = saved
            .get(SCHEME)
            .copied()
            .filter(|number| Scheme::of(*number).is_some())
        {
            self.scheme.store(scheme, Ordering::Relaxed);
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
        let scheme = Scheme::of(read(&self.scheme));
        saved.extend(scheme.map(|scheme| (SCHEME.to_owned(), scheme as u32)));
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
    fn saved_window_opens_again_and_saves_the_same_bytes() {
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
    fn songs_without_a_window_keep_it_and_impossible_sizes_are_ignored() {
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

    /// One test, since the last scheme is one for all inserts.
    #[test]
    fn the_scheme_is_saved_with_the_song_and_meets_new_inserts() {
        let window = RememberedWindow::default();
        assert_eq!(window.scheme(), Scheme::Light);
        window.set(Saved::from([(SCHEME.to_owned(), 9)]));
        assert!(window.map(Saved::is_empty), "an unknown scheme is ignored");
        window.keep_chosen_scheme();
        assert!(window.map(Saved::is_empty), "nobody has chosen yet");
        window.set(Saved::from([(SCHEME.to_owned(), 2)]));
        assert_eq!(window.scheme(), Scheme::Dark);
        let other = RememberedWindow::default();
        assert_eq!(
            other.scheme(),
            Scheme::Light,
            "a song that opens changes no other insert"
        );

        window.choose_scheme(Scheme::Dark);
        assert_eq!(other.scheme(), Scheme::Dark, "a new insert");
        other.keep_chosen_scheme();
        window.choose_scheme(Scheme::Light);
        assert_eq!(
            other.scheme(),
            Scheme::Dark,
            "an insert keeps what it opened with"
        );
        assert_eq!(
            other.map(Clone::clone),
            Saved::from([(SCHEME.to_owned(), Scheme::Dark as u32)])
        );
    }
}
