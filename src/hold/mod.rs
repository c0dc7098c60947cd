//! Hold: what a stance can resist, what it costs to stand there, and how far the legs can give.

mod outcome;

pub use outcome::{
    Contact, Edge, Effort, Held, Hold, JointMoment, LoadHold, NotHeld, SteeringHold, Travel,
    Working,
};
