//! Screens on which a point has more than one pixel: the editor has the size that it is to have, and its controls lie where
//! the layout says.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use emath::vec2;
use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::clap::SizePx;
use siskin_tests::hosts::window::{Opening, Screen, Session, bursts, on_own_screen};

/// The first size of the window where a point is a pixel.
const FIRST_SIZE: SizePx = SizePx {
    width: 1000,
    height: 720,
};

/// On Windows a host's scale counts only in a program that scales for each screen by itself, in the first of the two ways:
/// elsewhere Windows tells the scale, or hides it.
///
/// The framework asks for that way by a function that Wine 8 lacks, and Windows 10 before 1803. Without it it takes "by the
/// system's scale" for this way (baseview 0.4.2, `ProcessDpiAwareness::from_raw`): so programs say that there.
fn scale_in_this_program() {
    #[cfg(windows)]
    // SAFETY: constants, and names that end with a zero.
    unsafe {
        use windows_sys::Win32::System::LibraryLoader::{GetModuleHandleA, GetProcAddress};
        use windows_sys::Win32::UI::HiDpi::{
            DPI_AWARENESS_CONTEXT_PER_MONITOR_AWARE, DPI_AWARENESS_CONTEXT_SYSTEM_AWARE,
            SetProcessDpiAwarenessContext,
        };
        let user = GetModuleHandleA(c"user32.dll".as_ptr().cast());
        let asks = GetProcAddress(user, c"GetDpiAwarenessContextForProcess".as_ptr().cast());
        let way = match asks {
            Some(_) => DPI_AWARENESS_CONTEXT_PER_MONITOR_AWARE,
            None => DPI_AWARENESS_CONTEXT_SYSTEM_AWARE,
        };
        assert_ne!(
            SetProcessDpiAwarenessContext(way),
            0,
            "this program has a way of scaling already"
        );
    }
}

fn scaled(size: SizePx, scale: f64) -> SizePx {
    let scaled = |side: u32| (f64::from(side) * scale).round() as u32;
    SizePx {
        width: scaled(size.width),
        height: scaled(size.height),
    }
}

/// Drags a control where the layout has it.
fn drag(session: &mut Session, scale: f64) {
    session.pixels_per_point = scale as f32;
    session.gestures();
    let at = session.layout().cell("sib_range").unwrap().track.center();
    session.drag(at, at + vec2(20.0, 0.0)).unwrap();
    let gestures = session.gestures();
    assert!(
        gestures.len() == 1 && gestures[0].0 == "sib_range",
        "{scale}: {gestures:?}"
    );
}

#[test]
fn editor_has_the_scale_that_the_host_tells() {
    scale_in_this_program();
    on_own_screen(|screen: Screen| {
        let screen = Rc::new(screen);
        for scale in [1.0, 1.25, 1.5, 2.0] {
            let mut session = Session::new(&screen, insert(SISKIN), bursts()).unwrap();
            session.live().play(None);
            let opening = Opening {
                scale: Some(scale),
                ..Opening::default()
            };
            for time in ["first", "second"] {
                session.open(opening).unwrap();
                let size = scaled(FIRST_SIZE, scale);
                assert_eq!(session.size(), size, "{scale}, opened for the {time} time");
                assert_eq!(session.inside().unwrap(), [size], "{scale}, {time}");
                drag(&mut session, scale);
                session.close().unwrap();
            }
            // Another screen.
            session.open(Opening::default()).unwrap();
            assert_eq!(session.resize_requests, 0, "{scale}: the host knew the size");
            session.close().unwrap();
        }
    });
}
