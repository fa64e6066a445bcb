//! A person's own starting points: kept in the editor, found by the editor and by hosts of both formats, never replaced.
//! The home of these tests is a temporary folder.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::rc::Rc;

use emath::Rect;
use siskin_editor_layout::palette::LIGHT;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, python, strict_bundle, vst3_bundle};
use siskin_tests::hosts::window::{Key, NOWHERE, Picture, Screen, Session, bursts, on_own_screen};

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/python/vst3_preset.py");
/// Starting points of the plug-in, before any own ones.
const POINTS: usize = 2;
/// Items of the menu without own ones: "Keep as ..." is the last.
const ITEMS: usize = POINTS + 1;

fn file(name: &str) -> PathBuf {
    let home = PathBuf::from(std::env::var_os("HOME").unwrap());
    home.join(".vst3/presets/Siskin/Siskin")
        .join(format!("{name}.vstpreset"))
}

fn session(screen: Screen) -> Session {
    Session::running(&Rc::new(screen), SISKIN, bursts()).unwrap()
}

/// Picks an item of the menu *Begin with ...*.
fn pick(session: &mut Session, item: usize, count: usize) {
    session.click_in(session.layout().button("start")).unwrap();
    session
        .click_in(session.layout().start_menu(count)[item])
        .unwrap();
    session.point(NOWHERE).unwrap();
}

/// Keeps the present settings; `own` are kept already.
fn keep_as(session: &mut Session, name: &str, own: usize) {
    pick(session, ITEMS + own - 1, ITEMS + own);
    session.write(name).unwrap();
    session.key(Key::Enter).unwrap();
}

fn set(session: &mut Session, id: &str, text: &str) {
    session.automate(id, text).unwrap();
}

fn picture(session: &Session, area: Rect) -> Picture {
    session.picture_of(area).unwrap()
}

/// Whether the panel says in the colour of warnings what is wrong.
fn is_refused(session: &Session) -> bool {
    let [red, green, blue, _] = LIGHT.warning.to_array();
    picture(session, session.layout().keep_panel()).share_of([red, green, blue]) > 0.0
}

#[test]
fn kept_settings_come_back_under_their_name() {
    on_own_screen(|screen| {
        let mut session = session(screen);
        let start = session.layout().button("start").unwrap();
        let unnamed = picture(&session, start);
        set(&mut session, "sib_prop", "-9.5 LU");
        set(&mut session, "br_on", "on");
        set(&mut session, "bypass", "on");
        keep_as(&mut session, "Ana, close", 0);
        assert!(file("Ana, close").exists());
        let named = picture(&session, start);
        assert_ne!(named, unnamed, "the name is shown");
        set(&mut session, "sib_prop", "-3 LU");
        set(&mut session, "br_on", "off");
        set(&mut session, "bypass", "off");
        session.point(NOWHERE).unwrap();
        assert_eq!(picture(&session, start), unnamed, "until something changes");
        session.gestures();
        pick(&mut session, POINTS, ITEMS + 1);
        session.expect_number("sib_prop", -9.5).unwrap();
        assert_eq!(session.text("br_on").unwrap(), "on");
        assert_eq!(
            session.text("bypass").unwrap(),
            "off",
            "does not depend on the voice"
        );
        let gestures = session.gestures();
        let mut moved: Vec<_> = gestures.iter().map(|(id, _)| id.as_str()).collect();
        moved.sort_unstable();
        assert_eq!(
            moved,
            ["br_on", "sib_prop"],
            "as gestures, which the host can undo"
        );
        assert_eq!(picture(&session, start), named);
        // Another insert has it, too, and a starting point of the plug-in shows its name as well.
        pick(&mut session, 0, ITEMS + 1);
        assert_eq!(session.text("br_prop").unwrap(), "-14.0 LU");
        assert!(![named, unnamed].contains(&picture(&session, start)));
    });
}

#[test]
fn a_name_in_use_is_refused_and_nothing_is_lost() {
    on_own_screen(|screen| {
        let mut session = session(screen);
        keep_as(&mut session, "mine", 0);
        let first = fs::read(file("mine")).unwrap();
        set(&mut session, "sib_prop", "-9.5 LU");
        for name in ["mine", "lead"] {
            keep_as(&mut session, name, 1);
            assert!(is_refused(&session), "{name}");
            session.key(Key::Escape).unwrap();
            assert!(!is_refused(&session), "{name}");
        }
        assert_eq!(fs::read(file("mine")).unwrap(), first);
        assert!(!file("lead").exists() && !file("Lead").exists());
        // The name stays in the field after a refusal: another sign makes it a new one.
        keep_as(&mut session, "mine", 1);
        session.write("2").unwrap();
        session.key(Key::Enter).unwrap();
        assert!(!is_refused(&session));
        assert!(file("mine2").exists());
        // Keys work again after the panel is closed.
        session.gestures();
        session.key(Key::Sign('l')).unwrap();
        assert_eq!(session.gestures().len(), 1);
    });
}

#[test]
fn a_folder_that_cannot_be_written_is_told_and_nothing_is_lost() {
    on_own_screen(|screen| {
        let mut session = session(screen);
        let vendor = file("x").parent().unwrap().parent().unwrap().to_owned();
        fs::create_dir_all(vendor.parent().unwrap()).unwrap();
        fs::write(&vendor, "in the way").unwrap();
        set(&mut session, "sib_prop", "-9.5 LU");
        keep_as(&mut session, "mine", 0);
        assert!(is_refused(&session));
        session.expect_number("sib_prop", -9.5).unwrap();
        fs::remove_file(&vendor).unwrap();
        session.key(Key::Enter).unwrap();
        assert!(
            !is_refused(&session) && file("mine").exists(),
            "the panel has kept the name"
        );
    });
}

#[test]
fn hosts_of_both_formats_load_what_was_kept() {
    on_own_screen(|screen| {
        let mut session = session(screen);
        set(&mut session, "sib_prop", "-9.5 LU");
        keep_as(&mut session, "mine", 0);
        session.close().unwrap();

        let bundle = strict_bundle();
        let listed = bundle.preset_files().unwrap();
        assert_eq!(listed.len(), 1, "{listed:?}");
        assert!(listed[0].name == "mine" && !listed[0].is_factory_content);
        assert_eq!(listed[0].plug_in(&bundle).as_deref(), Some(SISKIN));
        let proportion = |plug_in: &str| {
            let mut plugin = insert(plug_in);
            let loaded = plugin.load_preset_file(&file("mine"));
            let value = plugin.value("sib_prop").unwrap();
            (loaded.is_ok(), plugin.text_of("sib_prop", value).unwrap())
        };
        assert_eq!(proportion(SISKIN), (true, "-9.5 LU".to_owned()));
        assert_eq!(proportion(SISKIN_FOLLOW), (false, "-6.0 LU".to_owned()));

        let mut host = Command::new(python());
        host.arg(SCRIPT).arg(vst3_bundle()).arg(SISKIN).arg(file("mine"));
        let run = host.output().unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        let printed: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
        assert_eq!(printed["class_ids"][0], printed["class_ids"][1]);
        assert_eq!(printed["after"]["params"]["sib_prop"]["f32"], -9.5);
    });
}
