//! The drawing as SVG text: a stylesheet from one table of roles, escaping, standalone documents.

use super::Shape;
use super::envelope::EnvelopeView;
use super::label::{Label, State};
use super::palette::{PALETTE, Theme, colour};
use super::path::{circle, line, number, polygon, xy};
use super::stage::Stage;
use core::fmt::Write as _;

/// How a role is painted. Stroke widths are in px of the screen or page, whatever the drawing's scale.
struct Rule {
    role: &'static str,
    fill: &'static str,
    stroke: &'static str,
    width: f64,
    more: &'static str,
}

const fn rule(role: &'static str, fill: &'static str, stroke: &'static str, width: f64) -> Rule {
    Rule {
        role,
        fill,
        stroke,
        width,
        more: "",
    }
}

const fn with(mut rule: Rule, more: &'static str) -> Rule {
    rule.more = more;
    rule
}

/// A fill over its own line: where its parts overlap, no line shows.
const fn garment(role: &'static str, fill: &'static str, width: f64) -> Rule {
    with(rule(role, fill, "edge", width), "paint-order:stroke;")
}

/// Every role of the drawing.
const RULES: &[Rule] = &[
    rule("snow-line", "", "sled-line", 1.5),
    rule("snow", "snow", "", 0.0),
    rule("track", "sled", "sled-line", 2.0),
    rule("lug", "", "sled-line", 2.0),
    rule("rail", "", "sled-line", 3.0),
    rule("wheel", "paper", "sled-line", 1.5),
    rule("ski", "sled-deep", "sled-line", 1.2),
    rule("ski-leg", "sled-deep", "sled-line", 1.2),
    rule("board-far", "sled-deep", "sled-line", 1.0),
    rule("hull", "sled", "sled-line", 1.5),
    rule("cowl", "sled-deep", "", 0.0),
    rule("seam", "", "sled-line", 1.0),
    rule("screen", "glass", "sled-line", 1.2),
    rule("seat", "seat", "sled-line", 1.2),
    rule("welt", "", "sled", 1.0),
    with(rule("unloaded", "", "line", 1.2), "stroke-dasharray:4 3;"),
    rule("post", "seat", "sled-line", 1.0),
    rule("riser", "accent", "edge", 1.0),
    rule("clamp", "edge", "edge", 1.0),
    rule("pivot", "paper", "edge", 1.5),
    rule("bar", "edge", "edge", 1.0),
    rule("bar-far", "line", "line", 1.0),
    rule("throttle", "line", "edge", 1.0),
    rule("board", "edge", "edge", 1.0),
    rule("hole", "paper", "", 0.0),
    rule("hole-chosen", "accent", "paper", 1.5),
    with(rule("hoop-edge", "", "edge", 6.0), "stroke-linecap:round;"),
    with(rule("hoop", "", "accent", 3.5), "stroke-linecap:round;"),
    rule("guard", "sled", "sled-line", 1.2),
    rule("lever", "sled-deep", "edge", 1.2),
    rule("edge", "", "edge", 3.0),
    garment("pants-far", "far", 2.2),
    garment("jacket-far", "far", 2.2),
    garment("boot-far", "far", 2.2),
    garment("sole-far", "far", 2.2),
    garment("glove-far", "far", 2.2),
    garment("pants", "pants", 3.0),
    rule("pants-shade", "pants-shade", "", 0.0),
    rule("pants-cuff", "pants-shade", "", 0.0),
    rule("panel", "panel", "", 0.0),
    garment("boot", "boot", 3.0),
    garment("sole", "sole", 3.0),
    rule("toe-cap", "pants", "", 0.0),
    rule("buckle", "", "sole", 2.0),
    garment("jacket", "jacket", 3.0),
    rule("jacket-shade", "jacket-shade", "", 0.0),
    rule("yoke", "yoke", "", 0.0),
    rule("hem", "yoke", "", 0.0),
    rule("stripe", "yoke", "", 0.0),
    rule("sleeve-cuff", "yoke", "", 0.0),
    garment("collar", "yoke", 3.0),
    rule("fold", "", "edge", 0.8),
    garment("glove", "glove", 3.0),
    rule("glove-cuff", "pants", "", 0.0),
    rule("finger", "", "sole", 1.0),
    rule("grip-end", "seat", "paper", 1.0),
    garment("helmet", "helmet", 3.0),
    rule("helmet-shade", "sled-deep", "", 0.0),
    rule("flash", "jacket", "", 0.0),
    rule("strap", "yoke", "", 0.0),
    rule("goggle", "boot", "", 0.0),
    rule("glass", "accent", "", 0.0),
    rule("vent", "", "edge", 1.2),
    garment("peak", "yoke", 3.0),
    rule("grid-faint", "", "grid", 0.5),
    rule("grid-mid", "", "grid", 0.9),
    rule("grid-near", "", "grid", 1.3),
    with(
        rule("other", "snow", "sled-line", 1.8),
        "paint-order:stroke;",
    ),
    with(rule("ghost-edge", "", "line", 2.8), "stroke-dasharray:5 4;"),
    rule("ghost-fill", "paper", "", 0.0),
    rule("option-halo", "", "paper", 5.5),
    rule("option-a", "", "accent", 2.4),
    with(rule("option-b", "", "second", 2.4), "stroke-dasharray:9 4;"),
    with(rule("option-c", "", "third", 2.6), "stroke-dasharray:3 3;"),
    with(
        rule("option-d", "", "fourth", 2.4),
        "stroke-dasharray:11 3 2 3;",
    ),
    rule("option-fill", "snow", "", 0.0),
    rule("option-joint", "paper", "ink", 1.4),
    rule("option-corner", "paper", "ink", 1.2),
    with(rule("ghost-bar", "", "line", 2.0), "stroke-dasharray:5 3;"),
    rule("shift", "", "accent", 2.0),
    rule("plumb-halo", "", "paper", 3.5),
    with(
        rule("plumb", "", "ink", 1.3),
        "stroke-dasharray:1 4;stroke-linecap:round;",
    ),
    rule("plumb-foot", "ink", "paper", 1.2),
    rule("mass-ground", "paper", "ink", 1.6),
    rule("mass", "ink", "", 0.0),
    with(rule("witness", "", "line", 0.8), "stroke-dasharray:3 3;"),
    rule("dimension-halo", "", "paper", 3.5),
    rule("dimension", "", "ink", 1.2),
    rule("tape-halo", "", "paper", 3.5),
    rule("tape", "", "ink", 1.2),
    rule("datum-halo", "", "paper", 3.5),
    with(rule("datum", "", "ink", 1.1), "stroke-dasharray:6 3;"),
    rule("swing-halo", "", "paper", 5.0),
    rule("swing", "", "accent", 2.4),
    rule("guide-body", "sled-deep", "", 0.0),
    rule("guide-wear", "seat", "", 0.0),
    rule("guide-thing", "sled", "edge", 1.0),
    rule("guide-dial", "paper", "edge", 1.0),
    rule("guide-hose", "", "edge", 4.0),
    rule("guide-ground", "", "edge", 1.4),
    rule("guide-halo", "", "paper", 6.0),
    with(
        rule("guide-lead", "", "accent", 1.4),
        "stroke-dasharray:4 3;",
    ),
    rule("guide-tape", "", "accent", 3.2),
    rule("guide-landmark", "paper", "accent", 2.2),
    rule("guide-plus", "", "ink", 2.0),
    rule("scale-bar", "", "ink", 1.4),
    rule("gauge-halo", "", "paper", 4.0),
    rule("gauge-ground", "paper", "paper", 3.0),
    rule("gauge-whole", "", "line", 1.4),
    rule("gauge-comfort", "accent", "", 0.0),
    rule("needle-halo", "", "paper", 5.5),
    rule("needle", "", "ink", 2.4),
    rule("needle-beyond", "paper", "limit", 2.2),
    rule("needle-limit", "limit", "paper", 1.2),
    rule("leader-halo", "", "paper", 3.0),
    rule("leader", "", "ink-soft", 1.0),
    rule("leader-end", "ink-soft", "paper", 1.0),
    rule("state-beyond", "paper", "limit", 2.0),
    rule("state-limit", "limit", "", 0.0),
    rule("ring", "", "sled-deep", 1.2),
    rule("axis", "", "sled-line", 1.0),
    with(rule("hold", "accent", "", 0.0), "fill-opacity:.12;"),
    rule("hold-edge", "", "accent", 2.6),
    with(
        rule("hold-edge-dashed", "", "accent", 2.6),
        "stroke-dasharray:9 4;",
    ),
    with(
        rule("hold-edge-dotted", "", "accent", 3.0),
        "stroke-dasharray:2 4;",
    ),
    with(rule("run-inside", "ink-soft", "", 0.0), "fill-opacity:.7;"),
    rule("run-outside", "limit", "", 0.0),
    rule("lap", "", "line", 1.6),
    with(rule("lap-dashed", "", "line", 1.6), "stroke-dasharray:7 4;"),
    with(rule("lap-dotted", "", "line", 1.8), "stroke-dasharray:2 4;"),
    rule("rest", "", "ink", 1.8),
    rule("load-held", "ink", "paper", 1.2),
    rule("load-lost", "paper", "limit", 2.2),
    with(rule("handle", "paper", "accent", 2.2), "fill-opacity:.85;"),
    with(
        rule("handle-grip", "", "accent", 2.0),
        "stroke-linecap:round;",
    ),
];

