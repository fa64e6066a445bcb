//! The panel of the song, in place of the stages: every section with its figures, and what is left to do by hand.

use egui::{Align2, EventFilter, Id, Key, Rect, Response, Sense, Stroke, Ui, pos2};
use siskin_editor_layout::{List, Song as Area};

use crate::editor::model::song::{NEAR_LU, SectionFigures, Song, clock};
use crate::editor::pictures::song::SongStrip;
use crate::editor::widgets::button::{ButtonState, button};
use crate::editor::widgets::ui_context::UiContext;
use crate::editor::widgets::{marks, palette, tips, typeface};
use crate::song_notes::{NotedSibilant, NotesReader};

/// Right edges of the columns of figures, points; the first column begins at the left edge.
const SECTION_COLUMNS: [(&str, f32); 7] = [
    ("from", 86.0),
    ("voice", 146.0),
    ("sibilants", 212.0),
    ("asked", 272.0),
    ("left", 330.0),
    ("within 2 LU", 424.0),
    ("Range", 490.0),
];
const LEFT_COLUMNS: [(&str, f32); 5] = [
    ("section", 178.0),
    ("before", 232.0),
    ("asked", 284.0),
    ("left", 332.0),
    ("off", 384.0),
];
/// Left edge of what says that Range cut a sibilant off, points.
const RANGE_COLUMN: f32 = 390.0;

/// Draws the panel and handles its input.
pub fn show(ui: &Ui, context: &mut UiContext<'_>, area: &Area, strip: &mut SongStrip, notes: &NotesReader) {
    sections(ui, context, &area.sections, strip);
    let is_empty = strip.song.notes.cells.is_empty();
    if button(
        ui,
        area.sections.button(0),
        ("song_clear", "Clear"),
        enabled(!is_empty),
    ) {
        notes.clear();
    }
    left_to_do(ui, context, &area.left_to_do, strip);
    let count = strip.song.left_to_do.len();
    let copies = button(
        ui,
        area.left_to_do.button(0),
        ("song_copy", "Copy"),
        enabled(count > 0),
    );
    if copies && count > 0 {
        ui.ctx().copy_text(strip.song.text());
    }
}

fn enabled(is_enabled: bool) -> ButtonState {
    if is_enabled {
        ButtonState::Normal
    } else {
        ButtonState::Disabled
    }
}

fn sections(ui: &Ui, context: &mut UiContext<'_>, list: &List, strip: &mut SongStrip) {
    let response = begin(ui, list, "sections", "Sections");
    let song = &strip.song;
    if song.sections.is_empty() {
        say(
            ui,
            list,
            "Play the song: a section begins after a rest or at a lasting change of level.",
        );
    } else {
        heads(ui, list, "", &SECTION_COLUMNS);
    }
    let playing = song
        .notes
        .position_s
        .map_or(0, |position_s| song.section(position_s));
    let mut first = strip.first_rows[0] as f32 + arrows(ui, &response);
    first += wheel(ui, context, list, song.sections.len(), &response);
    first = first.clamp(0.0, song.sections.len().saturating_sub(list.rows()) as f32);
    strip.first_rows[0] = first as usize;
    let rows = song.sections.iter().enumerate().skip(first as usize);
    for (row, (index, section)) in rows.take(list.rows()).enumerate() {
        let figures = section_texts(section);
        let number = (index + 1).to_string();
        texts(
            ui,
            list.row(row),
            (&number, index + 1 == playing),
            &SECTION_COLUMNS,
            &figures,
        );
    }
    more(ui, list, first as usize, song.sections.len());
}

fn section_texts(section: &SectionFigures) -> Vec<String> {
    let has_any = section.sibilants > 0;
    let figure = |text: String| if has_any { text } else { "\u{2013}".to_owned() };
    vec![
        clock(section.start_s),
        format!("{:.1}", section.voice_lufs),
        section.sibilants.to_string(),
        figure(format!("{:.1}", section.asked_lu)),
        figure(format!("{:.1}", section.left_lu)),
        figure(format!("{:.0} %", section.near_percent)),
        figure(format!("{:.0} %", section.limited_percent)),
    ]
}

fn left_to_do(ui: &Ui, context: &mut UiContext<'_>, list: &List, strip: &mut SongStrip) {
    let count = strip.song.left_to_do.len();
    let response = begin(ui, list, "left to do", &format!("Left to do: {count}"));
    if count > 0 {
        heads(ui, list, "place", &LEFT_COLUMNS);
    } else if strip.song.notes.sibilants.is_empty() {
        say(ui, list, "No sibilants yet.");
    } else {
        say(
            ui,
            list,
            &format!("Nothing leaves further than {NEAR_LU:.0} LU from what was asked."),
        );
    }
    choose(ui, list, strip, &response);
    let mut first = strip.first_rows[1] as f32 + wheel(ui, context, list, count, &response);
    first = first.clamp(0.0, count.saturating_sub(list.rows()) as f32);
    strip.first_rows[1] = first as usize;
    let chosen = strip.chosen().map(|chosen| chosen.start_s);
    let rows = strip.song.left_to_do.iter().skip(first as usize);
    for (row, sibilant) in rows.take(list.rows()).enumerate() {
        let is_chosen = chosen == Some(sibilant.start_s);
        left_row(ui, list.row(row), &strip.song, sibilant, is_chosen);
    }
    more(ui, list, first as usize, count);
}

