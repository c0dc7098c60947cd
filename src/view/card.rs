//! The printed card: one page with the drawing, the settings, the work, what to check and the cautions.
//!
//! An SVG in mm of the paper, black on white, so that the page prints it, the command line writes it, and both show the
//! same. Text is text: it can be searched and copied in a PDF. The card is laid out in the largest type that fits one
//! page; a card with more to say than a page holds in the smallest type says what it left out.

use core::fmt::Write as _;

use super::envelope::EnvelopeView;
use super::label::text_width;
use super::palette::Theme;
use super::stage::{Stage, Viewport};
use super::svg::{Colours, content, envelope_content, escaped, stylesheet, view_box};

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// ISO 216 A4, 210 by 297 mm.
    #[default]
    A4,
    /// US Letter, 8.5 by 11 inches.
    Letter,
}

impl Paper {
    /// Width and height, mm.
    pub const fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// As CSS names it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

/// A line with a value, or one to tick.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Item {
    /// What it is, or what to do.
    pub what: String,
    /// Its value, or when it is right; empty: none.
    pub value: String,
}

/// Lines under a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Heading.
    pub title: String,
    /// Whether each line has a box to tick.
    pub ticked: bool,
    /// Lines.
    pub items: Vec<Item>,
}

/// What stands on a card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// For whom, on what.
    pub title: String,
    /// Who the rider is, what is uncertain: under the title.
    pub facts: Vec<String>,
    /// The drawing, made for [`DRAWING`].
    pub stage: Stage,
    /// Beside the drawing.
    pub settings: Block,
    /// Below, in two columns, in this order.
    pub blocks: Vec<Block>,
    /// At the foot, whole.
    pub cautions: Vec<String>,
    /// What brings the set-up back on another device; empty: none.
    pub code: String,
}

/// The viewport that the drawing is made for: it fills the width that the card gives it, and its text comes out at 7 pt.
pub const DRAWING: Viewport = Viewport {
    width: 640.0,
    height: 520.0,
};

/// Charts over lines on a page of their own.
#[derive(Clone, Debug, PartialEq)]
pub struct Charts {
    /// What they are of.
    pub title: String,
    /// Whose: under the title.
    pub fact: String,
    /// The charts, made for [`CHART`].
    pub charts: Vec<EnvelopeView>,
    /// Below, in two columns, in this order.
    pub blocks: Vec<Block>,
    /// At the foot, whole.
    pub cautions: Vec<String>,
}

/// Width and height that a chart is drawn at, px: three stand beside each other, and their text comes out at 6.5 pt.
pub const CHART: (f64, f64) = (340.0, 270.0);

/// Type sizes of charts' pages, mm, in the order in which they are tried: 8 pt to 6.5 pt. Our choice.
const CHARTED: [f64; 3] = [2.8, 2.5, 2.3];

/// Charts beside each other.
const BESIDE: usize = 3;

/// White edge that every common printer leaves, mm; common practice, no source.
const EDGE: f64 = 10.0;
/// Between columns, mm.
const GUTTER: f64 = 6.0;
/// Type sizes, 9 pt down to 6 pt, and widths of the drawing, mm, in the order in which they are tried. Our choice: smaller
/// is not read in the cold.
const MEASURES: [(f64, f64); 10] = [
    (3.2, 116.0),
    (3.0, 116.0),
    (2.8, 116.0),
    (2.6, 116.0),
    (2.4, 116.0),
    (2.4, 100.0),
    (2.25, 100.0),
    (2.25, 84.0),
    (2.1, 100.0),
    (2.1, 84.0),
];
/// Line height over type size.
const LEADING: f64 = 1.28;

/// Lays the card out on a page: a whole SVG document.
pub fn card(card: &Card, paper: Paper) -> String {
    laid_out(card, paper, &style())
}

/// Charts over lines: a whole SVG document, on a sheet as long as it takes.
pub fn charted(page: &Charts, paper: Paper) -> String {
    let sheet = lay_charts(page, paper, CHARTED[0]);
    framed(&page.title, &sheet, paper, &style())
}