/// The style of text by what it says.
const TEXT: &str = "font-family:system-ui,-apple-system,\"Segoe UI\",Roboto,\"Liberation Sans\",\"DejaVu Sans\",sans-serif;\
font-variant-numeric:tabular-nums;paint-order:stroke;stroke-linejoin:round;";

/// Where the stylesheet's colours come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colours {
    /// The page's custom properties.
    Variables,
    /// Values of a theme, for a file that stands alone.
    Fixed(Theme),
}

/// The stylesheet of the drawing; selectors are below `.stage`.
pub fn stylesheet(colours: Colours) -> String {
    let paint = |name: &str| match (name, colours) {
        ("", _) => "none".to_owned(),
        (name, Colours::Variables) => format!("var(--{name})"),
        (name, Colours::Fixed(theme)) => colour(name, theme).to_owned(),
    };
    let mut css = String::from(
        ".stage path{vector-effect:non-scaling-stroke;stroke-linejoin:round;stroke-linecap:butt}\n",
    );
    for r in RULES {
        let _ = write!(
            css,
            ".stage .{}{{fill:{};stroke:{};",
            r.role,
            paint(r.fill),
            paint(r.stroke)
        );
        if !r.stroke.is_empty() {
            let _ = write!(css, "stroke-width:{}px;", r.width);
        }
        css.push_str(r.more);
        css.push_str("}\n");
    }
    let (paper, ink, soft) = (paint("paper"), paint("ink"), paint("ink-soft"));
    let (accent, limit) = (paint("accent-text"), paint("limit-text"));
    let _ = write!(
        css,
        ".stage text{{{TEXT}fill:{ink};stroke:{paper}}}\n\
         .stage .strong{{font-weight:650}}\n\
         .stage .quiet{{fill:{soft}}}\n\
         .stage .cause .strong,.stage .axis-name .strong,.stage .ring-name .strong,.stage .scale-bar .strong{{font-weight:400}}\n\
         .stage .setting .strong,.stage .shift .strong,.stage .of-a .strong{{fill:{accent}}}\n\
         .stage .outside text{{fill:{limit}}}\n"
    );
    css
}

