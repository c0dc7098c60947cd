//! Labels: how large text is, and where it goes so that it covers nothing.
//!
//! The placer is greedy and deterministic: labels come in order of importance; each takes the free place with the lowest
//! cost among rails beside the figure, then a grid over the whole view. **Hard**: a label stays inside the view, covers no
//! other label and no zone (head, hands, dimension figures), its leader crosses no label and no other leader's label.
//! **Soft**: length of the leader, leaders that cross each other, text over body and controls. What finds no place is
//! returned as omitted, for the caller to list in words; it is never squeezed in.

use core::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::Disc;
use super::path::{Xy, xy};

/// A rectangle of the drawing, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left end.
    pub left: f64,
    /// Upper end (drawing y points down).
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Area {
    /// Right end.
    pub fn right(&self) -> f64 {
        self.left + self.width
    }

    /// Lower end.
    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// Middle.
    pub fn centre(&self) -> Xy {
        xy(self.left + 0.5 * self.width, self.top + 0.5 * self.height)
    }

    /// The least area around a segment.
    pub(super) fn around((from, to): (Xy, Xy)) -> Self {
        Self {
            left: from.x.min(to.x),
            top: from.y.min(to.y),
            width: (to.x - from.x).abs(),
            height: (to.y - from.y).abs(),
        }
    }

    /// Whether two areas share more than a border.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right()
            && other.left < self.right()
            && self.top < other.bottom()
            && other.top < self.bottom()
    }

    /// How far a point lies beside the area, 0 above or below it.
    fn beside(&self, x: f64) -> f64 {
        x - x.clamp(self.left, self.right().max(self.left))
    }

    /// Whether a disc reaches into the area.
    pub fn meets(&self, disc: &Disc) -> bool {
        let dx = self.beside(disc.centre.x);
        let dy = disc.centre.y - disc.centre.y.clamp(self.top, self.bottom().max(self.top));
        dx * dx + dy * dy < disc.radius * disc.radius
    }

    /// Whether it lies inside another area.
    pub fn inside(&self, other: &Self) -> bool {
        self.left >= other.left
            && self.top >= other.top
            && self.right() <= other.right()
            && self.bottom() <= other.bottom()
    }

    /// The area with a border of `by` around it.
    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            width: self.width + 2.0 * by,
            height: self.height + 2.0 * by,
        }
    }

    /// Whether a straight line passes through it (Liang and Barsky 1984, clipping of a segment).
    pub fn crossed(&self, from: Xy, to: Xy) -> bool {
        let beside = from.x.max(to.x) < self.left
            || from.x.min(to.x) > self.right()
            || from.y.max(to.y) < self.top
            || from.y.min(to.y) > self.bottom();
        if beside {
            return false;
        }
        let d = to - from;
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (step, gap) in [
            (-d.x, from.x - self.left),
            (d.x, self.right() - from.x),
            (-d.y, from.y - self.top),
            (d.y, self.bottom() - from.y),
        ] {
            if step == 0.0 {
                if gap < 0.0 {
                    return false;
                }
            } else if step < 0.0 {
                enter = enter.max(gap / step);
            } else {
                leave = leave.min(gap / step);
            }
        }
        enter < leave
    }
}

/// Whether two segments cross inside both.
pub fn cross(a: (Xy, Xy), b: (Xy, Xy)) -> bool {
    let side = |p: Xy, q: Xy, r: Xy| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    let apart = |p, q, r, s| side(p, q, r) * side(p, q, s) < 0.0;
    apart(a.0, a.1, b.0, b.1) && apart(b.0, b.1, a.0, a.1)
}

