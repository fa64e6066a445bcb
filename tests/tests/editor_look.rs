//! What the editor shows, in a real window: what sounds and what is held, bypass, numbers, freezing, hints, schemes.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;
use std::time::Duration;

use emath::{Rect, pos2, vec2};
use siskin_editor_layout::palette::{DARK, LIGHT};
use siskin_editor_layout::{READINGS, Timeline};
use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::clap::LiveSound;
use siskin_tests::hosts::fixtures::insert_with;
use siskin_tests::hosts::window::{
    Key, NOWHERE, Opening, Screen, Session, levelled_song, on_own_screen, raw_song,
};

/// Sound before a look: a little more than the timeline shows, s.
const PLAYED_S: f64 = 8.6;
/// The editor reports missing input after 600 ms; at least so much later a frame must say so.
const INPUT_TIMEOUT: Duration = Duration::from_millis(900);
/// The singer's sounds after so much of the song, s ago: a rest, a vowel, and two sibilants.
const REST_AGO_S: [f32; 2] = [3.3, 3.1];
const VOWEL_AGO_S: [f32; 2] = [2.7, 2.3];
const SIBILANT_AGO_S: f32 = 0.85;
const OTHER_SIBILANT_AGO_S: f32 = 4.65;

/// The sound, played and held, in an open editor.
fn played(screen: &Rc<Screen>, sound: LiveSound) -> Session {
    played_with(screen, &[], sound)
}

/// As [`played`], with these settings.
fn played_with(screen: &Rc<Screen>, settings: &[(&str, &str)], sound: LiveSound) -> Session {
    let plugin = insert_with(SISKIN, 2, settings);
    let mut session = Session::new(screen, plugin, sound.fast()).unwrap();
    session.open(Opening::default()).unwrap();
    play(&mut session, PLAYED_S);
    session
}

/// Plays on until the editor says that there is no input, which changes nothing else.
fn play(session: &mut Session, seconds: f64) {
    session.play_s(seconds).unwrap();
    session.pass(INPUT_TIMEOUT).unwrap();
    session.point(NOWHERE).unwrap();
}

/// The plot below `top_lufs`, between two times.
fn below(timeline: &Timeline, top_lufs: f32, [from_s, until_s]: [f32; 2]) -> Rect {
    Rect::from_min_max(
        pos2(timeline.x(from_s), timeline.y(top_lufs)),
        pos2(timeline.x(until_s), timeline.plot.bottom() - 1.0),
    )
}

#[test]
fn what_sounds_is_an_area_and_what_is_held_is_a_line() {
    on_own_screen(|screen| {
        let session = played(&Rc::new(screen), levelled_song());
        let timeline = session.layout().timeline;
        let filled = |span| {
            let picture = session.picture_of(below(&timeline, -30.0, span)).unwrap();
            picture.share_of(LIGHT.voice_area)
        };
        assert!(filled(VOWEL_AGO_S) > 0.8, "{}", filled(VOWEL_AGO_S));
        assert_eq!(filled(REST_AGO_S), 0.0, "nothing sounds in a rest");
        const SOFT_EDGE: u8 = 60;
        let line = |span: [f32; 2]| {
            let whole =
                Rect::from_x_y_ranges(timeline.x(span[0])..=timeline.x(span[1]), timeline.plot.y_range());
            // The broken line has soft edges.
            let picture = session.picture_of(whole).unwrap();
            let mut pixels = picture.rgb.chunks_exact(3);
            pixels.any(|pixel| {
                let voice = LIGHT.voice.to_array();
                let off = |channel: usize| pixel[channel].abs_diff(voice[channel]);
                (0..3).all(|channel| off(channel) < SOFT_EDGE)
            })
        };
        assert!(line(REST_AGO_S), "but its level is held");
    });
}

