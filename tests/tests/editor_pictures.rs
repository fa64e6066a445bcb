//! The pictures of the editor: as they are kept in `docs/shots`, where `cargo xtask shots --force` puts new ones.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::path::PathBuf;
use std::rc::Rc;

use siskin_tests::hosts::built::insert;
use siskin_tests::hosts::window::{Picture, SHOTS, alone, difference, shoot};

fn kept(name: &str) -> PathBuf {
    let shots = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/shots"));
    shots.join(format!("{name}.png"))
}

#[test]
fn every_picture_is_as_it_was_kept() {
    alone(|screen| {
        let made = std::env::temp_dir().join("siskin-shots");
        std::fs::create_dir_all(&made).unwrap();
        let (mut names, mut wrong) = (Vec::new(), Vec::new());
        let make = |name: &str| Ok(insert(name));
        let mut compare = |shot: siskin_tests::hosts::window::Shot| {
            let told = Picture::read(&kept(shot.name)).map(|kept| difference(&kept, &shot.picture));
            let alike = matches!(&told, Ok(Some(difference)) if difference.is_small());
            println!("{}: {told:?}", shot.name);
            if !alike {
                let path = made.join(format!("{}.png", shot.name));
                shot.picture.write(&path).unwrap();
                wrong.push(format!("{}: {told:?}, see {}", shot.name, path.display()));
            }
            names.push(shot.name);
        };
        shoot(&Rc::new(screen), &make, &mut compare).unwrap();
        assert_eq!(names, SHOTS);
        assert!(
            wrong.is_empty(),
            "these look otherwise; look at them, and if they are meant: cargo xtask shots --force\n{}",
            wrong.join("\n")
        );
    });
}

#[test]
fn a_word_that_moves_by_two_pixels_and_a_colour_that_fades_are_seen() {
    let picture = Picture::read(&kept("song")).unwrap();
    let none = difference(&picture, &picture).unwrap();
    assert!(none.structure == 0.0 && none.colour == 0.0);
    let rounding = changed(&picture, |x, y| {
        let pixel = picture.pixel(x, y);
        pixel.map(|value| value.saturating_add(u8::from(x % 4 == 0 && y % 4 == 0)))
    });
    let rounded = difference(&picture, &rounding).unwrap();
    assert!(rounded.is_small(), "rounding passes: {rounded:?}");

    // The line of the state in words stands below the bar, from the left edge on.
    let words = |x: u32, y: u32| (14..200).contains(&x) && (70..92).contains(&y);
    assert!(has_ink(&picture, words), "there are words to move");
    let moved = changed(&picture, |x, y| {
        picture.pixel(if words(x, y) { x + 2 } else { x }, y)
    });
    let seen = difference(&picture, &moved).unwrap();
    assert!(!seen.is_small(), "words moved by two pixels: {seen:?}");
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

/// Whether the brightness within an area varies by half of what a screen can show.
fn has_ink(picture: &Picture, area: impl Fn(u32, u32) -> bool) -> bool {
    let places = (0..picture.height).flat_map(|y| (0..picture.width).map(move |x| (x, y)));
    let greens: Vec<u8> = places
        .filter(|&(x, y)| area(x, y))
        .map(|(x, y)| picture.pixel(x, y)[1])
        .collect();
    let (darkest, brightest) = (greens.iter().min().unwrap(), greens.iter().max().unwrap());
    brightest - darkest > 90
}