/// Distance of a point from a segment.
pub fn distance(p: Xy, (from, to): (Xy, Xy)) -> f64 {
    let d = to - from;
    let length = d.dot(d);
    let share = if length > 0.0 {
        ((p - from).dot(d) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p - (from + d * share)).length()
}

/// Width of a text in multiples of its size: the wider of the common sans-serif system fonts, so that it fits in any.
pub fn text_width(text: &str, bold: bool) -> f64 {
    let width: f64 = text.chars().map(advance).sum();
    if bold { width * 1.11 } else { width }
}

/// Advance of a character by class, in multiples of the size (DejaVu Sans, rounded up; measured).
fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' => 0.30,
        ' ' | '.' | ',' | ':' | ';' | 'I' | '|' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '"' => 0.46,
        'm' | 'M' | 'w' | 'W' | '%' | '@' => 1.0,
        '°' => 0.50,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | '–' => 0.60,
        'a'..='z' | '0'..='9' => 0.64,
        '\u{2212}' | '+' | '=' | '<' | '>' => 0.84,
        'A'..='Z' => 0.78,
        c if (c as u32) < 0x250 => 0.80,
        _ => 1.05,
    }
}

/// How a value stands to its range; shown by a shape and a word, never by colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Nothing to say, or inside the preferred range.
    Inside,
    /// Outside the preferred range, inside the hard limits.
    Beyond,
    /// On or over a hard limit.
    AtLimit,
}

/// What a label wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// What it speaks of, as a class name.
    pub role: &'static str,
    /// First line, strong; the rest quiet.
    pub lines: Vec<String>,
    /// What it points at.
    pub anchor: Xy,
    /// How the value stands.
    pub state: State,
    /// Highest cost that it is worth, px: a label that could as well stand beside the drawing is left out of a crowd.
    pub worth: f64,
}

impl Wish {
    /// Its lines as one, for where it stands beside the drawing.
    pub(super) fn in_one_line(&self) -> String {
        self.lines.join(", ")
    }
}

/// A placed label.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What it speaks of, as a class name.
    pub role: &'static str,
    /// First line, strong; the rest quiet.
    pub lines: Vec<String>,
    /// How the value stands.
    pub state: State,
    /// Text box.
    pub area: Area,
    /// Sizes of the strong and the quiet lines, mm of the drawing.
    pub sizes: (f64, f64),
    /// From the text's edge to what it points at.
    pub leader: Option<(Xy, Xy)>,
    /// Whether the text ends at the right edge of its box (it stands left of what it points at).
    pub ends_right: bool,
    /// What it and its leader crossed when it took its place, px of cost.
    pub crossings: f64,
}

impl Label {
    /// A line that stands where it is put, with its size, mm of the drawing.
    pub fn fixed(role: &'static str, text: &str, area: Area, size: f64) -> Self {
        Self {
            role,
            lines: vec![text.to_owned()],
            state: State::Inside,
            area,
            sizes: (size, size),
            leader: None,
            ends_right: false,
            crossings: 0.0,
        }
    }

    /// Whether it says the same as a wish, whatever the figures.
    fn speaks_like(&self, wish: &Wish) -> bool {
        let first = self.lines.first().zip(wish.lines.first());
        self.role == wish.role && first.is_some_and(|(was, now)| alike(was, now))
    }
}

/// Whether two texts have the same words, whatever the figures between them.
fn alike(one: &str, other: &str) -> bool {
    let letters = |c: &char| c.is_alphabetic();
    one.chars()
        .filter(letters)
        .eq(other.chars().filter(letters))
}

/// Lines of text that stand where they are put, inside a drawing of px and clear of each other: figures and names of axes.
#[derive(Clone, Debug)]
pub struct Fixed {
    /// Size of the drawing, px.
    pub size: (f64, f64),
    /// Size of text, px.
    pub text: f64,
    /// Those that found room.
    pub labels: Vec<Label>,
}

impl Fixed {
    /// Puts a line with its upper left corner here, or as near as the drawing's border lets it; left out where another
    /// stands already.
    pub fn add(&mut self, role: &'static str, text: &str, left: f64, top: f64) {
        let (width, height) = self.size;
        let wide = text_width(text, false) * self.text + 2.0;
        let high = 1.25 * self.text;
        let area = Area {
            left: left.clamp(4.0, (width - wide - 4.0).max(4.0)),
            top: top.clamp(2.0, height - high - 2.0),
            width: wide,
            height: high,
        };
        if self
            .labels
            .iter()
            .all(|l| !l.area.grown(2.0).overlaps(&area))
        {
            self.labels.push(Label::fixed(role, text, area, self.text));
        }
    }
}