/// The same for a page that has the style sheet: one page of paper, or the charts on one and the lines on another.
pub fn bare_charted(page: &Charts, paper: Paper) -> String {
    let (_, height) = paper.size();
    let fits = |page: &Charts| {
        let laid = CHARTED.map(|size| lay_charts(page, paper, size));
        laid.into_iter().find(|sheet| sheet.low <= height - EDGE)
    };
    if let Some(sheet) = fits(page) {
        return framed(&page.title, &sheet, paper, "");
    }
    let parts = [
        Charts {
            blocks: Vec::new(),
            ..page.clone()
        },
        Charts {
            charts: Vec::new(),
            ..page.clone()
        },
    ];
    let sheets = parts.iter().map(|part| {
        // A page that is longer than its paper is shown whole, smaller.
        let sheet = fits(part).unwrap_or_else(|| lay_charts(part, paper, CHARTED[2]));
        framed(&part.title, &sheet, paper, "")
    });
    sheets.collect()
}

fn style() -> String {
    format!(
        "<style>\n{}{STYLE}</style>\n",
        stylesheet(Colours::Fixed(Theme::Print))
    )
}

/// The same without a style sheet, for a page that has the drawing's and [`STYLE`].
pub fn bare(card: &Card, paper: Paper) -> String {
    laid_out(card, paper, "")
}

fn laid_out(card: &Card, paper: Paper, style: &str) -> String {
    let (_, height) = paper.size();
    let laid = MEASURES
        .iter()
        .map(|&measure| lay(card, paper, measure))
        .find(|sheet| sheet.low <= height - EDGE)
        .unwrap_or_else(|| lay_short(card, paper));
    framed(&card.title, &laid, paper, style)
}

/// A sheet, at least as long as the paper.
fn framed(title: &str, sheet: &Sheet, paper: Paper, style: &str) -> String {
    let (width, height) = paper.size();
    let height = height.max(sheet.low + EDGE);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"card\" viewBox=\"0 0 {w} {h}\" width=\"{w}mm\" height=\"{h}mm\" role=\"img\" aria-label=\"{}\">\n\
         {style}<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n{}</svg>\n",
        escaped(title),
        sheet.out,
        w = number(width),
        h = number(height),
    )
}

/// Text of the card; the drawing has its own rules.
pub const STYLE: &str = ".card>text{font-family:system-ui,-apple-system,\"Segoe UI\",Roboto,\"Liberation Sans\",\"DejaVu Sans\",sans-serif;font-variant-numeric:tabular-nums;fill:#000}\n\
.card>.head{font-weight:650}\n.card>.value{font-weight:650}\n.card>.rule,.card>.box{fill:none;stroke:#000;stroke-width:.25}\n";

/// A number of mm on paper, to a hundredth.
fn number(mm: f64) -> String {
    format!("{mm:.2}")
}

/// A page as it is written.
struct Sheet {
    out: String,
    /// Lowest edge of what stands on it, mm.
    low: f64,
    size: f64,
}

impl Sheet {
    fn text(&mut self, class: &str, x: f64, baseline: f64, scale: f64, text: &str) {
        let _ = writeln!(
            self.out,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>",
            number(x),
            number(baseline),
            number(self.size * scale),
            escaped(text)
        );
    }

    fn rule(&mut self, x: f64, y: f64, width: f64) {
        let _ = writeln!(
            self.out,
            "<path class=\"rule\" d=\"M{} {}h{}\"/>",
            number(x),
            number(y),
            number(width)
        );
    }

    /// Writes text in lines of a width, from a top edge; returns the lower edge.
    fn paragraph(
        &mut self,
        class: &str,
        x: f64,
        top: f64,
        width: f64,
        scale: f64,
        text: &str,
    ) -> f64 {
        let line = self.size * scale * LEADING;
        let mut y = top;
        for row in wrapped(text, width / (self.size * scale), class != "plain") {
            self.text(class, x, y + 0.78 * line, scale, &row);
            y += line;
        }
        y
    }

    fn heading(&mut self, x: f64, top: f64, width: f64, text: &str) -> f64 {
        let low = self.paragraph("head", x, top, width, 1.12, text);
        self.rule(x, low + 0.15 * self.size, width);
        low + 0.5 * self.size
    }

