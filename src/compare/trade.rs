//! What is traded for what: where an option is better off than the first, and where worse.

use super::table::{Group, Mark, Row, Table};
use crate::change::Kind;
use crate::order;

/// A figure in which an option is better or worse off, in one stance or several.
#[derive(Clone, Debug, PartialEq)]
pub struct Shift {
    /// Which.
    pub kind: Kind,
    /// In which stances, where it is one of them.
    pub stances: Vec<String>,
    /// By how much at the most, in differences that a rider can just notice.
    pub notices: f64,
}

/// What an option gives and takes against the first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trade {
    /// Where it is better off, the most noticeable first.
    pub gains: Vec<Shift>,
    /// Where it is worse off, the most noticeable first.
    pub losses: Vec<Shift>,
}

impl Table {
    /// What the option of a place, counted from the second at 0, gives and takes: of differences that are clear, and of
    /// these what a rider notices, since more of a figure may stop helping.
    pub fn trade(&self, place: usize) -> Trade {
        let mut trade = Trade::default();
        for row in &self.rows {
            let Some(Some(difference)) = row.differences.get(place) else {
                continue;
            };
            if difference.mark != Some(Mark::Clear) {
                continue;
            }
            if difference.burden <= -1.0 {
                add(&mut trade.gains, row, -difference.burden);
            } else if difference.burden >= 1.0 {
                add(&mut trade.losses, row, difference.burden);
            }
        }
        for shifts in [&mut trade.gains, &mut trade.losses] {
            order::sort(shifts, |a, b| b.notices.total_cmp(&a.notices));
        }
        trade
    }
}

fn add(to: &mut Vec<Shift>, row: &Row, notices: f64) {
    // The objective sums up what the others say one by one.
    let Some(kind) = row.kind.filter(|kind| *kind != Kind::Objective) else {
        return;
    };
    let stance = match &row.group {
        Group::Stance(name) => Some(name.clone()),
        _ => None,
    };
    match to.iter_mut().find(|shift| shift.kind == kind) {
        Some(shift) => {
            shift.stances.extend(stance);
            shift.notices = shift.notices.max(notices);
        }
        None => to.push(Shift {
            kind,
            stances: stance.into_iter().collect(),
            notices,
        }),
    }
}
