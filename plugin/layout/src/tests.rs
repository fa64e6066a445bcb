use super::*;

const SIZES: [Vec2; 7] = [
    FIRST_SIZE,
    LEAST_SIZE,
    Vec2::new(560.0, 360.0),
    Vec2::new(760.0, 500.0),
    Vec2::new(1600.0, 1000.0),
    Vec2::new(759.0, 900.0),
    Vec2::new(667.0, 480.0),
];

fn pages() -> impl Iterator<Item = Layout> {
    SIZES
        .into_iter()
        .flat_map(|size| [false, true].map(|has_source| Layout::new(size, has_source)))
}

fn apart(areas: &[(&str, Rect)]) {
    for (index, (name, area)) in areas.iter().enumerate() {
        for (other_name, other) in &areas[index + 1..] {
            let shared = area.intersect(*other);
            let overlaps = shared.width() > 0.01 && shared.height() > 0.01;
            assert!(!overlaps, "{name} {area:?} overlaps {other_name} {other:?}");
        }
    }
}

#[test]
fn parts_do_not_overlap_and_stay_on_the_page() {
    for layout in pages() {
        let mut areas = vec![
            ("title", layout.title),
            ("status", layout.status),
            ("timeline", layout.timeline.frame),
            ("spectrum", layout.spectrum.frame),
            ("readings", layout.readings.frame),
        ];
        if !layout.song.is_folded {
            areas.push(("song", layout.song.frame));
        }
        areas.extend(&layout.buttons);
        areas.extend(layout.cells().map(|(id, cell)| (id, cell.area)));
        apart(&areas);
        let page = Rect::from_min_size(Pos2::ZERO, layout.page);
        for (name, area) in areas {
            assert!(page.contains_rect(area), "{name} leaves the page: {area:?}");
            assert!(area.is_positive(), "{name}: {area:?}");
        }
    }
}

#[test]
fn parts_of_pictures_and_cells_stay_inside_and_apart() {
    for layout in pages() {
        let Timeline {
            frame,
            legend,
            plot,
            reduction,
            breaths,
            leveller,
            handle,
            tally,
            values,
        } = layout.timeline;
        let parts = [
            ("legend", legend),
            ("plot", plot),
            ("reduction", reduction),
            ("breaths", breaths),
            ("leveller", leveller),
            ("handle", handle),
            ("tally", tally),
            ("values", values),
        ];
        apart(&parts);
        assert!(parts.iter().all(|(_, part)| frame.contains_rect(*part)));
        let of_spectrum = layout.spectrum;
        let spectrum_parts = [
            ("legend", of_spectrum.legend),
            ("plot", of_spectrum.plot),
            ("values", of_spectrum.values),
        ];
        apart(&spectrum_parts);
        let inside = |part: &(&str, Rect)| of_spectrum.frame.contains_rect(part.1);
        assert!(spectrum_parts.iter().all(inside));
        for plot in [plot, of_spectrum.plot] {
            assert!(plot.height() > 80.0, "{} points of plot", plot.height());
        }
        let rows: Vec<_> = (0..READINGS)
            .map(|index| ("reading", layout.readings.row(index)))
            .collect();
        apart(&rows);
        assert!(
            rows.iter()
                .all(|(_, row)| layout.readings.frame.contains_rect(*row)),
            "{rows:?} in {:?}",
            layout.readings.frame
        );
        assert!(
            tally.contains(layout.timeline.tally_mark(0))
                && tally.contains(layout.timeline.tally_mark(TALLY - 1))
        );
        for (id, cell) in layout.cells() {
            apart(&[("value", cell.value), ("name", cell.name)]);
            assert!(cell.area.contains_rect(cell.track), "{id}");
        }
        let [apply, cancel] = layout.proposal_buttons();
        apart(&[("apply", apply), ("cancel", cancel)]);
        assert!(layout.proposal().contains_rect(apply) && layout.proposal().contains_rect(cancel));
    }
}

