//! The printed card: one page with everything on it, for every rider on every sled.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::demo_sled;
use sledstance::fit::{Request, cautions, checks, fit};
use sledstance::plan::sheet::{Sheet, card as content};
use sledstance::plan::{Setting, Units, words};
use sledstance::rider::RiderProfile;
use sledstance::stance::Stance;
use sledstance::view::card::{Paper, card};
use sledstance::view::label::text_width;

/// A text of the card as it stands on the paper.
struct Text {
    class: String,
    x: f64,
    y: f64,
    size: f64,
    words: String,
}

impl Text {
    fn right(&self) -> f64 {
        self.x + text_width(&self.words, self.class != "plain") * self.size
    }
}

fn attribute(tag: &str, name: &str) -> String {
    let from = tag.split_once(&format!(" {name}=\"")).unwrap().1;
    from.split_once('"').unwrap().0.to_owned()
}

/// Text as it is read.
fn plain(escaped: &str) -> String {
    let marks = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&amp;", "&"),
    ];
    marks.iter().fold(escaped.to_owned(), |text, (from, to)| {
        text.replace(from, to)
    })
}

/// Texts of the card itself; those of the drawing in it have a test of their own.
fn texts(svg: &str) -> Vec<Text> {
    let mut own = svg.to_owned();
    let from = own.find("<svg class=\"stage\"").unwrap();
    let to = from + own[from..].find("</svg>").unwrap();
    own.replace_range(from..to, "");
    own.split("<text")
        .skip(1)
        .map(|piece| {
            let (tag, rest) = piece.split_once('>').unwrap();
            let number = |name| attribute(tag, name).parse::<f64>().unwrap();
            Text {
                class: attribute(tag, "class"),
                x: number("x"),
                y: number("y"),
                size: number("font-size"),
                words: plain(rest.split_once("</text>").unwrap().0),
            }
        })
        .collect()
}

#[test]
fn one_page_holds_everything_for_every_rider_on_every_sled() {
    let stances = Stance::shipped().unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/rider-profiles/riders");
    let mut cards = 0;
    for (i, file) in std::fs::read_dir(folder).unwrap().enumerate() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let profile = RiderProfile::read(&text).unwrap();
        let built = profile.build().unwrap();
        let sled = demo_sled(["long-lemming", "tall-tern", "bare-bones"][i % 3]);
        let found = fit(&Request::new(&built.rider, &sled, &stances));
        let trouble = words::poor_fit(&found.status).map_or_else(String::new, |(binds, _)| binds);
        let bands = Setting::ALL.map(|setting| {
            let words = match setting {
                Setting::RiserAngle => "90\u{a0}%: 3.5° forward to 14.5° back",
                Setting::BarRoll => "90\u{a0}%: 9° to 15° back",
                Setting::Stirrup => {
                    "odds: position 3 51\u{a0}%, position 4 34\u{a0}%, position 5 9\u{a0}%"
                }
                Setting::Riser => "odds: 100 mm 71\u{a0}%, 125 mm 24\u{a0}%",
                _ => "odds: standard 71\u{a0}%, firm, tall 22\u{a0}%",
            };
            (setting, words.to_owned())
        });
        for (units, paper, front) in [
            (Units::Metric, Paper::A4, 1),
            (Units::Imperial, Paper::Letter, 0),
        ] {
            let made = content(&Sheet {
                built: &built,
                name: &profile.name,
                sled: &sled,
                set_up: &found.best,
                stances: &stances,
                front,
                trouble: &trouble,
                bands: &bands,
                code: "#start/long-lemming/ready/abcdefghijklmnopqrstuvwxyz0123456789-_",
                units,
            })
            .unwrap();
            let svg = card(&made, paper);
            let name = format!("card-{}-{}", profile.name, paper.name());
            std::fs::write(format!("{}/{name}.svg", env!("CARGO_TARGET_TMPDIR")), &svg).unwrap();
            let (width, height) = paper.size();
            let all = texts(&svg);
            for t in &all {
                assert!(t.x >= 9.9 && t.y - t.size >= 9.0, "{name}: {}", t.words);
                assert!(t.right() <= width - 9.9, "{name}: too wide: {}", t.words);
                assert!(t.y <= height - 9.9, "{name}: too low: {}", t.words);
                assert!(t.size >= 1.9, "{name}: too small: {}", t.words);
            }
            for (j, a) in all.iter().enumerate() {
                for b in &all[..j] {
                    let (low, high) = (a.x.max(b.x), a.right().min(b.right()));
                    let apart = (a.y - b.y).abs() >= 0.95 * a.size.min(b.size);
                    assert!(low >= high || apart, "{name}: {} on {}", a.words, b.words);
                }
            }
            let written = all
                .iter()
                .map(|t| t.words.as_str())
                .collect::<Vec<_>>()
                .join(" ");
            assert!(!written.contains("did not fit on this page"), "{name}");
            let blocks = made.blocks.iter().chain([&made.settings]);
            for item in blocks.flat_map(|b| &b.items) {
                for part in [&item.what, &item.value] {
                    assert!(written.contains(part.as_str()), "{name}: {part}");
                }
            }
            for caution in cautions::CAUTIONS {
                assert!(written.contains(caution), "{name}: {caution}");
            }
            for check in checks::try_on() {
                assert!(written.contains(check.what.trim_end_matches('.')), "{name}");
            }
            for (_, band) in &bands {
                assert!(written.contains(band.as_str()), "{name}: {band}");
            }
            cards += 1;
        }
    }
    assert_eq!(cards, 20);
}
