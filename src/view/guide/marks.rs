//! Where the tape goes: its line with end marks and landmarks, grounds, angles, girths, arrows.

use super::{Angle, Ink, P, Sketch, Xy, circle, line, stroke, xy};

/// Sizes of marks, px: half an end mark, a landmark's radius, an arrow's head, between the strokes of a ground.
const END: f64 = 7.0;
const LANDMARK: f64 = 4.2;
const HEAD: f64 = 9.0;
const HATCH: f64 = 7.0;

impl Sketch<'_> {
    pub(super) fn mark(&mut self, ink: &Ink) {
        match *ink {
            Ink::Ground(from, to) => self.ground(self.at(from), self.at(to)),
            Ink::Tape(from, to) => self.tape(from, to, from, to),
            Ink::Level(from, to, z) => self.tape(from, to, (from.0, z), (to.0, z)),
            Ink::Upright(from, to, x) => self.tape(from, to, (x, from.1), (x, to.1)),
            Ink::Turn(centre, radius, from, to) => self.angle(centre, radius, from, to),
            Ink::Girth(centre, half) => self.girth(self.at(centre), f64::from(half)),
            Ink::Push(from, to) => self.arrow("guide-tape", self.at(from), self.at(to)),
            Ink::Ahead(from, to) => self.arrow("guide-plus", self.at(from), self.at(to)),
            Ink::Plus(from, to) => {
                let (from, to) = (self.at(from), self.at(to));
                self.arrow("guide-plus", from, to);
                let middle = to + (to - from).unit() * (11.0 * self.px);
                let arm = 4.5 * self.px;
                let (level, upright) = (xy(arm, 0.0), xy(0.0, arm));
                let d = line(&[middle - level, middle + level])
                    + &line(&[middle - upright, middle + upright]);
                self.haloed("guide-plus", d);
            }
            _ => {}
        }
    }

    fn haloed(&mut self, role: &'static str, d: String) {
        self.push("guide-halo", d.clone());
        self.push(role, d);
    }

    /// A tape between two ends; from landmarks beside it thin lines lead there.
    fn tape(&mut self, from: P, to: P, start: P, stop: P) {
        let [from, to, start, stop] = [from, to, start, stop].map(|p| self.at(p));
        let mut leads = String::new();
        for (landmark, end) in [(from, start), (to, stop)] {
            if (landmark - end).length() > self.px {
                leads += &line(&[landmark, end]);
            }
        }
        if !leads.is_empty() {
            self.push("guide-halo", leads.clone());
            self.push("guide-lead", leads);
        }
        let across = (stop - start).unit().left() * (END * self.px);
        let d = [
            line(&[start, stop]),
            line(&[start - across, start + across]),
            line(&[stop - across, stop + across]),
        ];
        self.haloed("guide-tape", d.concat());
        let dots = [from, to].map(|p| circle(p, LANDMARK * self.px));
        self.push("guide-landmark", dots.concat());
    }

    fn angle(&mut self, centre: P, radius: i16, from: i16, to: i16) {
        let (x, z) = (f64::from(centre.0), f64::from(centre.1));
        let points: Vec<Xy> = (0..=16)
            .map(|i| {
                let share = f64::from(i) / 16.0;
                let heading = f64::from(from) + share * f64::from(to - from);
                let heading = Angle::from_deg(heading);
                let radius = f64::from(radius);
                self.map(x + radius * heading.cos(), z + radius * heading.sin())
            })
            .collect();
        let head = self.head(points[16], (points[16] - points[14]).unit());
        let centre = self.at(centre);
        self.haloed("guide-tape", stroke(&points) + &head);
        self.push("guide-landmark", circle(centre, LANDMARK * self.px));
    }

    /// Before what it goes around as a tape, behind it as a thin line.
    fn girth(&mut self, centre: Xy, half: f64) {
        let bow = |depth: f64| {
            let points: Vec<Xy> = (0..=8)
                .map(|i| {
                    let turn = Angle::from_deg(22.5 * f64::from(i));
                    centre + xy(-half * turn.cos(), depth * turn.sin())
                })
                .collect();
            stroke(&points)
        };
        let depth = 0.3 * half;
        self.haloed("guide-lead", bow(-depth));
        self.haloed("guide-tape", bow(depth));
    }

    fn ground(&mut self, from: Xy, to: Xy) {
        let along = (to - from).unit();
        let into = (along - along.left()) * (0.6 * HATCH * self.px);
        let step = HATCH * self.px;
        let count = libm::floor((to - from).length() / step).clamp(1.0, 60.0) as usize;
        let mut d = line(&[from, to]);
        for i in 1..=count {
            let at = from + along * (step * i as f64);
            d += &line(&[at, at + into - along * (1.2 * HATCH * self.px)]);
        }
        self.push("guide-ground", d);
    }

    /// The head of an arrow that ends at a point.
    fn head(&self, end: Xy, way: Xy) -> String {
        let back = end - way * (HEAD * self.px);
        let side = way.left() * (0.6 * HEAD * self.px);
        line(&[back + side, end, back - side])
    }

    fn arrow(&mut self, role: &'static str, from: Xy, to: Xy) {
        let d = line(&[from, to]) + &self.head(to, (to - from).unit());
        self.haloed(role, d);
    }
}