#[test]
fn the_song_takes_the_place_of_the_stages() {
    for layout in pages() {
        let song = layout.song;
        let parts = [
            ("timeline", layout.timeline.frame),
            ("strip", song.frame),
            ("sections", song.sections.area),
            ("left to do", song.left_to_do.area),
            ("spectrum", layout.spectrum.frame),
            ("readings", layout.readings.frame),
        ];
        apart(&parts);
        let page = Rect::from_min_size(Pos2::ZERO, layout.page);
        assert!(parts.iter().all(|(_, part)| page.contains_rect(*part)));
        assert!(song.frame.contains_rect(song.plot) && song.frame.contains_rect(song.lane));
        assert!(
            song.sections.rows() >= 6 && song.left_to_do.rows() >= 6,
            "{song:?}"
        );
        for list in [song.sections, song.left_to_do] {
            assert!(list.area.contains_rect(list.row(list.rows() - 1)));
        }
        for seconds in [-4.0, 30.0, 100.0] {
            let span_s = (-10.0, 110.0);
            let back = song.seconds(song.x(seconds, span_s), span_s);
            assert!((back - seconds).abs() < 0.01, "{seconds} came back as {back}");
        }
    }
    let is_folded = |size| Layout::new(size, false).song.is_folded;
    assert!(!is_folded(FIRST_SIZE) && is_folded(vec2(560.0, 400.0)));
}

#[test]
fn every_scale_inverts() {
    for layout in pages() {
        for lufs in [-59.0, -30.0, -18.5, -0.5] {
            let back = layout.timeline.lufs(layout.timeline.y(lufs));
            assert!((back - lufs).abs() < 1e-3, "{lufs} came back as {back}");
        }
        for hz in [120.0, 1000.0, 4000.0, 9999.0, 19_000.0f32] {
            let back = layout.spectrum.hz(layout.spectrum.x(hz));
            assert!((back / hz - 1.0).abs() < 1e-3, "{hz} came back as {back}");
        }
        for ago_s in [0.0, 1.25, 7.9] {
            let back = layout.timeline.ago_s(layout.timeline.x(ago_s));
            assert!((back - ago_s).abs() < 1e-3, "{ago_s} came back as {back}");
        }
        let down = layout.timeline.y(-20.0) - layout.timeline.y(-12.0);
        assert!((layout.timeline.lu_down(down) - 8.0).abs() < 1e-3);
    }
}

#[test]
fn only_siskin_follow_has_a_source() {
    let has = |has_source| Layout::new(FIRST_SIZE, has_source).cell("fol_src").is_some();
    assert!(has(true) && !has(false));
    assert_eq!(Layout::new(FIRST_SIZE, true).cells().count(), 29);
}

#[test]
fn a_new_window_shows_the_whole_page() {
    let layout = Layout::new(FIRST_SIZE, true);
    assert!(layout.page.x <= FIRST_SIZE.x && layout.page.y <= FIRST_SIZE.y);
    assert!(layout.list_row(29).bottom() < FIRST_SIZE.y);
}

#[test]
fn a_zoomed_window_shows_proportion_without_scrolling() {
    for zoom in [1.25, 1.5, 1.75] {
        let window = FIRST_SIZE / zoom;
        for has_source in [false, true] {
            let layout = Layout::new(window, has_source);
            assert!(layout.page.y > window.y, "{zoom}: there is more");
            for id in ["lev_thr", "sib_prop", "br_prop"] {
                let bottom = layout.cell(id).map(|cell| cell.area.bottom());
                assert!(
                    bottom.is_some_and(|bottom| bottom <= window.y),
                    "{zoom}: {id} {bottom:?}"
                );
            }
        }
    }
}

#[test]
fn a_scrolled_page_keeps_its_layout() {
    let by = vec2(-30.0, -100.0);
    let (page, translated) = (
        Layout::new(LEAST_SIZE, true),
        Layout::new(LEAST_SIZE, true).translated(by),
    );
    assert_ne!(page, translated);
    for ((id, before), (_, after)) in page.cells().zip(translated.cells()) {
        assert_eq!(before.track.translate(by), after.track, "{id}");
    }
    assert!((translated.timeline.y(-20.0) - page.timeline.y(-20.0) + 100.0).abs() < 1e-3);
    assert_eq!(translated.translated(-by), page);
}

#[test]
fn panels_leave_what_is_being_set_in_sight() {
    for layout in pages() {
        let sibilants = [
            ("timeline", layout.timeline.frame),
            ("proposal", layout.proposal()),
        ];
        apart(&sibilants);
        let mut menu = vec![("status", layout.status), ("title", layout.title)];
        menu.extend(layout.start_menu(4).into_iter().map(|item| ("item", item)));
        apart(&menu);
    }
}
