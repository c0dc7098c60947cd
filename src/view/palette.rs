//! The drawing's own colours, for a light and a dark theme and for print, with their contrast against the paper.
//!
//! Contrast is the ratio of relative luminances of WCAG 2.2 (W3C 2023): text keeps at least 7:1, marks that carry
//! meaning at least 3:1 (tested). Fills carry no meaning alone: the edges around them do.

/// What a colour is used for; it sets the contrast that it must keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// The ground under everything.
    Paper,
    /// Text: 7:1.
    Text,
    /// Lines and marks that carry meaning: 3:1.
    Mark,
    /// Areas and quiet lines.
    Fill,
}

/// A colour of the drawing in each theme, as `#rrggbb`. All are our choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swatch {
    /// Name; the page's custom property is `--` and this.
    pub name: &'static str,
    /// What it is for.
    pub used: Use,
    /// On snow, in sun.
    pub light: &'static str,
    /// At night.
    pub dark: &'static str,
    /// On white paper, in one ink.
    pub print: &'static str,
}

/// A theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// On snow, in sun.
    Light,
    /// At night.
    Dark,
    /// Black on white.
    Print,
}

impl Swatch {
    /// The colour in a theme.
    pub const fn in_theme(&self, theme: Theme) -> &'static str {
        match theme {
            Theme::Light => self.light,
            Theme::Dark => self.dark,
            Theme::Print => self.print,
        }
    }
}

const fn swatch(
    name: &'static str,
    used: Use,
    light: &'static str,
    dark: &'static str,
    print: &'static str,
) -> Swatch {
    Swatch {
        name,
        used,
        light,
        dark,
        print,
    }
}

/// Every colour. Contrast of texts and marks with the paper of their theme stands in DEVELOPERS.md, held by a test.
pub const PALETTE: [Swatch; 30] = [
    swatch("paper", Use::Paper, "#f6f8fc", "#0e1320", "#ffffff"),
    swatch("ink", Use::Text, "#131a2e", "#eef2fb", "#000000"),
    swatch("ink-soft", Use::Text, "#3c4763", "#b9c3da", "#222222"),
    swatch("line", Use::Mark, "#5a6784", "#8b98b8", "#333333"),
    swatch("accent", Use::Mark, "#4338ca", "#a5a0ff", "#000000"),
    swatch("accent-text", Use::Text, "#3a30b8", "#bab6ff", "#000000"),
    swatch("limit", Use::Mark, "#b3134a", "#ff7d9c", "#000000"),
    swatch("limit-text", Use::Text, "#96103e", "#ff9db4", "#000000"),
    swatch("edge", Use::Mark, "#1b2338", "#8f9bbd", "#000000"),
    swatch("second", Use::Mark, "#0b6b5e", "#4fd8c0", "#000000"),
    swatch("third", Use::Mark, "#9a4a00", "#f2a65a", "#000000"),
    swatch("fourth", Use::Mark, "#8a1f8f", "#e78ff0", "#000000"),
    swatch("sled-line", Use::Mark, "#75829c", "#7483a5", "#555555"),
    swatch("sled", Use::Fill, "#e3e8f1", "#1c2436", "#f4f4f4"),
    swatch("sled-deep", Use::Fill, "#ccd4e2", "#2a344b", "#e2e2e2"),
    swatch("seat", Use::Fill, "#8390ab", "#3a4663", "#bbbbbb"),
    swatch("glass", Use::Fill, "#d5e4f3", "#22344c", "#ffffff"),
    swatch("grid", Use::Fill, "#dde3ee", "#1d2538", "#e8e8e8"),
    swatch("snow", Use::Fill, "#e9eef7", "#151c2c", "#f6f6f6"),
    swatch("jacket", Use::Fill, "#f2b53a", "#d3962a", "#ffffff"),
    swatch("jacket-shade", Use::Fill, "#dc9a22", "#b57d1d", "#e6e6e6"),
    swatch("yoke", Use::Fill, "#2f3570", "#3c4390", "#bdbdbd"),
    swatch("pants", Use::Fill, "#47517a", "#4b5685", "#d6d6d6"),
    swatch("pants-shade", Use::Fill, "#373f63", "#3b446c", "#bdbdbd"),
    swatch("panel", Use::Fill, "#5f6a98", "#6672a6", "#eeeeee"),
    swatch("boot", Use::Fill, "#262d42", "#262e47", "#8a8a8a"),
    swatch("sole", Use::Fill, "#8993aa", "#6b7692", "#dddddd"),
    swatch("glove", Use::Fill, "#262d42", "#2f3856", "#9a9a9a"),
    swatch("helmet", Use::Fill, "#fdfdff", "#dfe4f0", "#ffffff"),
    swatch("far", Use::Fill, "#8d96b0", "#2c3550", "#cfcfcf"),
];

/// A colour by name; the ink where there is none of that name.
pub fn colour(name: &str, theme: Theme) -> &'static str {
    PALETTE
        .iter()
        .find(|s| s.name == name)
        .unwrap_or(&PALETTE[1])
        .in_theme(theme)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let c = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                libm::pow((c + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_of_black_and_white_is_21() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_keeps_7_and_marks_keep_3_against_the_paper_in_every_theme() {
        for theme in [Theme::Light, Theme::Dark, Theme::Print] {
            let paper = colour("paper", theme);
            for s in PALETTE {
                let ratio = contrast(s.in_theme(theme), paper);
                println!("{theme:?} {} {ratio:.1}", s.name);
                let least = match s.used {
                    Use::Text => 7.0,
                    Use::Mark => 3.0,
                    Use::Paper | Use::Fill => 1.0,
                };
                assert!(ratio >= least, "{theme:?} {}: {ratio:.2}", s.name);
            }
        }
    }

    #[test]
    fn the_developers_page_tells_every_colour_with_its_contrast() {
        let page = include_str!("../../DEVELOPERS.md");
        let (light, dark) = (colour("paper", Theme::Light), colour("paper", Theme::Dark));
        for s in PALETTE {
            let used = match s.used {
                Use::Text => "text",
                Use::Mark => "mark",
                Use::Paper | Use::Fill => continue,
            };
            let (day, night) = (contrast(s.light, light), contrast(s.dark, dark));
            let row = format!(
                "| `{}` | {used} | `{}` {day:.1} | `{}` {night:.1} |",
                s.name, s.light, s.dark
            );
            assert!(page.contains(&row), "DEVELOPERS.md lacks: {row}");
        }
    }

    #[test]
    fn names_are_unique() {
        for (i, s) in PALETTE.iter().enumerate() {
            assert!(PALETTE[i + 1..].iter().all(|t| t.name != s.name));
        }
    }
}
