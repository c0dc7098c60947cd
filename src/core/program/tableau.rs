//! The simplex method on a dense tableau, for the scaled programs of [`linear`](super::linear).
//!
//! Each of the n variables and m row values stands in one place with its range. m of these n + m are basic, and the
//! table writes each basic one as a combination of the n others: basic = T · nonbasic, at first row = A · x. There is
//! no right-hand side: a nonbasic one stands at an end of its range (or anywhere, if free) and the rest follows.
//!
//! While a basic one lies outside its range the method lessens the sum of violations instead of raising the objective
//! (composite phase 1; each line search runs over all kinks of that piecewise linear sum). Afterwards the ratio test is
//! that of Harris (1973, Mathematical Programming 5:1-28): among the places that block within the tolerance the one
//! with the largest pivot leaves. If the method makes no progress for long, Bland's rule (1977, Mathematics of
//! Operations Research 2:103-107), under which it cannot cycle, takes over until it does.
//! An ending counts only after values and reduced costs were checked against the original rows (if they drifted, the
//! table is made anew for the same basis), and infeasible only with a combination of the rows that proves it.

use super::linear::{Range, Settings, Side};

/// Coefficients that are handled together: rows of the table are padded to a multiple of it.
const LANES: usize = 4;

/// Times that a solve may make its table anew before it gives up. Once mends drift; our choice.
const RENEWALS: usize = 3;

type Lanes = [f64; LANES];

/// How the method ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ending {
    Optimal,
    Infeasible,
    Unbounded,
    Stalled,
}

/// A variable (index below n) or row value (n and above) with its range.
#[derive(Clone, Copy, Debug)]
struct Place {
    index: usize,
    low: f64,
    high: f64,
    value: f64,
}

/// A kink of the sum of violations along an edge.
#[derive(Clone, Copy, Debug)]
struct Kink {
    step: f64,
    /// By how much the rate of improvement falls: the pivot's magnitude.
    bend: f64,
    row: usize,
    end: f64,
}

/// What ends a step.
#[derive(Clone, Copy, Debug)]
enum Block {
    /// The entering one reaches its own other end.
    Itself,
    /// The basic one of a row reaches an end.
    Row { row: usize, end: f64 },
}

/// The state of the method.
#[derive(Clone, Debug)]
pub(super) struct Tableau {
    settings: Settings,
    variables: usize,
    /// Blocks of lanes in a row.
    blocks: usize,
    /// The original rows.
    matrix: Vec<Lanes>,
    /// The table, and the reduced costs as its last row.
    table: Vec<Lanes>,
    ranges: Vec<Range>,
    basic: Vec<Place>,
    nonbasic: Vec<Place>,
    /// The pivot row while a pivot is made; the gradient of the violations while phase 1 prices.
    scratch: Vec<Lanes>,
    kinks: Vec<Kink>,
    /// Values or duals by index, while an ending is checked.
    by_index: Vec<f64>,
    pivots: usize,
    /// Least pivot of phase 1: lowered when the usual one leaves a violation without proof.
    least_pivot: f64,
    /// The last ending was infeasible, and `scratch` holds the gradient of the violations.
    infeasible: bool,
}

impl Tableau {
    /// An empty program: all coefficients 0, all ranges free.
    pub(super) fn new(variables: usize, rows: usize, settings: &Settings) -> Self {
        let blocks = variables.div_ceil(LANES).max(1);
        Self {
            settings: *settings,
            blocks,
            matrix: vec![[0.0; LANES]; rows * blocks],
            table: Vec::with_capacity((rows + 1) * blocks),
            ranges: vec![Range::FREE; variables + rows],
            basic: Vec::with_capacity(rows),
            nonbasic: Vec::with_capacity(variables),
            scratch: vec![[0.0; LANES]; blocks],
            kinks: Vec::with_capacity(2 * rows + 1),
            by_index: vec![0.0; variables + rows],
            variables,
            pivots: 0,
            least_pivot: settings.pivot,
            infeasible: false,
        }
    }

    pub(super) fn set_coefficient(&mut self, row: usize, column: usize, value: f64) {
        self.matrix[row * self.blocks + column / LANES][column % LANES] = value;
    }

    pub(super) fn settings(&self) -> &Settings {
        &self.settings
    }