fn left_row(ui: &Ui, row: Rect, song: &Song, sibilant: &NotedSibilant, is_chosen: bool) {
    let colours = palette::of(ui.ctx());
    if is_chosen {
        ui.painter().rect_filled(row, 2.0, colours.hover);
    }
    let place = song.place(sibilant.start_s);
    let figures = vec![
        song.section(sibilant.start_s).to_string(),
        format!("{:.1}", sibilant.before_lu),
        format!("{:.1}", sibilant.asked_lu),
        format!("{:.1}", sibilant.left_lu),
        format!("{:+.1}", sibilant.off_lu()),
    ];
    texts(ui, row, (&place, is_chosen), &LEFT_COLUMNS, &figures);
    if sibilant.is_limited {
        let at = pos2(row.left() + RANGE_COLUMN, row.center().y);
        ui.painter()
            .text(at, Align2::LEFT_CENTER, "Range", typeface::small(), colours.ink);
    }
}

/// A click on a row chooses it; arrows choose the next or the last one.
fn choose(ui: &Ui, list: &List, strip: &mut SongStrip, response: &Response) {
    let rows = &strip.song.left_to_do;
    let first = strip.first_rows[1];
    let mut chosen = None;
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        let row = (0..list.rows()).find(|row| list.row(*row).contains(at));
        chosen = row.map(|row| first + row);
        response.request_focus();
    }
    let moves = arrows(ui, response);
    if moves != 0.0 && !rows.is_empty() {
        let chosen_s = strip.chosen().map(|chosen| chosen.start_s);
        let now = rows.iter().position(|row| Some(row.start_s) == chosen_s);
        let next = now.map_or(0.0, |now| now as f32 + moves);
        chosen = Some(next.clamp(0.0, (rows.len() - 1) as f32) as usize);
    }
    let Some((index, sibilant)) = chosen.and_then(|index| Some((index, *rows.get(index)?))) else {
        return;
    };
    strip.choose(Some(&sibilant));
    let last = index.saturating_sub(list.rows().saturating_sub(1));
    strip.first_rows[1] = first.clamp(last, index.max(last));
}

/// Draws the heading, and makes the list one widget.
fn begin(ui: &Ui, list: &List, name: &str, heading: &str) -> Response {
    let colours = palette::of(ui.ctx());
    let body = list.area.with_min_y(list.heading().bottom());
    let response = ui.interact(body, Id::unique(("song", name)), Sense::click());
    let area = list.heading();
    ui.painter().text(
        area.left_center(),
        Align2::LEFT_CENTER,
        heading,
        typeface::heading(),
        colours.ink,
    );
    ui.painter().hline(
        area.x_range(),
        area.bottom() - 1.0,
        Stroke::new(1.0, colours.edge),
    );
    if response.has_focus() {
        marks::focus(ui.painter(), body.expand(2.0));
    }
    marks::scroll_to_focused(ui, body, &response);
    response.on_hover_text(tips::for_element(name))
}

/// Draws a line in place of the rows.
fn say(ui: &Ui, list: &List, text: &str) {
    let colours = palette::of(ui.ctx());
    let head = list.head();
    let text = ui
        .painter()
        .layout(text.to_owned(), typeface::text(), colours.ink, head.width());
    ui.painter()
        .galley(head.left_top() + egui::vec2(0.0, 4.0), text, colours.ink);
}

fn heads(ui: &Ui, list: &List, first: &str, columns: &[(&str, f32)]) {
    let colours = palette::of(ui.ctx());
    let head = list.head();
    let y = head.center().y;
    let ink = colours.secondary_ink;
    ui.painter().text(
        pos2(head.left(), y),
        Align2::LEFT_CENTER,
        first,
        typeface::small(),
        ink,
    );
    for (name, right) in columns {
        let at = pos2(head.left() + right, y);
        let font = typeface::small_without_digits(name);
        ui.painter().text(at, Align2::RIGHT_CENTER, name, font, ink);
    }
}

/// Draws a row, ruled above: its name, bold where it is the present one, and its figures.
fn texts(ui: &Ui, row: Rect, (name, is_present): (&str, bool), columns: &[(&str, f32)], figures: &[String]) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter();
    painter.hline(row.x_range(), row.top(), Stroke::new(1.0, colours.grid));
    let font = if is_present {
        typeface::strong()
    } else {
        typeface::text()
    };
    painter.text(
        row.left_center(),
        Align2::LEFT_CENTER,
        name,
        font.clone(),
        colours.ink,
    );
    for ((_, right), figure) in columns.iter().zip(figures) {
        let at = pos2(row.left() + right, row.center().y);
        painter.text(at, Align2::RIGHT_CENTER, figure, font.clone(), colours.ink);
    }
}

/// Says beside the heading which rows are shown, where there are more.
fn more(ui: &Ui, list: &List, first: usize, count: usize) {
    if count <= list.rows() {
        return;
    }
    let colours = palette::of(ui.ctx());
    let text = format!("{} to {} of {count}", first + 1, first + list.rows());
    let at = pos2(list.button(0).left() - 10.0, list.heading().center().y);
    ui.painter().text(
        at,
        Align2::RIGHT_CENTER,
        text,
        typeface::text(),
        colours.secondary_ink,
    );
}

/// Rows that the wheel moves on; where all rows are shown, it scrolls the page.
fn wheel(ui: &Ui, context: &mut UiContext<'_>, list: &List, count: usize, response: &Response) -> f32 {
    if count <= list.rows() {
        return 0.0;
    }
    let notches = context.wheel_over(ui, response);
    -notches.signum() * notches.abs().ceil()
}

/// Rows that the arrow keys move on.
fn arrows(ui: &Ui, response: &Response) -> f32 {
    if !response.has_focus() {
        return 0.0;
    }
    let filter = EventFilter {
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let count = |key| ui.input(|input| input.num_presses(key)) as f32;
    count(Key::ArrowDown) - count(Key::ArrowUp)
}