#[test]
fn a_bypassed_picture_is_grey_and_says_so() {
    on_own_screen(|screen| {
        let mut session = played(&Rc::new(screen), levelled_song());
        let layout = session.layout();
        let pictures = [layout.timeline.frame, layout.spectrum.frame];
        let meanings = [
            LIGHT.voice,
            LIGHT.voice_area,
            LIGHT.threshold,
            LIGHT.sibilant,
            LIGHT.reduction,
        ];
        let coloured = |session: &Session| -> f64 {
            let pictures = pictures.map(|area| session.picture_of(area).unwrap());
            let share = |colour| {
                pictures
                    .iter()
                    .map(|picture| picture.share_of(colour))
                    .sum::<f64>()
            };
            meanings.into_iter().map(share).sum()
        };
        assert!(coloured(&session) > 0.2, "{}", coloured(&session));
        let said = |session: &Session| {
            let middle = Rect::from_center_size(layout.timeline.plot.center(), vec2(120.0, 24.0));
            session.picture_of(middle).unwrap().share_of(LIGHT.ink)
        };
        assert_eq!(said(&session), 0.0);
        let bypass = layout.cell("bypass").map(|cell| cell.choice(1, 2));
        session.click_in(bypass).unwrap();
        session.point(NOWHERE).unwrap();
        assert_eq!(coloured(&session), 0.0);
        assert!(said(&session) > 0.05, "{}", said(&session));
        // What plays on is not turned down: no stripes, and nothing in the lane of reduction.
        play(&mut session, PLAYED_S);
        let lane = session.picture_of(layout.timeline.reduction.shrink(2.0)).unwrap();
        assert_eq!(lane.share_of(LIGHT.paper), 1.0);
    });
}

#[test]
fn a_click_begins_the_greatest_readings_anew() {
    on_own_screen(|screen| {
        let mut session = played(&Rc::new(screen), levelled_song());
        // Into silence: no reduction and no peaks now.
        session.live().silence();
        session.play_blocks(400).unwrap();
        session.live().rest();
        session.pass(INPUT_TIMEOUT).unwrap();
        session.point(NOWHERE).unwrap();
        let readings = session.layout().readings;
        let rows = |session: &Session| -> Vec<_> {
            let row = |index| session.picture_of(readings.row(index)).unwrap();
            (0..READINGS).map(row).collect()
        };
        let before = rows(&session);
        session.click_in(readings.frame).unwrap();
        session.point(NOWHERE).unwrap();
        let after = rows(&session);
        for (index, is_read) in [(0, true), (1, false), (2, false), (3, true), (4, true)] {
            let changed = before[index] != after[index];
            assert_eq!(changed, is_read, "row {index}");
        }
    });
}

#[test]
fn a_frozen_spectrum_stands_still_and_shows_the_sibilant_at_the_pointer() {
    on_own_screen(|screen| {
        let mut session = played(&Rc::new(screen), levelled_song());
        let layout = session.layout();
        session.key(Key::Sign('f')).unwrap();
        session.point(NOWHERE).unwrap();
        let spectrum = layout.spectrum.plot;
        let frozen = session.picture_of(spectrum).unwrap();
        play(&mut session, 1.5);
        assert_eq!(session.picture_of(spectrum).unwrap(), frozen);
        let pointed = |session: &mut Session, ago_s| {
            // The middle of the sibilant's bar.
            session
                .point(pos2(layout.timeline.x(ago_s), layout.timeline.y(-40.0)))
                .unwrap();
            session.picture_of(spectrum).unwrap()
        };
        let [one, other] = [SIBILANT_AGO_S, OTHER_SIBILANT_AGO_S].map(|ago_s| pointed(&mut session, ago_s));
        assert!(one.share_of(LIGHT.sibilant) > 0.02 && other.share_of(LIGHT.sibilant) > 0.02);
        assert_ne!(one, other, "each has its own spectrum");
        assert_eq!(pointed(&mut session, OTHER_SIBILANT_AGO_S), other);
        session.key(Key::Sign('f')).unwrap();
        session.point(NOWHERE).unwrap();
        assert_ne!(session.picture_of(spectrum).unwrap(), frozen, "it runs again");
    });
}

#[test]
fn a_pointer_in_a_picture_is_read_and_leaves_the_legend() {
    on_own_screen(|screen| {
        let mut session = played(&Rc::new(screen), levelled_song());
        let layout = session.layout();
        for (plot, legend, values) in [
            (
                layout.timeline.plot,
                layout.timeline.legend,
                layout.timeline.values,
            ),
            (
                layout.spectrum.plot,
                layout.spectrum.legend,
                layout.spectrum.values,
            ),
        ] {
            session.point(NOWHERE).unwrap();
            let before = [legend, values].map(|area| session.picture_of(area).unwrap());
            session.point(plot.center() + vec2(30.0, 20.0)).unwrap();
            let pointed = [legend, values].map(|area| session.picture_of(area).unwrap());
            assert_eq!(pointed[0], before[0], "the legend stays");
            assert_ne!(pointed[1], before[1], "values are read");
        }
    });
}

