//! Compares the editor with the reference pictures in `docs/shots`, which `cargo xtask shots --force` replaces.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::path::PathBuf;
use std::rc::Rc;

use siskin_tests::hosts::built::insert;
use siskin_tests::hosts::window::{Picture, difference, on_own_screen, shoot, shot_names};

fn reference(name: &str) -> PathBuf {
    let shots = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/shots"));
    shots.join(format!("{name}.png"))
}

#[test]
fn editor_matches_the_reference_pictures() {
    on_own_screen(|screen| {
        let made = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("shots");
        std::fs::create_dir_all(&made).unwrap();
        let (mut names, mut wrong) = (Vec::new(), Vec::new());
        let make = |name: &str| Ok(insert(name));
        let mut compare = |shot: siskin_tests::hosts::window::Shot| {
            let compared =
                Picture::read(&reference(&shot.name)).map(|reference| difference(&reference, &shot.picture));
            let alike = matches!(&compared, Ok(Some(difference)) if difference.is_small());
            println!("{}: {compared:?}", shot.name);
            if !alike {
                let path = made.join(format!("{}.png", shot.name));
                shot.picture.write(&path).unwrap();
                wrong.push(format!("{}: {compared:?}, see {}", shot.name, path.display()));
            }
            names.push(shot.name);
        };
        shoot(&Rc::new(screen), &make, &mut compare).unwrap();
        assert_eq!(names, shot_names().collect::<Vec<_>>());
        assert!(
            wrong.is_empty(),
            "these differ; look at them, and if the change is intended: cargo xtask shots --force\n{}",
            wrong.join("\n")
        );
    });
}

#[test]
fn comparison_sees_moved_text_and_paler_colours() {
    let picture = Picture::read(&reference("song")).unwrap();
    let none = difference(&picture, &picture).unwrap();
    assert!(none.structure == 0.0 && none.colour == 0.0);
    let rounding = changed(&picture, |x, y| {
        let pixel = picture.pixel(x, y);
        pixel.map(|value| value.saturating_add(u8::from(x % 4 == 0 && y % 4 == 0)))
    });
    let rounded = difference(&picture, &rounding).unwrap();
    assert!(rounded.is_small(), "rounding passes: {rounded:?}");

    // The status line is below the toolbar, from the left edge on.
    let text = |x: u32, y: u32| (14..200).contains(&x) && (70..92).contains(&y);
    assert!(has_ink(&picture, text), "there is text to move");
    let moved = changed(&picture, |x, y| {
        picture.pixel(if text(x, y) { x + 2 } else { x }, y)
    });
    let seen = difference(&picture, &moved).unwrap();
    assert!(!seen.is_small(), "text moved by two pixels: {seen:?}");
    let faded = changed(&picture, |x, y| {
        let [red, green, blue] = picture.pixel(x, y);
        if (300..400).contains(&x) && (200..300).contains(&y) {
            [red, green, blue.saturating_sub(30)]
        } else {
            [red, green, blue]
        }
    });
    let seen = difference(&picture, &faded).unwrap();
    assert!(!seen.is_small(), "an area of another colour: {seen:?}");
}

fn changed(picture: &Picture, pixel: impl Fn(u32, u32) -> [u8; 3]) -> Picture {
    let places = (0..picture.height).flat_map(|y| (0..picture.width).map(move |x| (x, y)));
    Picture {
        rgb: places.flat_map(|(x, y)| pixel(x, y)).collect(),
        ..*picture
    }
}

/// Whether an area has text: its brightness varies by a third of the full range.
fn has_ink(picture: &Picture, area: impl Fn(u32, u32) -> bool) -> bool {
    let places = (0..picture.height).flat_map(|y| (0..picture.width).map(move |x| (x, y)));
    let greens: Vec<u8> = places
        .filter(|&(x, y)| area(x, y))
        .map(|(x, y)| picture.pixel(x, y)[1])
        .collect();
    let (darkest, brightest) = (greens.iter().min().unwrap(), greens.iter().max().unwrap());
    brightest - darkest > 90
}
