//! What the page's stylesheet and shell must share with the core.

use sledstance::view::palette::PALETTE;

const CSS: &str = include_str!("../www/page.css");
const SHELL: &str = include_str!("../www/index.html");

#[test]
fn the_stylesheet_has_every_colour_of_the_drawing_in_both_themes() {
    for swatch in PALETTE {
        let line = format!(
            "--{}: light-dark({}, {});",
            swatch.name, swatch.light, swatch.dark
        );
        assert!(CSS.contains(&line), "page.css lacks {line}");
    }
}

#[test]
fn the_window_around_the_page_has_the_colour_of_its_paper() {
    let paper = PALETTE.iter().find(|s| s.name == "paper").unwrap();
    for colour in [paper.light, paper.dark] {
        assert!(SHELL.contains(&format!("content=\"{colour}\"")), "{colour}");
    }
}

#[test]
fn the_page_has_no_style_that_its_policy_refuses() {
    assert!(!SHELL.contains("style=\""));
    assert!(!CSS.contains("@import") && !CSS.contains("url("));
}

#[test]
fn the_developers_page_tells_every_size_of_type() {
    let page = include_str!("../DEVELOPERS.md");
    let sizes: Vec<&str> = CSS
        .split("font-size: ")
        .skip(1)
        .map(|rest| rest.split(';').next().unwrap_or_default())
        .collect();
    assert!(sizes.len() > 10);
    for size in sizes {
        let number = size.strip_suffix("rem");
        let told = number.is_some_and(|n| page.contains(&format!("| `{n}` |")));
        assert!(told, "DEVELOPERS.md lacks the size {size}");
    }
}