    pub(super) fn set_range(&mut self, index: usize, range: Range) {
        self.ranges[index] = range;
        let own = |place: &&mut Place| place.index == index;
        for place in self.basic.iter_mut().filter(own) {
            (place.low, place.high) = (range.low, range.high);
        }
        for place in self.nonbasic.iter_mut().filter(own) {
            (place.low, place.high) = (range.low, range.high);
            place.value = place.value.max(range.low).min(range.high);
        }
    }

    /// Back to the first basis: the row values basic, each variable at the end of its range that is nearer to 0.
    pub(super) fn reset(&mut self) {
        self.table.clear();
        self.table.extend_from_slice(&self.matrix);
        self.table
            .resize(self.matrix.len() + self.blocks, [0.0; LANES]);
        let place = |(index, range): (usize, &Range)| {
            let nearer = if range.low.abs() <= range.high.abs() {
                range.low
            } else {
                range.high
            };
            Place {
                index,
                low: range.low,
                high: range.high,
                value: if nearer.is_finite() { nearer } else { 0.0 },
            }
        };
        self.nonbasic.clear();
        self.nonbasic.extend(
            self.ranges
                .iter()
                .enumerate()
                .take(self.variables)
                .map(place),
        );
        self.basic.clear();
        self.basic.extend(
            self.ranges
                .iter()
                .enumerate()
                .skip(self.variables)
                .map(place),
        );
    }

    pub(super) fn pivots(&self) -> usize {
        self.pivots
    }

    /// Raises the objective (one coefficient per variable) as far as it goes.
    pub(super) fn maximise(&mut self, objective: &[f64]) -> Ending {
        if self.table.is_empty() {
            self.reset();
        }
        self.price(objective);
        self.settle();
        self.pivots = 0;
        self.infeasible = false;
        self.least_pivot = self.settings.pivot;
        let cap = self.settings.pivots_per_row * self.ranges.len();
        let (mut idle, mut renewals, mut confirmed) = (0, 0, None);
        loop {
            let violated = self.is_violated();
            let careful = idle > self.settings.patience;
            let entering = self.entering(violated, careful);
            let blocking = entering.and_then(|(column, up)| {
                if violated {
                    self.search(column, up, careful)
                } else {
                    self.ratio(column, up, careful)
                }
            });
            let (Some((column, up)), Some((step, block))) = (entering, blocking) else {
                if confirmed == Some(violated) {
                    self.infeasible = violated && entering.is_none();
                    return match (violated, entering) {
                        (false, None) => Ending::Optimal,
                        (false, Some(_)) => Ending::Unbounded,
                        (true, None) => Ending::Infeasible,
                        (true, Some(_)) => Ending::Stalled,
                    };
                }
                let sound = self.confirm(objective, violated);
                let proven = !violated || self.is_contradiction();
                if sound && proven {
                    confirmed = Some(violated);
                } else if renewals == RENEWALS {
                    return Ending::Stalled;
                } else {
                    renewals += 1;
                    if sound {
                        // What keeps the violation alive is a coefficient that was thought too small.
                        self.least_pivot = self.settings.rounding;
                    }
                    self.renew(objective);
                }
                continue;
            };
            if self.pivots == cap {
                return Ending::Stalled;
            }
            self.pivots += 1;
            confirmed = None;
            idle = if step > self.settings.rounding {
                0
            } else {
                idle + 1
            };
            self.advance(column, if up { step } else { -step });
            match block {
                Block::Itself => {
                    let place = &mut self.nonbasic[column];
                    place.value = if up { place.high } else { place.low };
                }
                Block::Row { row, end } => {
                    self.basic[row].value = end;
                    self.exchange(row, column);
                }
            }
        }
    }

    /// Passes index, value, dual and side of every variable and row value.
    pub(super) fn read(&self, mut take: impl FnMut(usize, f64, f64, Side)) {
        let duals = if self.infeasible {
            &self.scratch
        } else {
            self.reduced_costs()
        };
        for (place, &dual) in self.nonbasic.iter().zip(duals.as_flattened()) {
            let dual = if dual.abs() > self.settings.rounding {
                dual
            } else {
                0.0
            };
            let side = match (place.value == place.low, place.value == place.high) {
                (true, true) if dual < 0.0 => Side::Low,
                (_, true) => Side::High,
                (true, false) => Side::Low,
                (false, false) => Side::Between,
            };
            take(place.index, place.value, dual, side);
        }
        for place in &self.basic {
            let (dual, side) = match self.violation(place) {
                below if self.infeasible && below > 0.0 => (-1.0, Side::Low),
                above if self.infeasible && above < 0.0 => (1.0, Side::High),
                _ => (0.0, Side::Between),
            };
            take(place.index, place.value, dual, side);
        }
    }

