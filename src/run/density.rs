//! Where a run's time went in a plane of specific force: seconds in cells of equal size.

/// Width of a cell, g; our choice: twice what a good accelerometer of this kind may be off.
pub const CELL: f64 = 0.1;

/// Cells either way of the middle one; our choice.
const HALF: i32 = 40;

/// How far the map reaches either way of its centre, g.
pub const REACH: f64 = HALF as f64 * CELL;

/// Cells on a side.
const SIDE: usize = 2 * HALF as usize + 1;

/// Seconds by cell. Cells are centred on multiples of [`CELL`]; what lies beyond the map is summed apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Density {
    /// Centre of the map, g.
    centre: [f64; 2],
    seconds: Vec<f64>,
    /// Time beyond the map, s.
    pub beyond: f64,
}

/// One cell with time in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Its centre, g.
    pub at: [f64; 2],
    /// Time in it, s.
    pub seconds: f64,
}

impl Density {
    /// An empty map that reaches [`REACH`] either way of a centre.
    pub fn new(centre: [f64; 2]) -> Self {
        Self {
            centre,
            seconds: vec![0.0; SIDE * SIDE],
            beyond: 0.0,
        }
    }

    /// Add time at a place.
    pub fn add(&mut self, f: [f64; 2], seconds: f64) {
        let place = |axis: usize| {
            let cells = libm::round((f[axis] - self.centre[axis]) / CELL);
            (cells.abs() <= f64::from(HALF)).then_some((cells + f64::from(HALF)) as usize)
        };
        match (place(0), place(1)) {
            (Some(u), Some(v)) => self.seconds[v * SIDE + u] += seconds,
            _ => self.beyond += seconds,
        }
    }

    /// Cells with time in them, row by row upward.
    pub fn cells(&self) -> impl Iterator<Item = Cell> {
        let at = |i: usize, axis: usize| (i as f64 - f64::from(HALF)) * CELL + self.centre[axis];
        self.seconds
            .iter()
            .enumerate()
            .filter(|(_, seconds)| **seconds > 0.0)
            .map(move |(i, seconds)| Cell {
                at: [at(i % SIDE, 0), at(i / SIDE, 1)],
                seconds: *seconds,
            })
    }

    /// All time, beyond the map too, s.
    pub fn total(&self) -> f64 {
        self.seconds.iter().sum::<f64>() + self.beyond
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_lands_in_the_cell_around_it_and_none_is_lost() {
        let mut map = Density::new([0.0, 2.0]);
        map.add([0.04, 1.0], 1.5);
        map.add([-0.04, 1.04], 0.5);
        map.add([4.04, 6.04], 0.25);
        map.add([4.06, 1.0], 2.0);
        map.add([f64::NAN, 1.0], 4.0);
        let cells: Vec<Cell> = map.cells().collect();
        assert_eq!(cells.len(), 2);
        assert!((cells[0].at[0]).abs() < 1e-12 && (cells[0].at[1] - 1.0).abs() < 1e-12);
        assert_eq!(cells[0].seconds, 2.0);
        assert!((cells[1].at[0] - 4.0).abs() < 1e-12 && (cells[1].at[1] - 6.0).abs() < 1e-12);
        assert_eq!(map.beyond, 6.0);
        assert_eq!(map.total(), 8.25);
    }
}
