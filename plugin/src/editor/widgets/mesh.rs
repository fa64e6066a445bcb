//! Cheap shapes: many small boxes as one mesh, and lines without invisible points. Each box or point that is left out saves
//! about ten triangles per frame.

use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Color32, Pos2, Rect, Shape, pos2};

/// A point closer than this to the line between its neighbours is left out, points.
const TOLERANCE: f32 = 0.35;
/// At most this many points of a line are left out in a row.
const MAX_STEP: usize = 24;

/// Many boxes, drawn as one mesh.
#[derive(Debug, Clone, Default)]
pub struct BoxMesh(Mesh);

impl BoxMesh {
    /// Adds a box.
    pub fn add(&mut self, area: Rect, color: Color32) {
        self.0.add_colored_rect(area, color);
    }

    /// Adds a vertical stroke of `width` points.
    pub fn stroke(&mut self, x: f32, (top, bottom): (f32, f32), width: f32, color: Color32) {
        let half = 0.5 * width;
        self.add(
            Rect::from_min_max(pos2(x - half, top), pos2(x + half, bottom)),
            color,
        );
    }

    /// Adds the area between a line and the height `foot`, each segment in the colour of its end.
    pub fn area(&mut self, line: impl IntoIterator<Item = (Pos2, Color32)>, foot: f32) {
        let mut last: Option<Pos2> = None;
        for (at, color) in line {
            let from = last.replace(at);
            let Some(from) = from else { continue };
            let first = self.0.vertices.len() as u32;
            for pos in [from, pos2(from.x, foot), at, pos2(at.x, foot)] {
                let uv = WHITE_UV;
                self.0.vertices.push(Vertex { pos, uv, color });
            }
            self.0.add_triangle(first, first + 1, first + 2);
            self.0.add_triangle(first + 1, first + 2, first + 3);
        }
    }
}

impl From<BoxMesh> for Shape {
    fn from(boxes: BoxMesh) -> Self {
        Shape::mesh(boxes.0)
    }
}

/// Indices of the points of `line` that matter; those for which `keeps` holds always stay.
pub fn thinned(line: &[Pos2], keeps: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut kept = Vec::new();
    let mut from = 0;
    for index in 0..line.len() {
        let last = index + 1 == line.len();
        let due = last || keeps(index) || index - from >= MAX_STEP || bends(&line[from..=index + 1]);
        if index == 0 || due {
            kept.push(index);
            from = index;
        }
    }
    kept
}

/// Whether any point of `piece` is off the line between its ends.
fn bends(piece: &[Pos2]) -> bool {
    let (Some(first), Some(last)) = (piece.first(), piece.last()) else {
        return false;
    };
    let slope = (last.y - first.y) / (last.x - first.x).max(1e-3);
    let off = |at: &Pos2| (first.y + slope * (at.x - first.x) - at.y).abs() > TOLERANCE;
    piece.iter().any(off)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(y: impl Fn(usize) -> f32) -> Vec<Pos2> {
        (0..200).map(|x| pos2(x as f32, y(x))).collect()
    }

    #[test]
    fn a_straight_line_loses_its_middle_and_a_step_keeps_both_ends() {
        let straight = thinned(&line(|x| 3.0 + 0.1 * x as f32), |_| false);
        assert!(straight.len() < 12, "{straight:?}");
        assert_eq!((straight[0], straight[straight.len() - 1]), (0, 199));
        let step = line(|x| if x < 100 { 0.0 } else { 50.0 });
        let kept = thinned(&step, |_| false);
        assert!(kept.contains(&99) && kept.contains(&100), "{kept:?}");
        assert!(thinned(&[], |_| true).is_empty());
    }

    #[test]
    fn a_thinned_line_stays_close_to_the_original() {
        let wave = line(|x| 40.0 * (x as f32 * 0.2).sin());
        let kept = thinned(&wave, |index| index == 57);
        assert!(kept.len() < wave.len() && kept.contains(&57));
        for pair in kept.windows(2) {
            let piece = &wave[pair[0]..=pair[1]];
            let worst = piece.iter().map(|at| {
                let (from, to) = (piece[0], piece[piece.len() - 1]);
                (from.y + (to.y - from.y) * (at.x - from.x) / (to.x - from.x) - at.y).abs()
            });
            assert!(worst.fold(0.0, f32::max) < 2.0 * TOLERANCE);
        }
    }

    #[test]
    fn boxes_form_one_mesh_of_two_triangles_each() {
        let mut boxes = BoxMesh::default();
        boxes.add(Rect::from_min_max(pos2(0.0, 0.0), pos2(3.0, 3.0)), Color32::RED);
        boxes.stroke(5.0, (0.0, 9.0), 1.0, Color32::RED);
        boxes.area(
            [(pos2(0.0, 1.0), Color32::RED), (pos2(1.0, 2.0), Color32::RED)],
            9.0,
        );
        assert_eq!(boxes.0.indices.len(), 3 * 2 * 3);
    }
}