    fn row(&self, row: usize) -> &[Lanes] {
        &self.table[row * self.blocks..][..self.blocks]
    }

    fn coefficient(&self, row: usize, column: usize) -> f64 {
        self.table[row * self.blocks + column / LANES][column % LANES]
    }

    fn reduced_costs(&self) -> &[Lanes] {
        &self.table[self.matrix.len()..]
    }

    /// 1 below the range, −1 above it, 0 inside the tolerance: the direction that mends it.
    fn violation(&self, place: &Place) -> f64 {
        if place.value < place.low - self.settings.feasibility {
            1.0
        } else if place.value > place.high + self.settings.feasibility {
            -1.0
        } else {
            0.0
        }
    }

    fn is_violated(&self) -> bool {
        self.basic.iter().any(|place| self.violation(place) != 0.0)
    }

    /// The column that promises most per unit (or, when careful, the first that promises anything), and whether it
    /// goes up.
    fn entering(&mut self, violated: bool, careful: bool) -> Option<(usize, bool)> {
        let mut least = self.settings.optimality;
        if violated {
            self.fill_gradient();
            // Rows whose coefficient is too small to pivot on must not attract a column.
            least = self.least_pivot * self.basic.len() as f64;
        }
        let costs = if violated {
            &self.scratch
        } else {
            self.reduced_costs()
        };
        let mut best: Option<(usize, bool)> = None;
        let (mut gain, mut first) = (least, usize::MAX);
        for (column, (place, &cost)) in self.nonbasic.iter().zip(costs.as_flattened()).enumerate() {
            let size = cost.abs();
            let better = if careful {
                size > least && place.index < first
            } else {
                size > gain
            };
            if !better {
                continue;
            }
            let open = if cost > 0.0 {
                place.value < place.high
            } else {
                place.value > place.low
            };
            if open {
                (gain, first) = (size, place.index);
                best = Some((column, cost > 0.0));
            }
        }
        best
    }

    /// Gradient of the negative sum of violations, into the scratch row.
    fn fill_gradient(&mut self) {
        let mut gradient = std::mem::take(&mut self.scratch);
        gradient.fill([0.0; LANES]);
        for (row, place) in self.basic.iter().enumerate() {
            let violation = self.violation(place);
            if violation != 0.0 {
                add_scaled(&mut gradient, violation, self.row(row));
            }
        }
        self.scratch = gradient;
    }

    /// How far a feasible point may go along a column, and what blocks it; None when nothing does.
    fn ratio(&mut self, column: usize, up: bool, careful: bool) -> Option<(f64, Block)> {
        let Settings {
            feasibility,
            pivot,
            rounding,
            ..
        } = self.settings;
        let mut kinks = std::mem::take(&mut self.kinks);
        kinks.clear();
        let mut reach = f64::INFINITY;
        for (row, place) in self.basic.iter().enumerate() {
            let coefficient = self.coefficient(row, column);
            let rises = (coefficient > 0.0) == up;
            let (end, room) = if rises {
                (place.high, place.high - place.value)
            } else {
                (place.low, place.value - place.low)
            };
            let bend = coefficient.abs();
            if bend > pivot && room < f64::INFINITY {
                let slack = if careful { 0.0 } else { feasibility };
                reach = reach.min((room.max(0.0) + slack) / bend);
                kinks.push(Kink {
                    step: room.max(0.0) / bend,
                    bend,
                    row,
                    end,
                });
            }
        }
        if careful {
            reach += rounding;
        }
        let mut chosen: Option<&Kink> = None;
        for kink in kinks.iter().filter(|kink| kink.step <= reach) {
            let better = |best: &Kink| {
                if careful {
                    self.basic[kink.row].index < self.basic[best.row].index
                } else {
                    kink.bend > best.bend
                }
            };
            if chosen.is_none_or(better) {
                chosen = Some(kink);
            }
        }
        let blocking = self.block(column, up, chosen);
        self.kinks = kinks;
        blocking
    }