    fn block(&mut self, block: &Block, x: f64, top: f64, width: f64) -> f64 {
        let mut y = self.heading(x, top, width, &block.title);
        let indent = if block.ticked { 1.7 * self.size } else { 0.0 };
        for item in &block.items {
            if block.ticked {
                let side = 0.95 * self.size;
                let _ = writeln!(
                    self.out,
                    "<path class=\"box\" d=\"M{} {}h{side}v{side}h-{side}z\"/>",
                    number(x),
                    number(y + 0.2 * self.size),
                    side = number(side)
                );
            }
            y = self.item(item, x + indent, y, width - indent);
            y += 0.22 * self.size;
        }
        y
    }

    fn cautions(&mut self, cautions: &[String], top: f64, width: f64) -> f64 {
        let mut y = self.heading(EDGE, top + 0.5 * self.size, width, "Cautions");
        for caution in cautions {
            y = self.paragraph("plain", EDGE, y, width, 0.95, caution);
        }
        y
    }

    /// What and value on one line where there is room, else the value below.
    fn item(&mut self, item: &Item, x: f64, top: f64, width: f64) -> f64 {
        if item.value.is_empty() {
            return self.paragraph("plain", x, top, width, 1.0, &item.what);
        }
        let what = format!("{}:", item.what);
        let taken = text_width(&what, false) * self.size + 0.4 * self.size;
        let needs = text_width(&item.value, true) * self.size;
        if taken + needs <= width {
            self.paragraph("plain", x, top, width, 1.0, &what);
            return self.paragraph("value", x + taken, top, width - taken, 1.0, &item.value);
        }
        let low = self.paragraph("plain", x, top, width, 1.0, &what);
        self.paragraph("value", x, low, width, 1.0, &item.value)
    }
}

/// Breaks a text into lines of a width, given in multiples of the type size; a word longer than a line stays whole.
fn wrapped(text: &str, width: f64, bold: bool) -> Vec<String> {
    let mut rows = Vec::new();
    let mut row = String::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let longer = if row.is_empty() {
            word.to_owned()
        } else {
            format!("{row} {word}")
        };
        if row.is_empty() || text_width(&longer, bold) <= width {
            row = longer;
        } else {
            rows.push(core::mem::replace(&mut row, word.to_owned()));
        }
    }
    if !row.is_empty() {
        rows.push(row);
    }
    rows
}

fn lay(card: &Card, paper: Paper, (size, drawn): (f64, f64)) -> Sheet {
    let (page, _) = paper.size();
    let width = page - 2.0 * EDGE;
    let mut sheet = Sheet {
        out: String::new(),
        low: 0.0,
        size,
    };
    let mut y = sheet.paragraph("head", EDGE, EDGE, width, 1.7, &card.title);
    for fact in &card.facts {
        y = sheet.paragraph("plain", EDGE, y, width, 1.0, fact);
    }
    y += size;
    let drawing = drawn * DRAWING.height / DRAWING.width;
    let _ = writeln!(
        sheet.out,
        "<svg class=\"stage\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"{}\" aria-label=\"{}\">\n{}</svg>",
        number(EDGE),
        number(y),
        number(drawn),
        number(drawing),
        view_box(&card.stage),
        escaped(&card.stage.title),
        content(&card.stage),
    );
    let beside = EDGE + drawn + GUTTER;
    let low = sheet.block(&card.settings, beside, y, page - EDGE - beside);
    y = low.max(y + drawing) + size;
    y = columns(&mut sheet, &card.blocks, y, width);
    y = sheet.cautions(&card.cautions, y, width);
    if !card.code.is_empty() {
        y += 0.4 * size;
        y = sheet.paragraph("plain", EDGE, y, width, 0.95, "To bring this back on another device, open the page there with this behind its address:");
        for row in chopped(&card.code, width / (0.95 * size)) {
            let line = 0.95 * size * LEADING;
            sheet.text("value", EDGE, y + 0.78 * line, 0.95, &row);
            y += line;
        }
    }
    sheet.low = y;
    sheet
}