/// The world that labels are placed in.
#[derive(Clone, Debug)]
pub struct Board {
    /// The whole view.
    pub view: Area,
    /// mm per px.
    pub px: f64,
    /// Sizes of the strong and the quiet lines, px.
    pub text_px: (f64, f64),
    /// Zones that no label covers and no leader crosses, unless it points there.
    pub discs: Vec<Disc>,
    /// Areas that no label covers.
    pub areas: Vec<Area>,
    /// Bars with a radius that labels avoid where they can.
    pub soft: Vec<(Xy, Xy, f64)>,
    /// Rails beside the figure: right edge of texts left of it, left edge of texts right of it.
    pub rails: (f64, f64),
}

/// Gap kept between texts, px.
const GAP: f64 = 5.0;
/// Costs in px of leader length, all our choice: a point of text on the body, a leader across a limb, two leaders that
/// cross, a leader across head or hand.
const OVER_BODY: f64 = 45.0;
const ACROSS_LIMB: f64 = 220.0;
const LEADERS_CROSS: f64 = 260.0;
const ACROSS_ZONE: f64 = 320.0;
/// What crossings may cost, px as above, before a label beside something that moves leaves its place. Our choice.
const STAYS: f64 = 200.0;
/// Space that the mark of a state takes before the text, in text sizes.
const MARK: f64 = 0.95;

impl Board {
    /// A whole drawing of px beside texts that stand already.
    pub fn on(size: (f64, f64), text_px: (f64, f64), fixed: &[Label]) -> Self {
        let (width, height) = size;
        Self {
            view: Area {
                left: 4.0,
                top: 4.0,
                width: width - 8.0,
                height: height - 8.0,
            },
            px: 1.0,
            text_px,
            discs: Vec::new(),
            areas: fixed.iter().map(|l| l.area).collect(),
            soft: Vec::new(),
            rails: (0.0, width),
        }
    }

    /// Size of a label's text box, mm.
    pub fn size(&self, wish: &Wish) -> (f64, f64) {
        let (strong, quiet) = self.text_px;
        let mut width: f64 = 0.0;
        let mut height = 0.0;
        for (i, text) in wish.lines.iter().enumerate() {
            let size = if i == 0 { strong } else { quiet };
            let mark = if i == 0 && wish.state != State::Inside {
                MARK * size
            } else {
                0.0
            };
            width = width.max(text_width(text, i == 0) * size + mark);
            height += 1.25 * size;
        }
        ((width + 2.0) * self.px, (height + 1.0) * self.px)
    }

    /// Places labels, the most important first; returns the placed ones and those without room.
    pub fn place(&self, wishes: Vec<Wish>) -> (Vec<Label>, Vec<Wish>) {
        self.place_near(wishes, &[], &[])
    }

    /// The same beside what moves: what was written `before` stays where it was while that does well enough, and a side
    /// note that found no room then is not looked for again, so that figures can be read while they change.
    pub fn place_near(
        &self,
        wishes: Vec<Wish>,
        before: &[Label],
        left_out: &[String],
    ) -> (Vec<Label>, Vec<Wish>) {
        let mut placed: Vec<Label> = Vec::new();
        let mut omitted = Vec::new();
        for wish in wishes {
            let size = self.size(&wish);
            let former = before.iter().find(|label| label.speaks_like(&wish));
            let stays = former.and_then(|label| self.stays(label, size, &wish, &placed));
            let found = || {
                if wish.worth.is_finite() && former.is_none() {
                    let all = wish.in_one_line();
                    if left_out.iter().any(|lines| alike(lines, &all)) {
                        return None;
                    }
                }
                let place = self
                    .best(&self.rails(size), &wish, &placed)
                    .or_else(|| self.best(&self.grid(size), &wish, &placed))?;
                let crossings = self.cost(0.0, place, &wish, &placed, f64::INFINITY)?;
                Some((place, crossings))
            };
            match stays.or_else(found) {
                Some(((area, ends_right), crossings)) => {
                    let leader = Some((shelf_end(&area, ends_right), wish.anchor));
                    placed.push(Label {
                        role: wish.role,
                        lines: wish.lines,
                        state: wish.state,
                        area,
                        sizes: (self.text_px.0 * self.px, self.text_px.1 * self.px),
                        leader,
                        ends_right,
                        crossings,
                    });
                }
                None => omitted.push(wish),
            }
        }
        (placed, omitted)
    }

