//! The strip: the whole song, its sections, and every sibilant by how far it left from what was asked.

mod draw;

use egui::{Align2, EventFilter, Id, Key, Pos2, Response, Sense, Ui, vec2};
use siskin_editor_layout::Song as Area;

use crate::editor::model::song::Song;
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, tips, typeface};
use crate::song_notes::{NotedSibilant, NotesReader};

/// A click this close to a sibilant chooses it, points.
const GRAB_POINTS: f32 = 6.0;
/// A sibilant that is played again begins within a few hops of where it did, seconds.
const SAME_S: f64 = 0.02;

/// The song, and the sibilant that is chosen.
#[derive(Default)]
pub struct SongStrip {
    /// What is known of the song.
    pub song: Song,
    /// First rows that the lists show: sections, left to do.
    pub first_rows: [usize; 2],
    chosen_s: Option<f64>,
}

impl SongStrip {
    /// Reads what is new.
    pub fn update(&mut self, reader: &NotesReader) {
        self.song.update(reader);
    }

    /// Chooses a sibilant, or none.
    pub fn choose(&mut self, sibilant: Option<&NotedSibilant>) {
        self.chosen_s = sibilant.map(|sibilant| sibilant.start_s);
    }

    /// The chosen sibilant, as it was played last.
    pub fn chosen(&self) -> Option<&NotedSibilant> {
        let chosen_s = self.chosen_s?;
        let distance_s = |sibilant: &NotedSibilant| (sibilant.start_s - chosen_s).abs();
        let sibilants = self.song.notes.sibilants.iter();
        sibilants
            .filter(|sibilant| distance_s(sibilant) <= SAME_S)
            .min_by(|one, other| distance_s(one).total_cmp(&distance_s(other)))
    }

    /// The chosen sibilant in one line.
    pub fn reading(&self) -> Option<String> {
        self.chosen().map(|sibilant| self.song.reading(sibilant))
    }

    /// Draws the strip and handles its input.
    pub fn show(&mut self, ui: &Ui, area: &Area, is_bypassed: bool) {
        let colours = &palette::of_sound(ui.ctx(), is_bypassed);
        let response = ui.interact(area.frame, Id::unique("song strip"), Sense::click());
        marks::edge(ui.painter(), area.frame);
        let span_s = self.song.span_s();
        draw::frame(ui, area, colours);
        draw::voice(ui, area, &self.song, span_s, colours);
        draw::sibilants(ui, area, &self.song, span_s, colours);
        draw::sections(ui, area, &self.song, span_s);
        if let Some(chosen) = self.chosen() {
            draw::chosen(ui, area.x(chosen.start_s, span_s), area);
        }
        draw::message(ui, area, &self.song);
        let pointer = response
            .hover_pos()
            .filter(|at| area.plot.union(area.lane).contains(*at));
        self.show_position(ui, area, span_s, pointer, colours);
        self.handle(ui, area, span_s, &response);
        if response.has_focus() {
            marks::focus(ui.painter(), area.frame);
        }
        marks::scroll_to_focused(ui, area.frame, &response);
        response.on_hover_text(tips::for_element("song strip"));
    }

    /// Draws where the song is, and says so on the right: at the pointer, else where it plays.
    fn show_position(
        &self,
        ui: &Ui,
        area: &Area,
        span_s: (f64, f64),
        pointer: Option<Pos2>,
        colours: &Palette,
    ) {
        if let Some(position_s) = self.song.notes.position_s {
            draw::playing(ui, area.x(position_s, span_s), area, colours);
        }
        let pointed_s = pointer.map(|at| area.seconds(at.x, span_s));
        let Some(shown_s) = pointed_s.or(self.song.notes.position_s) else {
            return;
        };
        let (ink, font) = if pointed_s.is_some() {
            (colours.secondary_ink, typeface::text())
        } else {
            (colours.ink, typeface::strong())
        };
        let place = self.song.place(shown_s);
        let lines: Vec<&str> = place.split(", ").collect();
        for (index, line) in lines.iter().enumerate() {
            let down = (index as f32 - 0.5 * (lines.len() as f32 - 1.0)) * 18.0;
            let at = area.position.left_center() + vec2(8.0, down);
            ui.painter()
                .text(at, Align2::LEFT_CENTER, line, font.clone(), ink);
        }
    }

    /// A click or an arrow chooses a sibilant; Escape none.
    fn handle(&mut self, ui: &Ui, area: &Area, span_s: (f64, f64), response: &Response) {
        if response.clicked()
            && let Some(at) = response.interact_pointer_pos()
        {
            let away = |sibilant: &&NotedSibilant| (area.x(sibilant.start_s, span_s) - at.x).abs();
            let sibilants = self.song.notes.sibilants.iter();
            let nearest = sibilants.min_by(|one, other| away(one).total_cmp(&away(other)));
            let chosen = nearest.filter(|nearest| away(nearest) <= GRAB_POINTS).copied();
            self.choose(chosen.as_ref());
            response.request_focus();
        }
        if !response.has_focus() {
            return;
        }
        let filter = EventFilter {
            horizontal_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        for (key, forward) in [(Key::ArrowLeft, false), (Key::ArrowRight, true)] {
            if ui.input(|input| input.key_pressed(key)) {
                let next = self.next(forward).copied();
                self.choose(next.as_ref().or(self.chosen().copied().as_ref()));
            }
        }
    }

    /// The sibilant after or before the chosen one, else after or before the position.
    fn next(&self, forward: bool) -> Option<&NotedSibilant> {
        let from_s = self.chosen().map(|chosen| chosen.start_s);
        let from_s = from_s.or(self.song.notes.position_s)?;
        let sibilants = &self.song.notes.sibilants;
        if forward {
            sibilants.iter().find(|sibilant| sibilant.start_s > from_s)
        } else {
            sibilants.iter().rfind(|sibilant| sibilant.start_s < from_s)
        }
    }
}