fn lay_charts(page: &Charts, paper: Paper, size: f64) -> Sheet {
    let (wide, _) = paper.size();
    let width = wide - 2.0 * EDGE;
    let mut sheet = Sheet {
        out: String::new(),
        low: 0.0,
        size,
    };
    let mut y = sheet.paragraph("head", EDGE, EDGE, width, 1.7, &page.title);
    y = sheet.paragraph("plain", EDGE, y, width, 1.0, &page.fact) + size;
    let cell = (width - (BESIDE - 1) as f64 * GUTTER) / BESIDE as f64;
    for row in page.charts.chunks(BESIDE) {
        let places = || (0..).map(|k| EDGE + f64::from(k) * (cell + GUTTER));
        let mut foot = y;
        for (x, chart) in places().zip(row) {
            // What found no room in the chart stands under its title.
            let words = core::iter::once(&chart.title).chain(&chart.omitted);
            let words = words.map(String::as_str).collect::<Vec<_>>().join(". ");
            foot = sheet.paragraph("plain", x, y, cell, 0.95, &words).max(foot);
        }
        let mut low = foot;
        for (x, chart) in places().zip(row) {
            let height = cell * chart.size.1 / chart.size.0;
            let _ = writeln!(
                sheet.out,
                "<svg class=\"stage\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" aria-label=\"{}\">\n{}</svg>",
                number(x),
                number(foot),
                number(cell),
                number(height),
                number(chart.size.0),
                number(chart.size.1),
                escaped(&chart.title),
                envelope_content(chart),
            );
            low = low.max(foot + height);
        }
        y = low + size;
    }
    y = columns(&mut sheet, &page.blocks, y, width);
    sheet.low = sheet.cautions(&page.cautions, y, width);
    sheet
}

/// A code in pieces of a width: it has no spaces to break at.
fn chopped(code: &str, width: f64) -> Vec<String> {
    let mut rows: Vec<String> = vec![String::new()];
    for c in code.chars() {
        if let Some(row) = rows.last_mut() {
            if text_width(row, true) + 1.0 > width {
                rows.push(c.to_string());
            } else {
                row.push(c);
            }
        }
    }
    rows
}

/// Blocks in their order, broken into two columns where the lower edge comes out highest.
fn columns(sheet: &mut Sheet, blocks: &[Block], top: f64, width: f64) -> f64 {
    let column = (width - GUTTER) / 2.0;
    let gap = 0.7 * sheet.size;
    let height = |block: &Block| {
        let mut trial = Sheet {
            out: String::new(),
            low: 0.0,
            size: sheet.size,
        };
        trial.block(block, 0.0, 0.0, column) + gap
    };
    let heights: Vec<f64> = blocks.iter().map(height).collect();
    let lower = |first: usize| {
        let sum = |part: &[f64]| part.iter().sum::<f64>();
        sum(&heights[..first]).max(sum(&heights[first..]))
    };
    let first = (0..=heights.len())
        .min_by(|&a, &b| lower(a).total_cmp(&lower(b)))
        .unwrap_or(0);
    let mut low = top;
    for (x, blocks) in [
        (EDGE, &blocks[..first]),
        (EDGE + column + GUTTER, &blocks[first..]),
    ] {
        let mut y = top;
        for block in blocks {
            y = sheet.block(block, x, y, column) + gap;
        }
        low = low.max(y);
    }
    low
}

/// A card that does not fit in the smallest type: lines are left out from the end of its first block, and it says so.
fn lay_short(card: &Card, paper: Paper) -> Sheet {
    let (_, height) = paper.size();
    let smallest = MEASURES[MEASURES.len() - 1];
    let mut short = card.clone();
    let mut left_out = 0;
    loop {
        let sheet = lay(&short, paper, smallest);
        let longest = short.blocks.iter_mut().max_by_key(|b| b.items.len());
        let Some(block) = longest.filter(|b| sheet.low > height - EDGE && b.items.len() > 1) else {
            return sheet;
        };
        block.items.pop();
        left_out += 1;
        let says =
            format!("{left_out} lines did not fit on this page: see the work order on the screen.");
        if left_out == 1 {
            short.facts.push(says);
        } else if let Some(last) = short.facts.last_mut() {
            *last = says;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_broken_at_spaces_and_nothing_is_lost() {
        let text = "Turn to full lock both ways, standing, and look at every hose";
        let rows = wrapped(text, 20.0, false);
        assert!(rows.len() > 1);
        assert!(rows.iter().all(|r| text_width(r, false) <= 20.0));
        assert_eq!(rows.join(" "), text);
        assert_eq!(wrapped("unbreakable", 2.0, false), ["unbreakable"]);
        let code = "abcdefghijklmnopqrstuvwxyz";
        let rows = chopped(code, 6.0);
        assert!(rows.len() > 2);
        assert_eq!(rows.concat(), code);
    }
}