/// The custom properties of a theme, for the page's own stylesheet.
pub fn custom_properties(theme: Theme) -> String {
    PALETTE
        .iter()
        .map(|s| format!("--{}:{};", s.name, s.in_theme(theme)))
        .collect()
}

/// Text as SVG content or attribute value.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Characters that XML 1.0 does not allow, even escaped.
            '\u{0}'..='\u{8}'
            | '\u{b}'
            | '\u{c}'
            | '\u{e}'..='\u{1f}'
            | '\u{fffe}'
            | '\u{ffff}' => {
                out.push('\u{fffd}');
            }
            c => out.push(c),
        }
    }
    out
}

/// Shapes as `path` elements, in order.
pub fn paths(shapes: &[Shape]) -> String {
    elements(&marks(shapes))
}

fn marks(shapes: &[Shape]) -> Vec<Mark> {
    let drawn = shapes.iter().filter(|s| !s.d.is_empty());
    drawn.map(|s| Mark::path(s.role, s.d.clone())).collect()
}

/// One element of the drawing. Only classes and geometry, no style of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// `path` or `text`.
    pub tag: &'static str,
    /// Its class.
    pub class: &'static str,
    /// The other attributes.
    pub attributes: Vec<(&'static str, String)>,
    /// What a `text` says.
    pub text: String,
}

