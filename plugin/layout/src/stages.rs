//! The stages below the pictures: a heading each, and a cell a control.

use emath::{Pos2, Rect, Vec2, pos2, vec2};

use super::GAP;

const COLUMN_GAP: f32 = 24.0;
const HEADING_HEIGHT: f32 = 24.0;
const ROW_HEIGHT: f32 = 34.0;
const NAME_HEIGHT: f32 = 17.0;
const TRACK_HEIGHT: f32 = 13.0;
const VALUE_WIDTH: f32 = 84.0;
const SWITCH_WIDTH: f32 = 84.0;
/// Each stage's name and the ids of its controls, in the order of the signal. A first id that ends in `_on` is the
/// stage's own switch and stands in its heading.
pub const STAGES: [(&str, &[&str]); 5] = [
    (
        "Leveller",
        &[
            "lev_on",
            "lev_thr",
            "lev_ratio",
            "lev_knee",
            "lev_att",
            "lev_rel",
            "lev_gain",
            "lev_auto",
        ],
    ),
    (
        "Sibilance",
        &[
            "sib_on",
            "sib_prop",
            "sib_ratio",
            "sib_range",
            "sib_from",
            "sib_reach",
            "sib_att",
            "sib_rel",
        ],
    ),
    ("Follow", &["fol_time", "fol_start", "fol_src"]),
    ("Breath", &["br_on", "br_prop", "br_range", "br_cut"]),
    ("Output", &["look", "out_gain", "listen", "bypass"]),
];
/// In Siskin Follow only.
const SOURCE: &str = "fol_src";
/// Controls that are chosen from words, which need room to the next row's name.
const CHOICES: [&str; 5] = ["lev_auto", "fol_src", "look", "listen", "bypass"];
const CHOICE_GAP: f32 = 6.0;
/// Which stages stand above one another.
const WIDE_COLUMNS: &[&[usize]] = &[&[0], &[1], &[2, 3], &[4]];
const NARROW_COLUMNS: &[&[usize]] = &[&[0, 4], &[1, 2, 3]];

/// The place of one control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// All of it: wheel, focus, double-click.
    pub area: Rect,
    /// Its name.
    pub name: Rect,
    /// Its value: a click types.
    pub value: Rect,
    /// Where it is dragged, or chosen from.
    pub track: Rect,
}

impl Cell {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        Self {
            area: self.area.translate(by),
            name: self.name.translate(by),
            value: self.value.translate(by),
            track: self.track.translate(by),
        }
    }

    /// The place of choice `index` of `count`; switches have two, off and on.
    #[must_use]
    pub fn choice(&self, index: usize, count: usize) -> Rect {
        let width = self.track.width() / count.max(1) as f32;
        let left = self.track.left() + width * index as f32;
        Rect::from_min_size(pos2(left, self.track.top()), vec2(width, self.track.height()))
    }
}

pub(crate) type Named<T> = Vec<(&'static str, T)>;

/// Headings and cells from `top` on, and the height that they take.
pub(crate) fn stages(top: Pos2, width: f32, wide: bool, has_source: bool) -> (Named<Rect>, Named<Cell>, f32) {
    let columns = if wide { WIDE_COLUMNS } else { NARROW_COLUMNS };
    let count = columns.len() as f32;
    let column_width = ((width - COLUMN_GAP * (count - 1.0)) / count).floor();
    let (mut headings, mut cells, mut height) = (Vec::new(), Vec::new(), 0f32);
    for (column, stack) in columns.iter().enumerate() {
        let left = top.x + (column_width + COLUMN_GAP) * column as f32;
        let mut y = top.y;
        for (place, (name, ids)) in stack.iter().map(|&stage| STAGES[stage]).enumerate() {
            y += if place > 0 { GAP } else { 0.0 };
            let heading = Rect::from_min_size(pos2(left, y), vec2(column_width, HEADING_HEIGHT));
            headings.push((name, heading));
            y += HEADING_HEIGHT;
            for &id in ids.iter().filter(|&&id| id != SOURCE || has_source) {
                if id.ends_with("_on") {
                    cells.push((id, switch(heading)));
                } else {
                    cells.push((id, row(pos2(left, y), column_width)));
                    y += ROW_HEIGHT + if CHOICES.contains(&id) { CHOICE_GAP } else { 0.0 };
                }
            }
        }
        height = height.max(y - top.y);
    }
    let order = |id: &str| {
        STAGES
            .iter()
            .flat_map(|(_, ids)| ids.iter())
            .position(|known| *known == id)
    };
    cells.sort_by_key(|(id, _)| order(id));
    (headings, cells, height)
}

fn switch(heading: Rect) -> Cell {
    let area = heading.with_min_x(heading.right() - SWITCH_WIDTH);
    Cell {
        area,
        name: heading.with_max_x(area.left()),
        value: area,
        track: area.shrink2(vec2(0.0, 3.0)),
    }
}

fn row(at: Pos2, width: f32) -> Cell {
    let area = Rect::from_min_size(at, vec2(width, ROW_HEIGHT));
    let text = Rect::from_min_size(at + vec2(0.0, 1.0), vec2(width, NAME_HEIGHT));
    Cell {
        area,
        name: text.with_max_x(text.right() - VALUE_WIDTH),
        value: text.with_min_x(text.right() - VALUE_WIDTH),
        track: Rect::from_min_size(pos2(at.x, text.bottom()), vec2(width, TRACK_HEIGHT)),
    }
}