    /// How far to go along a column so that the sum of violations is least, and what blocks there.
    fn search(&mut self, column: usize, up: bool, careful: bool) -> Option<(f64, Block)> {
        let mut kinks = std::mem::take(&mut self.kinks);
        kinks.clear();
        for (row, place) in self.basic.iter().enumerate() {
            let coefficient = self.coefficient(row, column);
            let bend = coefficient.abs();
            if bend <= self.least_pivot {
                continue;
            }
            // In the direction of movement: the end that is met first when coming from outside, then the other.
            let rises = (coefficient > 0.0) == up;
            let (near, far) = if rises {
                (place.low, place.high)
            } else {
                (place.high, place.low)
            };
            let ahead = |end: f64| {
                if rises {
                    end - place.value
                } else {
                    place.value - end
                }
            };
            let violation = self.violation(place);
            let mends = violation != 0.0 && (violation > 0.0) == rises;
            if mends {
                kinks.push(Kink {
                    step: ahead(near) / bend,
                    bend,
                    row,
                    end: near,
                });
            }
            if (mends || violation == 0.0) && far.is_finite() {
                kinks.push(Kink {
                    step: ahead(far).max(0.0) / bend,
                    bend,
                    row,
                    end: far,
                });
            }
        }
        let mut rate = self.scratch.as_flattened()[column].abs();
        let mut chosen: Option<Kink> = None;
        while rate > 0.0 && !kinks.is_empty() && !(careful && chosen.is_some()) {
            let key = |place: usize| (kinks[place].step, self.basic[kinks[place].row].index);
            let mut next = 0;
            for place in 1..kinks.len() {
                let ((step, index), (least, lowest)) = (key(place), key(next));
                if step < least || (careful && step == least && index < lowest) {
                    next = place;
                }
            }
            let kink = kinks.swap_remove(next);
            rate -= kink.bend;
            // Among kinks at the same point the largest pivot is the safest.
            let level = chosen.is_some_and(|best| kink.step - best.step <= self.settings.rounding);
            if !level || chosen.is_none_or(|best| kink.bend > best.bend) {
                chosen = Some(kink);
            }
        }
        self.kinks = kinks;
        self.block(column, up, chosen.as_ref())
    }

    /// A column goes to the chosen kink, unless its own other end comes first.
    fn block(&self, column: usize, up: bool, chosen: Option<&Kink>) -> Option<(f64, Block)> {
        let place = &self.nonbasic[column];
        let width = if up {
            place.high - place.value
        } else {
            place.value - place.low
        };
        match chosen {
            Some(kink) if kink.step < width => Some((
                kink.step,
                Block::Row {
                    row: kink.row,
                    end: kink.end,
                },
            )),
            _ if width < f64::INFINITY => Some((width, Block::Itself)),
            _ => None,
        }
    }

    fn advance(&mut self, column: usize, step: f64) {
        self.nonbasic[column].value += step;
        let coefficients = self.table.iter().skip(column / LANES).step_by(self.blocks);
        for (place, lanes) in self.basic.iter_mut().zip(coefficients) {
            place.value += step * lanes[column % LANES];
        }
    }

    /// Exchanges a basic and a nonbasic one, and rewrites the table.
    fn exchange(&mut self, row: usize, column: usize) {
        let (block, lane) = (column / LANES, column % LANES);
        let pivot = 1.0 / self.coefficient(row, column);
        let own = &self.table[row * self.blocks..][..self.blocks];
        for (to, from) in self.scratch.iter_mut().zip(own) {
            *to = from.map(|v| -pivot * v);
        }
        self.scratch[block][lane] = pivot;
        for other in self.table.chunks_exact_mut(self.blocks) {
            let factor = std::mem::replace(&mut other[block][lane], 0.0);
            if factor != 0.0 {
                add_scaled(other, factor, &self.scratch);
            }
        }
        self.table[row * self.blocks..][..self.blocks].copy_from_slice(&self.scratch);
        std::mem::swap(&mut self.basic[row], &mut self.nonbasic[column]);
    }

