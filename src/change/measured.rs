//! Every figure of a set-up, and those of the same set-up under a rider who differs little.

use super::figures::{Depth, Figure};
use super::tried::Tried;
use crate::fit::{Levers, Request, SetUp};

/// A set-up with all its figures.
pub struct Measured(Tried);

impl Measured {
    /// The figures of a set-up, its postures solved anew from those that it came with.
    pub fn of(request: &Request, set_up: &SetUp) -> Self {
        Self(Tried::standing(request, set_up, Depth::Compared))
    }

    /// The same settings, with the levers where they are, for a rider or a friction that differs little: postures start
    /// from these.
    #[must_use]
    pub fn again(&self, request: &Request, levers: &Levers) -> Self {
        Self(self.0.again(request, levers, Depth::Compared))
    }

    /// Every figure, in an order that depends on the stances alone.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        self.0.figures()
    }
}