/// Elements of the drawing that belong together, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its class.
    pub class: String,
    /// Its elements.
    pub marks: Vec<Mark>,
}

impl Mark {
    fn path(class: &'static str, d: String) -> Self {
        Self {
            tag: "path",
            class,
            attributes: vec![("d", d)],
            text: String::new(),
        }
    }
}

/// Elements as SVG text, in order.
pub fn elements(marks: &[Mark]) -> String {
    let mut out = String::new();
    for Mark {
        tag,
        class,
        attributes,
        text,
    } in marks
    {
        let _ = write!(out, "<{tag} class=\"{class}\"");
        for (name, value) in attributes {
            let _ = write!(out, " {name}=\"{value}\"");
        }
        if text.is_empty() {
            out.push_str("/>\n");
        } else {
            let _ = writeln!(out, ">{}</{tag}>", escaped(text));
        }
    }
    out
}

fn written(groups: &[Group]) -> String {
    let mut out = String::new();
    for group in groups {
        let _ = write!(
            out,
            "<g class=\"{}\">\n{}</g>\n",
            group.class,
            elements(&group.marks)
        );
    }
    out
}

/// Labels: the leaders of all, then the texts of each.
fn labels(labels: &[Label], px: f64) -> impl Iterator<Item = Group> {
    leaders(labels, px)
        .into_iter()
        .chain(labels.iter().map(move |l| label(l, px)))
}

/// All leaders as three shapes, each of one piece per label: a frame of the page costs what it changes, shape by shape.
fn leaders(labels: &[Label], px: f64) -> Option<Group> {
    let (mut lines, mut ends) = (String::new(), String::new());
    let shelf = 2.0 * px;
    for l in labels {
        let Some((end, anchor)) = l.leader else {
            continue;
        };
        let from = if l.ends_right {
            l.area.left
        } else {
            l.area.right()
        };
        lines += &line(&[xy(from, end.y + shelf), xy(end.x, end.y + shelf), anchor]);
        ends += &circle(anchor, 2.6 * px);
    }
    (!lines.is_empty()).then(|| Group {
        class: "leaders".to_owned(),
        marks: vec![
            Mark::path("leader-halo", lines.clone()),
            Mark::path("leader", lines),
            Mark::path("leader-end", ends),
        ],
    })
}

/// A label: its lines, its mark.
fn label(l: &Label, px: f64) -> Group {
    let outside = if l.state == State::Inside {
        ""
    } else {
        " outside"
    };
    let mut marks = Vec::new();
    let state = state_mark(l);
    let (x, align) = if l.ends_right {
        (l.area.right(), "end")
    } else {
        (l.area.left, "start")
    };
    let mut y = l.area.top;
    for (i, text) in l.lines.iter().enumerate() {
        let (size, class) = if i == 0 {
            (l.sizes.0, "strong")
        } else {
            (l.sizes.1, "quiet")
        };
        // The mark stands at the edge that the text is aligned to.
        let indent = match (i, &state, l.ends_right) {
            (0, Some(_), false) => 0.95 * size,
            (0, Some(_), true) => -0.95 * size,
            _ => 0.0,
        };
        marks.push(Mark {
            tag: "text",
            class,
            attributes: vec![
                ("x", number(x + indent)),
                ("y", number(y + 0.96 * size)),
                ("font-size", number(size)),
                ("stroke-width", number(3.5 * px)),
                ("text-anchor", align.to_owned()),
            ],
            text: text.clone(),
        });
        y += 1.25 * size;
    }
    marks.extend(state);
    Group {
        class: format!("label {}{outside}", l.role),
        marks,
    }
}