    /// The place of a former label, as wide as it is to be now, if that is free and it crosses little there, or no more than
    /// it did; with what it crossed.
    fn stays(
        &self,
        former: &Label,
        size: (f64, f64),
        wish: &Wish,
        placed: &[Label],
    ) -> Option<((Area, bool), f64)> {
        let left = if former.ends_right {
            former.area.right() - size.0
        } else {
            former.area.left
        };
        let area = Area {
            left,
            top: former.area.top,
            width: size.0,
            height: size.1,
        };
        let place = (area, former.ends_right);
        let leader = self.leader_cost(place, wish);
        let limit = wish.worth.min(leader + STAYS.max(former.crossings) + 1e-6);
        let free = former.leader.is_some() && self.taken(&area, placed).is_none();
        let cost = free.then(|| self.cost(leader, place, wish, placed, limit))??;
        (cost < limit).then_some((place, former.crossings))
    }

    /// Places along the two rails and, for narrow views, against the margins, every 6 px.
    fn rails(&self, size: (f64, f64)) -> Places {
        let columns = vec![
            (self.rails.0 - size.0, true),
            (self.rails.1, false),
            (self.view.left, true),
            (self.view.right() - size.0, false),
        ];
        Places::new(self.view, columns, 6.0 * self.px, size)
    }

    /// Places all over the view.
    fn grid(&self, size: (f64, f64)) -> Places {
        let mut columns = Vec::new();
        let mut left = self.view.left;
        while left + size.0 <= self.view.right() {
            columns.extend([(left, true), (left, false)]);
            left += 14.0 * self.px;
        }
        Places::new(self.view, columns, 10.0 * self.px, size)
    }

    /// The place with the lowest cost, the earlier one of two alike. A column's leaders grow longer upwards and downwards
    /// from the row that is level with what the label points at; places are looked at from there, over all columns the one
    /// with the shortest leader first, until no other can be better.
    fn best(&self, places: &Places, wish: &Wish, placed: &[Label]) -> Option<(Area, bool)> {
        let level = (wish.anchor.y - places.size.1 - places.top) / places.step;
        let level = libm::ceil(level).clamp(0.0, places.rows as f64) as usize;
        let across = places.columns.len();
        let mut open = BinaryHeap::new();
        let look = |open: &mut BinaryHeap<_>, order: Option<usize>, downwards| {
            if let Some(order) = order.filter(|order| *order < places.count()) {
                let cost = Px(self.leader_cost(places.at(order), wish));
                open.push(Reverse((cost, order, downwards)));
            }
        };
        for order in (level * across..).take(across) {
            look(&mut open, Some(order), true);
            look(&mut open, order.checked_sub(across), false);
        }
        let mut best: Option<(Px, usize)> = None;
        while let Some(Reverse((leader, order, downwards))) = open.pop() {
            let limit = best.map_or(wish.worth, |(least, _)| least.0);
            if leader.0 > limit {
                break;
            }
            let place = places.at(order);
            let row = order / across;
            let taken = self.taken(&place.0, placed);
            if taken.is_none()
                && let Some(cost) = self.cost(leader.0, place, wish, placed, limit)
            {
                let found = (Px(cost), order);
                if cost < wish.worth && best.is_none_or(|least| found < least) {
                    best = Some(found);
                }
            }
            // What takes one place of a column takes its neighbours too.
            let next = match (downwards, taken) {
                (true, None) => Some(row + 1),
                (true, Some((_, lower))) => Some(places.first_below(lower).max(row + 1)),
                (false, None) => row.checked_sub(1),
                (false, Some((upper, _))) => {
                    let above = row.checked_sub(1);
                    above.and_then(|above| Some(places.last_above(upper)?.min(above)))
                }
            };
            let next = next.map(|row| row * across + order % across);
            look(&mut open, next, downwards);
        }
        best.map(|(_, order)| places.at(order))
    }

