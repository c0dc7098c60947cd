//! The measuring guide: a picture and words for everything that is measured. Writes contact sheets beside the build.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::fmt::Write as _;

use sledstance::plan::sled_fields::SECTIONS;
use sledstance::rider::{Measurement, Unit};
use sledstance::view::guide::{self, Picture, SIZE};
use sledstance::view::palette::{Theme, colour};
use sledstance::view::svg::{self, Colours};

/// Every number of a sled's form with its picture.
fn sled_pictures() -> Vec<(String, Option<Picture>)> {
    let mut pictures = Vec::new();
    for section in SECTIONS {
        for field in section.fields.iter().filter(|f| f.row.is_some()) {
            let name = section.path_of(None, field.key);
            pictures.push((name, guide::sled(section.path, field.key)));
        }
    }
    pictures
}

fn pictures() -> Vec<(String, Picture)> {
    let body = Measurement::ALL.map(|m| (m.name().to_owned(), guide::rider(m)));
    let sled = sled_pictures().into_iter().map(|(n, p)| (n, p.unwrap()));
    body.into_iter().chain(sled).collect()
}

/// Whether a role is a mark of the guide, not something that is measured.
fn is_mark(role: &str) -> bool {
    [
        "guide-tape",
        "guide-lead",
        "guide-landmark",
        "guide-plus",
        "guide-halo",
    ]
    .contains(&role)
}

/// The points of path data that has absolute M, L, C and A only; of an arc the end.
fn points(d: &str) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    let mut pieces = d.to_owned();
    for command in ['M', 'L', 'C', 'A', 'Z'] {
        pieces = pieces.replace(command, "|");
    }
    for piece in pieces.split('|') {
        let numbers: Vec<f64> = piece.split(' ').filter_map(|n| n.parse().ok()).collect();
        let skip = if numbers.len() == 7 { 5 } else { 0 };
        let pairs = numbers[skip..].chunks_exact(2);
        points.extend(pairs.map(|p| (p[0], p[1])));
    }
    points
}

#[test]
fn nothing_that_is_measured_lacks_a_picture_and_nothing_else_has_one() {
    for (name, picture) in sled_pictures() {
        assert!(picture.is_some(), "{name}");
    }
    for section in SECTIONS {
        for field in section.fields.iter().filter(|f| f.row.is_none()) {
            assert_eq!(guide::sled(section.path, field.key), None);
        }
    }
    assert_eq!(guide::sled("nowhere", "height_mm"), None);
}

#[test]
fn every_coordinate_is_finite_and_every_mark_is_inside_the_window() {
    for (name, picture) in pictures() {
        assert!(picture.side > 0.0);
        let mut marks = 0;
        for shape in &picture.shapes {
            let found = points(&shape.d);
            assert!(
                !found.is_empty() && !shape.d.contains("NaN"),
                "{name} {}",
                shape.role
            );
            for (x, y) in found {
                assert!(x.is_finite() && y.is_finite());
                if is_mark(shape.role) {
                    marks += 1;
                    let inside = |v: f64, low: f64| v >= low && v <= low + picture.side;
                    assert!(
                        inside(x, picture.left) && inside(y, picture.top),
                        "{name} {} {x} {y}: {}",
                        shape.role,
                        picture.view_box()
                    );
                }
            }
        }
        assert!(marks > 1, "{name}");
    }
}

#[test]
fn no_two_pictures_are_the_same() {
    let all = pictures();
    for (i, (name, picture)) in all.iter().enumerate() {
        for (other, same) in &all[i + 1..] {
            assert_ne!(picture, same, "{name}, {other}");
        }
    }
}

#[test]
fn the_tape_of_a_height_over_the_floor_begins_on_the_floor() {
    for m in Measurement::ALL {
        let from_floor = m.name().contains("height") || m == Measurement::Stature;
        if m.unit() != Unit::Mm || !from_floor || m == Measurement::SittingHeight {
            continue;
        }
        let picture = guide::rider(m);
        let tape = picture.shapes.iter().find(|s| s.role == "guide-tape");
        let (_, y) = points(&tape.unwrap().d)[0];
        assert_eq!(y, 0.0, "{}", m.name());
        assert!(picture.shapes.iter().any(|s| s.role == "guide-ground"));
    }
}

#[test]
fn everything_is_said_in_a_sentence() {
    for section in SECTIONS {
        for field in section.fields.iter().filter(|f| f.row.is_some()) {
            let words = field.words(section);
            assert!(words.ends_with('.') && words.len() > 20, "{words}");
        }
    }
}

#[test]
fn every_class_has_a_rule() {
    let css = svg::stylesheet(Colours::Variables);
    for (name, picture) in pictures() {
        for shape in picture.shapes {
            let rule = format!(".stage .{}{{", shape.role);
            assert!(css.contains(&rule), "{name}: {}", shape.role);
        }
    }
}

#[test]
fn sheets_for_people() {
    for theme in [Theme::Light, Theme::Dark] {
        let (width, row) = (6.0 * (SIZE + 10.0), SIZE + 30.0);
        let all = pictures();
        let height = row * all.len().div_ceil(6) as f64;
        let mut sheet = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\"><style>{}</style><rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
            svg::stylesheet(Colours::Fixed(theme)),
            colour("paper", theme)
        );
        for (i, (name, picture)) in all.iter().enumerate() {
            let (x, y) = ((i % 6) as f64 * (SIZE + 10.0), (i / 6) as f64 * row);
            write!(
                sheet,
                "<svg class=\"stage\" x=\"{x}\" y=\"{y}\" width=\"{SIZE}\" height=\"{SIZE}\" viewBox=\"{}\">{}</svg><text x=\"{x}\" y=\"{}\" font-size=\"13\" fill=\"{}\">{name}</text>",
                picture.view_box(),
                svg::paths(&picture.shapes),
                y + SIZE + 16.0,
                colour("ink", theme)
            )
            .unwrap();
        }
        sheet.push_str("</svg>");
        assert!(!sheet.contains("NaN"));
        let path = format!("{}/guide-{theme:?}.svg", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(path, sheet).unwrap();
    }
}
