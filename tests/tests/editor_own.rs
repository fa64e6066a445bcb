//! A person's own starting points: kept in the editor, found by the editor and by hosts of both formats, never replaced.
//! The home of these tests is a temporary folder.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use siskin_editor_layout::palette::LIGHT;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, python, strict_bundle, vst3_bundle};
use siskin_tests::hosts::fixtures::output_of;
use siskin_tests::hosts::window::{Key, NOWHERE, Session, in_editor};

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

/// Whether the panel says in the colour of warnings what is wrong.
fn is_refused(session: &Session) -> bool {
    let panel = session.picture_of(session.layout().keep_panel()).unwrap();
    panel.share_of(LIGHT.warning) > 0.0
}

#[test]
fn kept_settings_come_back_under_their_name() {
    in_editor(|mut session| {
        let start = session.layout().button("start").unwrap();
        let unnamed = session.picture_of(start).unwrap();
        session.automate("sib_prop", "-9.5 LU").unwrap();
        session.automate("br_on", "on").unwrap();
        session.automate("bypass", "on").unwrap();
        keep_as(&mut session, "Ana, close", 0);
        assert!(file("Ana, close").exists());
        let named = session.picture_of(start).unwrap();
        assert_ne!(named, unnamed, "the name is shown");
        session.automate("sib_prop", "-3 LU").unwrap();
        session.automate("br_on", "off").unwrap();
        session.automate("bypass", "off").unwrap();
        session.point(NOWHERE).unwrap();
        assert_eq!(
            session.picture_of(start).unwrap(),
            unnamed,
            "until something changes"
        );
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
        assert_eq!(session.picture_of(start).unwrap(), named);
        // Another insert has it, too, and a starting point of the plug-in shows its name as well.
        pick(&mut session, 0, ITEMS + 1);
        assert_eq!(session.text("br_prop").unwrap(), "-14.0 LU");
        assert!(![named, unnamed].contains(&session.picture_of(start).unwrap()));
    });
}

#[test]
fn a_name_in_use_is_refused_and_nothing_is_lost() {
    in_editor(|mut session| {
        keep_as(&mut session, "mine", 0);
        let first = fs::read(file("mine")).unwrap();
        session.automate("sib_prop", "-9.5 LU").unwrap();
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
    in_editor(|mut session| {
        let vendor = file("x").parent().unwrap().parent().unwrap().to_owned();
        fs::create_dir_all(vendor.parent().unwrap()).unwrap();
        fs::write(&vendor, "in the way").unwrap();
        session.automate("sib_prop", "-9.5 LU").unwrap();
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
    in_editor(|mut session| {
        session.automate("sib_prop", "-9.5 LU").unwrap();
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
        let printed: serde_json::Value = serde_json::from_str(&output_of(&mut host)[0]).unwrap();
        assert_eq!(printed["class_ids"][0], printed["class_ids"][1]);
        assert_eq!(printed["after"]["params"]["sib_prop"]["f32"], -9.5);
    });
}