    /// Cost of a place's leader in px, whatever it crosses: flat leaders are calmer than steep ones.
    fn leader_cost(&self, (area, ends_right): (Area, bool), wish: &Wish) -> f64 {
        let way = wish.anchor - shelf_end(&area, ends_right);
        (way.length() + 0.5 * way.y.abs()) / self.px
    }

    /// What stands where an area would: upper and lower end of what it takes, with the gap that is kept.
    fn taken(&self, area: &Area, placed: &[Label]) -> Option<(f64, f64)> {
        let gap = GAP * self.px;
        let roomy = area.grown(gap);
        let mut others = self.areas.iter().chain(placed.iter().map(|l| &l.area));
        if let Some(other) = others.find(|other| roomy.overlaps(other)) {
            return Some((other.top - gap, other.bottom() + gap));
        }
        let disc = self.discs.iter().find(|disc| roomy.meets(disc))?;
        let beside = roomy.beside(disc.centre.x);
        let reach = libm::sqrt((disc.radius * disc.radius - beside * beside).max(0.0)) + gap;
        Some((disc.centre.y - reach, disc.centre.y + reach))
    }

    /// Cost of a free place in px, from that of its leader; `None` where a hard rule forbids it, or it is over the limit.
    fn cost(
        &self,
        mut cost: f64,
        (area, ends_right): (Area, bool),
        wish: &Wish,
        placed: &[Label],
        limit: f64,
    ) -> Option<f64> {
        let roomy = area.grown(GAP * self.px);
        let leader = (shelf_end(&area, ends_right), wish.anchor);
        if !area.inside(&self.view) {
            return None;
        }
        let backwards = if ends_right {
            wish.anchor.x < area.right()
        } else {
            wish.anchor.x > area.left
        };
        if backwards || area.grown(2.0 * self.px).crossed(wish.anchor, wish.anchor) {
            return None;
        }
        for label in placed {
            if label.area.grown(GAP * self.px).crossed(leader.0, leader.1) {
                return None;
            }
            if let Some(other) = label.leader {
                if roomy.crossed(other.0, other.1) {
                    return None;
                }
                if cross(leader, other) {
                    cost += LEADERS_CROSS;
                }
            }
        }
        if self.areas.iter().any(|a| a.crossed(leader.0, leader.1)) {
            return None;
        }
        for disc in &self.discs {
            let points_there = (wish.anchor - disc.centre).length() < disc.radius;
            if !points_there && distance(disc.centre, leader) < disc.radius {
                cost += ACROSS_ZONE;
            }
        }
        for &bar in &self.soft {
            if cost > limit {
                return None;
            }
            let axis = (bar.0, bar.1);
            // Text over the body: by how many of its points lie there.
            if area.grown(bar.2).overlaps(&Area::around(axis)) {
                for i in 0..=6 {
                    for j in 0..=2 {
                        let point = xy(
                            area.left + area.width * f64::from(i) / 6.0,
                            area.top + area.height * f64::from(j) / 2.0,
                        );
                        if distance(point, axis) < bar.2 {
                            cost += OVER_BODY;
                        }
                    }
                }
            }
            if distance(wish.anchor, axis) > bar.2 && cross(leader, axis) {
                cost += ACROSS_LIMB;
            }
        }
        Some(cost)
    }
}

/// Where a label of a size could stand: in columns, in rows of one pitch.
struct Places {
    /// Left edge, and whether the text ends at the right one.
    columns: Vec<(f64, bool)>,
    rows: usize,
    top: f64,
    step: f64,
    size: (f64, f64),
}

impl Places {
    fn new(view: Area, columns: Vec<(f64, bool)>, step: f64, size: (f64, f64)) -> Self {
        let room = libm::floor((view.height - size.1) / step);
        Self {
            columns,
            rows: if room >= 0.0 { room as usize + 1 } else { 0 },
            top: view.top,
            step,
            size,
        }
    }

    fn count(&self) -> usize {
        self.rows * self.columns.len()
    }

    /// The first row below a height, and the last whose places end above one.
    fn first_below(&self, y: f64) -> usize {
        let row = libm::ceil((y - self.top) / self.step - 1e-6);
        row.clamp(0.0, self.rows as f64) as usize
    }

    fn last_above(&self, y: f64) -> Option<usize> {
        let row = libm::floor((y - self.size.1 - self.top) / self.step + 1e-6);
        (row >= 0.0).then_some(row as usize)
    }

