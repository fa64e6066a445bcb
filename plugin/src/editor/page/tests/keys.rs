//! Keys and the plain list, as the manual tells them.

use egui::{Event, Key, Modifiers};

use super::TestPage;

impl TestPage {
    fn shows(&self, shown: &str) -> bool {
        self.texts().iter().any(|(text, _)| text == shown)
    }
}

#[test]
fn a_menu_opens_at_the_control_by_key() {
    let mut page = TestPage::new();
    page.tab_to("sib_range");
    assert!(!page.shows("Reset to default"));
    page.key(Key::M);
    page.frame(vec![]);
    for item in ["Reset to default", "Type a value", "Copy id"] {
        assert!(page.shows(item), "{item}");
    }
    page.key(Key::Escape);
    page.frame(vec![]);
    assert!(!page.shows("Reset to default"));
    assert_eq!(page.recorded(), "");
}

#[test]
fn the_space_bar_presses_nothing() {
    let mut page = TestPage::new();
    for control in ["bypass", "out_gain"] {
        page.tab_to(control);
        page.key(Key::Space);
        assert_eq!(page.recorded(), "", "{control}");
    }
    page.tab_to("bypass");
    page.key(Key::Enter);
    assert_eq!(page.recorded(), "begin bypass, bypass 1.00, end bypass");
}

#[test]
fn shift_makes_a_step_by_key_ten_times_finer() {
    let mut page = TestPage::new();
    page.tab_to("out_gain");
    page.key(Key::ArrowUp);
    let step = page.recorded();
    assert_eq!(step, "begin out_gain, out_gain 0.51, end out_gain");
    page.key(Key::PageUp);
    assert_eq!(page.recorded(), "begin out_gain, out_gain 0.60, end out_gain");
    page.frame(vec![Event::ModifiersChanged(Modifiers::SHIFT)]);
    page.key(Key::PageUp);
    assert_eq!(page.recorded(), step);
}

#[test]
fn the_plain_list_shows_every_parameter_with_id_default_and_range() {
    let mut page = TestPage::new();
    page.size = egui::vec2(1000.0, 900.0);
    page.click(page.layout.button("list").unwrap().center());
    page.frame(vec![]);
    for parameter in page.editor.params.clone().parameters() {
        let default = parameter.text(parameter.default());
        for shown in [parameter.spec().name, parameter.id(), &default] {
            assert!(page.shows(shown), "{shown}");
        }
        let range = match parameter.steps() {
            Some(_) => parameter.text(0.0),
            None => format!("{} to {}", parameter.text(0.0), parameter.text(1.0)),
        };
        let is_shown = page.texts().iter().any(|(text, _)| text.starts_with(&range));
        assert!(is_shown, "{}: {range}", parameter.id());
    }
}