/// The shape before a label's text that says how its value stands.
fn state_mark(l: &Label) -> Option<Mark> {
    let size = l.sizes.0;
    let left = if l.ends_right {
        l.area.right() - 0.72 * size
    } else {
        l.area.left
    };
    let k = 0.66 * size;
    let at = |x: f64, y: f64| xy(left + x * k, l.area.top + 0.96 * size - y * k);
    match l.state {
        State::Inside => None,
        State::Beyond => Some(Mark::path(
            "state-beyond",
            polygon(&[at(0.1, 0.06), at(1.0, 0.06), at(0.55, 0.94)]),
        )),
        State::AtLimit => Some(Mark::path(
            "state-limit",
            polygon(&[at(0.12, 0.06), at(0.95, 0.06), at(0.95, 0.9), at(0.12, 0.9)]),
        )),
    }
}

/// Everything inside the `svg` element, from back to front: layers, handles, labels.
pub fn groups(stage: &Stage) -> Vec<Group> {
    let px = 1.0 / stage.view.px_per_mm;
    let layers = stage.layers.iter().map(|layer| Group {
        class: format!("layer-{}", layer.name),
        marks: marks(&layer.shapes),
    });
    let handles = stage.handles.iter().map(|handle| {
        let r = 9.0 * px;
        let ends = [xy(-0.42 * r, 0.0), xy(0.42 * r, 0.0)];
        let grip = line(&[handle.at + ends[0], handle.at + ends[1]]);
        Group {
            class: format!("grab grab-{}", handle.id.name()),
            marks: vec![
                Mark::path("handle", circle(handle.at, r)),
                Mark::path("handle-grip", grip),
            ],
        }
    });
    layers
        .chain(handles)
        .chain(labels(&stage.labels, px))
        .collect()
}

/// The same as SVG text.
pub fn content(stage: &Stage) -> String {
    written(&groups(stage))
}

/// The view box of a stage, mm of the drawing frame.
pub fn view_box(stage: &Stage) -> String {
    let a = stage.view.area;
    [a.left, a.top, a.width, a.height].map(number).join(" ")
}

/// Everything inside the `svg` element of a hold envelope, in px.
pub fn envelope_content(view: &EnvelopeView) -> String {
    let labels: Vec<Group> = labels(&view.labels, 1.0).collect();
    paths(&view.shapes) + &written(&labels)
}

/// A standalone SVG of a hold envelope.
pub fn envelope_document(view: &EnvelopeView, theme: Theme) -> String {
    let (width, height) = (number(view.size.0), number(view.size.1));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"stage\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\">\n\
         <title>{}</title>\n<style>\n{}</style>\n<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n{}</svg>\n",
        escaped(&view.title),
        stylesheet(Colours::Fixed(theme)),
        colour("paper", theme),
        envelope_content(view),
    )
}

/// A standalone SVG of a stage, with its text equivalent.
pub fn document(stage: &Stage, description: &str, theme: Theme) -> String {
    let a = stage.view.area;
    let scale = stage.view.px_per_mm;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"stage\" viewBox=\"{}\" width=\"{}\" height=\"{}\" role=\"img\">\n\
         <title>{}</title>\n<desc>{}</desc>\n<style>\n{}</style>\n\
         <rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>\n{}</svg>\n",
        view_box(stage),
        number(a.width * scale),
        number(a.height * scale),
        escaped(&stage.title),
        escaped(description),
        stylesheet(Colours::Fixed(theme)),
        number(a.left),
        number(a.top),
        number(a.width),
        number(a.height),
        colour("paper", theme),
        content(stage),
    )
}