    /// A place, counted row by row.
    fn at(&self, order: usize) -> (Area, bool) {
        let (row, column) = (order / self.columns.len(), order % self.columns.len());
        let (left, ends_right) = self.columns[column];
        let area = Area {
            left,
            top: self.top + row as f64 * self.step,
            width: self.size.0,
            height: self.size.1,
        };
        (area, ends_right)
    }
}

/// A cost, ordered.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Px(f64);

impl Eq for Px {}

impl PartialOrd for Px {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Px {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// Where the leader leaves the text box: low on the side that faces what it points at.
fn shelf_end(area: &Area, ends_right: bool) -> Xy {
    let x = if ends_right { area.right() } else { area.left };
    xy(x, area.bottom())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(left: f64, top: f64) -> Area {
        Area {
            left,
            top,
            width: 10.0,
            height: 10.0,
        }
    }

    #[test]
    fn a_segment_crosses_an_area_or_not() {
        let a = square(0.0, 0.0);
        assert!(a.crossed(xy(-5.0, 5.0), xy(15.0, 5.0)));
        assert!(a.crossed(xy(5.0, 5.0), xy(6.0, 6.0)));
        assert!(!a.crossed(xy(-5.0, 11.0), xy(15.0, 11.0)));
        assert!(!a.crossed(xy(-5.0, 5.0), xy(-1.0, 5.0)));
        assert!(!a.crossed(xy(10.0, -5.0), xy(25.0, 10.0)));
    }

    #[test]
    fn the_place_found_outwards_is_the_best_of_all() {
        let fixed: [Label; 0] = [];
        let mut board = Board::on((320.0, 260.0), (13.0, 11.0), &fixed);
        board.rails = (120.0, 220.0);
        board.discs = vec![Disc {
            centre: xy(150.0, 60.0),
            radius: 30.0,
        }];
        board.soft = vec![
            (xy(150.0, 90.0), xy(170.0, 200.0), 18.0),
            (xy(150.0, 100.0), xy(230.0, 130.0), 9.0),
        ];
        let wish = |k: u32| Wish {
            role: "joint",
            lines: vec![format!("Knee {k}"), "from 1 to 2".to_owned()],
            anchor: xy(140.0 + f64::from(k * 37 % 60), f64::from(k * 53 % 250)),
            state: State::Inside,
            worth: if k.is_multiple_of(3) {
                20.0
            } else {
                f64::INFINITY
            },
        };
        let mut placed: Vec<Label> = Vec::new();
        let (mut found, mut none) = (0, 0);
        for wish in (0..14).map(wish) {
            let size = board.size(&wish);
            for places in [board.rails(size), board.grid(size)] {
                let costs = (0..places.count()).filter_map(|order| {
                    let place = places.at(order);
                    let leader = board.leader_cost(place, &wish);
                    let free = board.taken(&place.0, &placed).is_none();
                    let cost = board.cost(leader, place, &wish, &placed, f64::INFINITY);
                    let cost = cost.filter(|_| free);
                    Some((Px(cost.filter(|c| *c < wish.worth)?), order))
                });
                let least = costs.min().map(|(_, order)| places.at(order));
                assert_eq!(board.best(&places, &wish, &placed), least);
                match least {
                    Some(_) => found += 1,
                    None => none += 1,
                }
            }
            placed.extend(board.place(vec![wish]).0);
        }
        assert!(found > 8 && none > 0, "{found} {none}");
    }

    #[test]
    fn areas_that_touch_do_not_overlap() {
        assert!(!square(0.0, 0.0).overlaps(&square(10.0, 0.0)));
        assert!(square(0.0, 0.0).overlaps(&square(9.0, 9.0)));
    }

    #[test]
    fn segments_cross() {
        assert!(cross(
            (xy(0.0, 0.0), xy(2.0, 2.0)),
            (xy(0.0, 2.0), xy(2.0, 0.0))
        ));
        assert!(!cross(
            (xy(0.0, 0.0), xy(2.0, 2.0)),
            (xy(3.0, 0.0), xy(3.0, 9.0))
        ));
    }
}