    /// Fills the row of reduced costs for the present basis.
    fn price(&mut self, objective: &[f64]) {
        let (table, costs) = self.table.split_at_mut(self.matrix.len());
        costs.fill([0.0; LANES]);
        for (place, cost) in self.nonbasic.iter().zip(costs.as_flattened_mut()) {
            *cost = objective.get(place.index).copied().unwrap_or(0.0);
        }
        for (place, row) in self.basic.iter().zip(table.chunks_exact(self.blocks)) {
            match objective.get(place.index) {
                Some(&cost) if cost != 0.0 => add_scaled(costs, cost, row),
                _ => {}
            }
        }
    }

    /// Values of the basic ones from those of the others.
    fn settle(&mut self) {
        for (place, row) in self
            .basic
            .iter_mut()
            .zip(self.table.chunks_exact(self.blocks))
        {
            place.value = row
                .as_flattened()
                .iter()
                .zip(&self.nonbasic)
                .map(|(a, other)| a * other.value)
                .sum();
        }
    }

    /// Settles the values and checks them and the duals against the original rows.
    fn confirm(&mut self, objective: &[f64], violated: bool) -> bool {
        self.settle();
        let mut by_index = std::mem::take(&mut self.by_index);
        self.basic
            .iter()
            .chain(&self.nonbasic)
            .for_each(|place| by_index[place.index] = place.value);
        let (x, rows) = by_index.split_at(self.variables);
        let allowed = self.settings.feasibility * (1.0 + largest(x));
        let mut sound = self
            .matrix
            .chunks_exact(self.blocks)
            .zip(rows)
            .all(|(row, value)| {
                let sum: f64 = row.as_flattened().iter().zip(x).map(|(a, x)| a * x).sum();
                (sum - value).abs() <= allowed
            });
        // Aᵀy + z = c, where c = 0 in a proof of infeasibility.
        self.infeasible = violated;
        self.read(|index, _, dual, _| by_index[index] = dual);
        self.infeasible = false;
        let (z, y) = by_index.split_at(self.variables);
        let allowed = self.settings.optimality * (1.0 + largest(y));
        let mut residual = std::mem::take(&mut self.scratch);
        residual.fill([0.0; LANES]);
        for (dual, row) in y.iter().zip(self.matrix.chunks_exact(self.blocks)) {
            if *dual != 0.0 {
                add_scaled(&mut residual, *dual, row);
            }
        }
        for ((sum, z), c) in residual.as_flattened().iter().zip(z).zip(objective) {
            sound &= (sum + z - if violated { 0.0 } else { *c }).abs() <= allowed;
        }
        self.scratch = residual;
        self.by_index = by_index;
        sound
    }

    /// Whether the duals that the last check left behind bound their own sum, which is 0 for every x, below 0.
    fn is_contradiction(&self) -> bool {
        let (mut greatest, mut size) = (0.0, 0.0);
        for (dual, range) in self.by_index.iter().zip(&self.ranges) {
            if *dual != 0.0 {
                let term = dual * if *dual > 0.0 { range.high } else { range.low };
                greatest += term;
                size += term.abs();
            }
        }
        greatest < -self.settings.rounding * size
    }

    /// Makes the table of the present basis anew from the original rows.
    fn renew(&mut self, objective: &[f64]) {
        let mut wanted = vec![false; self.ranges.len()];
        let mut values = vec![0.0; self.ranges.len()];
        self.basic
            .iter()
            .for_each(|place| wanted[place.index] = true);
        self.basic
            .iter()
            .chain(&self.nonbasic)
            .for_each(|place| values[place.index] = place.value);
        self.reset();
        loop {
            let mut best = (self.settings.pivot, 0, 0);
            for row in (0..self.basic.len()).filter(|&row| !wanted[self.basic[row].index]) {
                for column in
                    (0..self.nonbasic.len()).filter(|&column| wanted[self.nonbasic[column].index])
                {
                    let size = self.coefficient(row, column).abs();
                    if size > best.0 {
                        best = (size, row, column);
                    }
                }
            }
            if best.0 <= self.settings.pivot {
                break;
            }
            self.exchange(best.1, best.2);
        }
        // What could not become basic stays where it was, inside its range.
        for place in &mut self.nonbasic {
            place.value = values[place.index].max(place.low).min(place.high);
        }
        self.price(objective);
        self.settle();
    }
}

fn add_scaled(to: &mut [Lanes], factor: f64, from: &[Lanes]) {
    for (to, from) in to.iter_mut().zip(from) {
        for lane in 0..LANES {
            to[lane] += factor * from[lane];
        }
    }
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |size: f64, v| size.max(v.abs()))
}
