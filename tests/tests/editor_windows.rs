//! Windows of the editor: opening, closing, resizing, several at once, leaks.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use emath::{Pos2, Rect, vec2};
use siskin_editor_layout::more_below;
use siskin_editor_layout::palette::LIGHT;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::SizePx;
use siskin_tests::hosts::window::{Load, NOWHERE, Opening, Session, bursts, in_editor, on_own_screen};
use std::rc::Rc;

/// Processor time of an opening with the sound beside it, s. The goal for the time on the clock is 300 ms (`cargo xtask shots
/// --measure`).
const MAX_OPENING_S: f64 = 5.0;
/// Openings before the measurement, which load fonts, caches and drivers.
const WARM_UP: usize = 4;
/// Openings in a round that is measured.
const CYCLES: usize = 12;
/// Rounds in all of which a leak shows. The allocator keeps more where the threads of the windows are interrupted often:
/// once, not in every round.
const ROUNDS: usize = 3;
/// Memory that an opening may leak, KiB. The framework leaks about 90, whatever is drawn; fonts and picture of one window
/// are 3000 and more.
const MAX_LEAK_KIB: f64 = 300.0;

#[test]
fn closing_during_a_drag_ends_the_gesture() {
    in_editor(|mut session| {
        for id in ["handle", "sib_range"] {
            let layout = session.layout();
            let from = layout
                .cell(id)
                .map_or(layout.timeline.handle.center(), |cell| cell.track.center());
            session.hold_and_move(from, from + vec2(30.0, -30.0)).unwrap();
            session.close().unwrap();
            session
                .release(siskin_tests::hosts::window::Button::Left)
                .unwrap();
            // Panics where one is still open.
            let gestures = session.gestures();
            assert_eq!(gestures.len(), 1, "{id}: {gestures:?}");
            session.open(Opening::default()).unwrap();
        }
    });
}

#[test]
fn several_windows_control_their_own_inserts() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let mut sessions: Vec<Session> = [SISKIN, SISKIN_FOLLOW, SISKIN]
            .into_iter()
            .enumerate()
            .map(|(index, name)| {
                let mut session = Session::new(&screen, insert(name), bursts()).unwrap();
                session.live().play(None);
                let opening = Opening {
                    size: Some(SizePx::new(800, 700)),
                    corner: (10 + 650 * index as i16, 10 + 90 * index as i16),
                    ..Opening::default()
                };
                session.open(opening).unwrap();
                session
            })
            .collect();
        // The windows overlap; the pointer stays where they do not.
        for (index, session) in sessions.iter_mut().enumerate() {
            let at = session.layout().cell("lev_thr").unwrap().track.center();
            session.drag(at, at + vec2(20.0, 0.0)).unwrap();
            assert_eq!(session.gestures().len(), 1, "window {index}");
        }
        let mut first = sessions.remove(0);
        first.close().unwrap();
        for session in &mut sessions {
            assert!(
                session.gestures().is_empty(),
                "each insert receives input of its own window only"
            );
            let plot = session.layout().timeline.plot;
            let before = session.picture_of(plot).unwrap();
            session.wait_for_change(plot, &before).unwrap();
        }
    });
}

#[test]
fn the_editor_follows_the_size_of_the_host_window() {
    in_editor(|mut session| {
        for (width, height) in [(1400, 900), (600, 420), (1000, 720)] {
            let size = SizePx::new(width, height);
            assert_eq!(session.plugin().nearest_editor_size(size).unwrap(), size);
            session.resize(size).unwrap();
            assert_eq!(session.inside().unwrap(), [size]);
            assert_eq!(session.plugin().editor_size().unwrap(), size);
            let handle = session.layout().timeline.handle.center();
            session.drag(handle, handle + vec2(0.0, 20.0)).unwrap();
            let gestures = session.gestures();
            assert_eq!(gestures.len(), 1, "the handle is where it is drawn, at {size:?}");
        }
        let tiny = SizePx::new(20, 20);
        let least = session.plugin().nearest_editor_size(tiny).unwrap();
        assert!(least.width >= 300 && least.height >= 200, "{least:?}");
        assert_eq!(
            session.resize_requests, 0,
            "the host resizes; the editor asks for nothing"
        );
    });
}

#[test]
fn size_and_zoom_are_saved_with_the_song() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let mut session = Session::running(&screen, SISKIN, bursts()).unwrap();
        let size = SizePx::new(1440, 1080);
        session.zoom(150).unwrap();
        session.resize(size).unwrap();
        session.close().unwrap();
        session.open(Opening::default()).unwrap();
        assert_eq!(session.size(), size, "the window that opens again");
        drag(&mut session, "out_gain", 0.0);

        let state = session.plugin().save_state().unwrap();
        assert_eq!(
            state,
            session.plugin().save_state().unwrap(),
            "two saves are alike to the bit"
        );
        let mut plugin = insert(SISKIN);
        plugin.load_state(&state).unwrap();
        let mut other = Session::new(&screen, plugin, bursts()).unwrap();
        other.live().play(None);
        other.open(Opening::default()).unwrap();
        other.pixels_per_point = 1.5;
        assert_eq!(other.size(), size, "the song that was saved");
        drag(&mut other, "out_gain", 0.0);
    });
}