#[test]
fn nothing_hides_what_is_being_set() {
    on_own_screen(|screen| {
        let mut session = played(&Rc::new(screen), levelled_song());
        let layout = session.layout();
        let timeline = layout.timeline;
        let lanes = timeline.reduction.union(timeline.leveller).union(timeline.tally);
        let below = timeline.frame.translate(vec2(0.0, timeline.frame.height()));
        let below = below.with_max_y(below.top() + 40.0);
        let [before, hint] = [lanes, below].map(|area| session.picture_of(area).unwrap());
        session.point(timeline.handle.center()).unwrap();
        session.wait_for_change(below, &hint).unwrap();
        assert_eq!(session.picture_of(lanes).unwrap(), before, "the hint of the flag");

        session.point(NOWHERE).unwrap();
        let status = session.picture_of(layout.status).unwrap();
        let menu = layout.start_menu(1)[0];
        let closed = session.picture_of(menu).unwrap();
        session.click_in(layout.button("start")).unwrap();
        session.point(NOWHERE).unwrap();
        assert_ne!(session.picture_of(menu).unwrap(), closed, "the menu is open");
        assert_eq!(session.picture_of(layout.status).unwrap(), status);
        session.key(Key::Escape).unwrap();

        let [picture, panel] =
            [timeline.frame, layout.proposal()].map(|area| session.picture_of(area).unwrap());
        session.key(Key::Sign('p')).unwrap();
        session.wait_for_change(layout.proposal(), &panel).unwrap();
        assert_eq!(
            session.picture_of(timeline.frame).unwrap(),
            picture,
            "the proposal"
        );
    });
}

#[test]
fn cues_are_quiet_and_tell_too_little_range_and_too_much_reduction() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let cue = |changes: &[(&str, &str)]| {
            let session = played_with(&screen, changes, levelled_song());
            let status = session.picture_of(session.layout().status).unwrap();
            // Remarks are secondary ink, warnings have their own colour.
            (status.share_of(LIGHT.ink), status.share_of(LIGHT.warning))
        };
        assert_eq!(cue(&[]), (0.0, 0.0), "none at the defaults");
        let (range, warning) = cue(&[("sib_range", "2 dB")]);
        assert!(range > 0.0 && warning == 0.0, "{range} {warning}");
        let (lisp, warning) = cue(&[("sib_prop", "-20 LU"), ("sib_range", "24 dB")]);
        assert!(lisp > 0.0 && warning == 0.0, "{lisp} {warning}");
    });
}

#[test]
fn the_dark_scheme_is_kept_and_met_by_new_inserts() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let mut session = played(&screen, raw_song());
        let paper = |session: &Session| {
            let picture = session.picture().unwrap();
            [LIGHT.paper, DARK.paper].map(|paper| picture.share_of(paper) > 0.3)
        };
        assert_eq!(paper(&session), [true, false]);
        let button = session.layout().button("scheme");
        session.click_in(button).unwrap();
        session.point(NOWHERE).unwrap();
        assert_eq!(paper(&session), [false, true]);
        let in_light_colours = [LIGHT.voice, LIGHT.sibilant, LIGHT.threshold, LIGHT.ink];
        let picture = session.picture().unwrap();
        for colour in in_light_colours {
            assert_eq!(picture.share_of(colour), 0.0, "{colour:?}");
        }
        session.close().unwrap();
        let mut other = played(&screen, raw_song());
        assert_eq!(paper(&other), [false, true], "a new insert has it too");
        other.close().unwrap();
        drop(other);
        session.open(Opening::default()).unwrap();
        assert_eq!(paper(&session), [false, true], "the insert keeps it");
        session.click_in(button).unwrap();
        session.point(NOWHERE).unwrap();
        assert_eq!(paper(&session), [true, false]);
    });
}