/// Drags a control of a page that is scrolled so far, points.
fn drag(session: &mut Session, id: &str, scrolled: f32) {
    session.gestures();
    let layout = session.layout().translated(vec2(0.0, -scrolled));
    let at = layout.cell(id).unwrap().track.center();
    session.drag(at, at + vec2(15.0, 0.0)).unwrap();
    let gestures = session.gestures();
    assert!(gestures.len() == 1 && gestures[0].0 == id, "{id}: {gestures:?}");
}

#[test]
fn a_zoom_asks_for_room_and_without_it_the_page_shows_that_there_is_more() {
    in_editor(|mut session| {
        let first = session.size();
        for (percent, size) in [(150, SizePx::new(1500, 1080)), (100, first)] {
            session.zoom(percent).unwrap();
            assert_eq!(session.size(), size, "the host follows");
            assert_eq!(session.plugin().editor_size().unwrap(), size);
            drag(&mut session, "out_gain", 0.0);
        }
        session.plugin().fix_window(true);
        session.zoom(150).unwrap();
        assert_eq!(session.size(), first);
        for id in ["lev_thr", "sib_prop", "sib_ratio", "br_prop"] {
            drag(&mut session, id, 0.0);
        }
        let window = vec2(first.width as f32, first.height as f32) / session.pixels_per_point;
        let window = Rect::from_min_size(Pos2::ZERO, window);
        let bar = window.with_min_x(window.right() - 8.0).shrink2(vec2(0.0, 20.0));
        session.point(NOWHERE).unwrap();
        let share = |session: &Session, area, colour| session.picture_of(area).unwrap().share_of(colour);
        assert!(share(&session, bar, LIGHT.paper) < 1.0, "a scroll bar");
        let tab = |session: &Session| share(session, more_below(window).shrink(2.0), LIGHT.surface);
        assert!(tab(&session) > 0.3, "{}", tab(&session));
        session.wheel(NOWHERE, -40).unwrap();
        assert_eq!(tab(&session), 0.0, "the end of the page");
        let scrolled = session.layout().page.y - window.height();
        drag(&mut session, "out_gain", scrolled);
    });
}

#[test]
#[cfg_attr(windows, ignore = "reads the resources of a process from /proc")]
fn repeated_opening_leaks_nothing() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let mut session = Session::running(&screen, SISKIN, bursts()).unwrap();
        session.close().unwrap();
        let alone = Load::now(&screen).unwrap();
        let cycle = |session: &mut Session| {
            let before = Load::now(&screen).unwrap();
            session.open(Opening::default()).unwrap();
            let open = Load::now(&screen).unwrap();
            let took_s = open.processor_s - before.processor_s;
            assert!(took_s < MAX_OPENING_S, "the window took {took_s} s to open");
            assert!(open.threads > alone.threads && open.clients > alone.clients && open.files > alone.files);
            session.close().unwrap();
            session
                .wait_until("the X server drops the connection", |_| {
                    Ok(Load::now(&screen)?.clients == alone.clients)
                })
                .unwrap();
        };
        (0..WARM_UP).for_each(|_| cycle(&mut session));
        let mut left_kib = Vec::new();
        while left_kib.len() < ROUNDS {
            let before = Load::now(&screen).unwrap();
            (0..CYCLES).for_each(|_| cycle(&mut session));
            let after = Load::now(&screen).unwrap();
            assert_eq!(after.threads, before.threads, "threads");
            assert_eq!(after.clients, before.clients, "clients of the X server");
            assert_eq!(after.files, before.files, "open files");
            left_kib.push((after.memory_kib as f64 - before.memory_kib as f64) / CYCLES as f64);
            if left_kib.last().is_some_and(|&kib| kib < MAX_LEAK_KIB) {
                return;
            }
        }
        panic!("an opening leaves {left_kib:?} KiB in each round");
    });
}

/// Its thread ends after the window, and calls what the library has left for that: `editor/window/graphics_library` in the plug-in.
#[test]
#[cfg_attr(windows, ignore = "reads the memory map of a process from /proc")]
fn the_graphics_library_outlives_the_window() {
    on_own_screen(|screen| {
        let is_loaded = || {
            std::fs::read_to_string("/proc/self/maps")
                .unwrap()
                .contains("libEGL.so")
        };
        let mut session = Session::of_bursts(screen);
        let while_open = is_loaded();
        session.close().unwrap();
        assert_eq!(is_loaded(), while_open);
    });
}
