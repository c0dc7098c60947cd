//! The typical sled: what a dimension is taken to be where nobody measured it, and which values are believable.
//!
//! No published survey of such sleds was found. Every row is common practice, no source; it is there to start from and
//! to question a typed value, never to be believed over a tape.

/// One dimension of a sled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dimension {
    /// Name of the field, with its unit.
    pub field: &'static str,
    /// What is taken where it is not measured.
    pub typical: f64,
    /// Common range; a value outside it is questioned.
    pub usual: (f64, f64),
    /// Allowed range; a value outside it is refused, being most likely in another unit.
    pub allowed: (f64, f64),
}

/// Source of every figure in this table.
pub const SOURCE: &str = "common practice, no source";

/// A row of the table.
const fn row(
    field: &'static str,
    typical: f64,
    usual: (f64, f64),
    allowed: (f64, f64),
) -> Dimension {
    Dimension {
        field,
        typical,
        usual,
        allowed,
    }
}

/// Declares the rows as constants and lists them.
macro_rules! table {
    ($($(#[$doc:meta])* $name:ident = $row:expr;)*) => {
        $($(#[$doc])* pub const $name: Dimension = $row;)*
        /// Every row.
        pub const TABLE: &[Dimension] = &[$($name),*];
    };
}

table! {
    /// Board pitch.
    PITCH = row("pitch_deg", 0.0, (-5.0, 8.0), (-15.0, 15.0));
    /// Mid-plane to the boot's centre line.
    FOOT_LATERAL = row("foot_lateral_mm", 250.0, (200.0, 320.0), (100.0, 500.0));
    /// Height of the board's outer edge.
    EDGE_HEIGHT = row("edge_height_mm", 15.0, (0.0, 40.0), (0.0, 150.0));
    /// Front end of the footwell.
    FOOTWELL_FRONT = row("footwell_front_mm", 190.0, (110.0, 350.0), (0.0, 800.0));
    /// Rear end of the board.
    BOARD_REAR = row("rear_mm", -1000.0, (-1400.0, -600.0), (-2500.0, -200.0));
    /// A bolt position behind the foremost.
    STIRRUP_POSITION = row("positions_mm", 0.0, (-250.0, 0.0), (-600.0, 0.0));
    /// Length of a stirrup's slot.
    SLOT = row("slot_mm", 160.0, (20.0, 250.0), (1.0, 600.0));
    /// Bolt to toe stop.
    TOE_STOP_OFFSET = row("toe_stop_offset_mm", 95.0, (40.0, 140.0), (-200.0, 300.0));
    /// Right stirrup ahead of the left.
    RIGHT_OFFSET = row("right_offset_mm", 0.0, (-20.0, 20.0), (-200.0, 200.0));
    /// Clear height of the hoop.
    HOOP_HEIGHT = row("hoop_height_mm", 110.0, (80.0, 130.0), (40.0, 300.0));
    /// Clear width of the hoop.
    HOOP_WIDTH = row("hoop_width_mm", 140.0, (115.0, 180.0), (60.0, 400.0));
    /// End of an edge protector.
    EDGE_PROTECTOR = row("edge_protector_mm", 0.0, (-500.0, 250.0), (-1500.0, 800.0));
    /// Riser base point, fore-aft.
    BASE_X = row("base_x_mm", 300.0, (150.0, 400.0), (-300.0, 900.0));
    /// Riser base point, height.
    BASE_Z = row("base_z_mm", 695.0, (650.0, 830.0), (300.0, 1200.0));
    /// Steering post rake.
    POST_RAKE = row("post_rake_deg", 25.0, (5.0, 35.0), (-10.0, 60.0));
    /// Steering lock.
    LOCK = row("lock_deg", 35.0, (30.0, 40.0), (5.0, 70.0));
    /// What hoses and cables allow.
    HOSE_LIMIT = row("hose_limit_mm", 280.0, (150.0, 400.0), (20.0, 800.0));
    /// What hoses, cables and loom allow the grips to travel over full lock.
    GRIP_TRAVEL_LIMIT = row("grip_travel_limit_mm", 600.0, (350.0, 800.0), (50.0, 1500.0));
    /// Riser height.
    RISER_HEIGHT = row("height_mm", 150.0, (50.0, 200.0), (10.0, 400.0));
    /// Least riser angle.
    RISER_ANGLE_LOW = row("angle_low_deg", -5.0, (-15.0, 30.0), (-45.0, 60.0));
    /// Greatest riser angle.
    RISER_ANGLE_HIGH = row("angle_high_deg", 35.0, (0.0, 45.0), (-45.0, 60.0));
    /// Between two teeth of a riser.
    RISER_ANGLE_STEP = row("angle_step_deg", 5.0, (1.0, 10.0), (0.1, 45.0));
    /// Clamp's seat to the bar's centre.
    CLAMP_STACK = row("stack_mm", 28.0, (15.0, 60.0), (0.0, 150.0));
    /// Distance between the grip centres.
    GRIP_TO_GRIP = row("grip_to_grip_mm", 610.0, (550.0, 670.0), (300.0, 1000.0));
    /// Rise of a bar.
    BAR_RISE = row("rise_mm", 30.0, (0.0, 80.0), (-100.0, 250.0));
    /// Pullback of a bar.
    BAR_PULLBACK = row("pullback_mm", 45.0, (20.0, 60.0), (-50.0, 250.0));
    /// Sweep of a bar.
    BAR_SWEEP = row("sweep_deg", 9.0, (5.0, 15.0), (-20.0, 60.0));
    /// Upsweep of a bar.
    BAR_UPSWEEP = row("upsweep_deg", 5.0, (3.0, 8.0), (-20.0, 30.0));
    /// Diameter of a grip.
    GRIP_DIAMETER = row("grip_diameter_mm", 32.0, (28.0, 35.0), (15.0, 60.0));
    /// Length of a grip.
    GRIP_LENGTH = row("grip_length_mm", 125.0, (110.0, 140.0), (60.0, 250.0));
    /// Least bar roll.
    BAR_ROLL_LOW = row("bar_roll_low_deg", -12.0, (-20.0, 0.0), (-60.0, 60.0));
    /// Greatest bar roll.
    BAR_ROLL_HIGH = row("bar_roll_high_deg", 12.0, (0.0, 20.0), (-60.0, 60.0));
    /// Seat's top over the board.
    SEAT_HEIGHT = row("height_mm", 420.0, (350.0, 480.0), (150.0, 900.0));
    /// Fore-aft position of a point of the seat line or the outline.
    LINE_X = row("x_mm", 0.0, (-1300.0, 800.0), (-2500.0, 2000.0));
    /// Height of a point of the seat line or the outline.
    LINE_Z = row("z_mm", 0.0, (300.0, 1100.0), (0.0, 1800.0));
    /// Half-width of a point of the seat line or the outline.
    HALF_WIDTH = row("half_width_mm", 120.0, (50.0, 350.0), (0.0, 700.0));
    /// How far a seat stands over the seat line.
    SEAT_RAISE = row("height_over_line_mm", 0.0, (-60.0, 100.0), (-200.0, 300.0));
    /// Foam thickness.
    FOAM_THICKNESS = row("thickness_mm", 100.0, (60.0, 150.0), (10.0, 300.0));
    /// Force at 25 % indentation on the standard disk.
    FOAM_F25 = row("f25_n", 250.0, (90.0, 500.0), (20.0, 3000.0));
    /// Force at 65 % over force at 25 %.
    FOAM_SUPPORT = row("support", 2.2, (1.5, 2.8), (1.05, 6.0));
    /// Known weight on a seat.
    KNOWN_WEIGHT = row("known_weight_kg", 55.0, (30.0, 120.0), (5.0, 300.0));
    /// Sink under the known weight.
    KNOWN_SINK = row("known_sink_mm", 37.0, (5.0, 120.0), (0.5, 280.0));
    /// Least distance of a lever's clamp from the grip's inner end.
    LEVER_ALONG_LOW = row("along_low_mm", 0.0, (-5.0, 30.0), (-20.0, 200.0));
    /// Greatest distance of a lever's clamp from the grip's inner end.
    LEVER_ALONG_HIGH = row("along_high_mm", 80.0, (10.0, 90.0), (-20.0, 300.0));
    /// Least brake lever roll.
    BRAKE_ROLL_LOW = row("roll_low_deg", -10.0, (-20.0, 40.0), (-90.0, 120.0));
    /// Greatest brake lever roll.
    BRAKE_ROLL_HIGH = row("roll_high_deg", 65.0, (20.0, 80.0), (-90.0, 120.0));
    /// Least brake lever reach.
    BRAKE_REACH_LOW = row("reach_low_mm", 42.0, (35.0, 60.0), (10.0, 150.0));
    /// Greatest brake lever reach.
    BRAKE_REACH_HIGH = row("reach_high_mm", 70.0, (50.0, 85.0), (10.0, 150.0));
    /// Travel until the brake bites.
    BRAKE_FREE_TRAVEL = row("free_travel_mm", 10.0, (4.0, 20.0), (0.0, 100.0));
    /// Longest travel of the brake.
    BRAKE_LONGEST_TRAVEL = row("longest_travel_mm", 28.0, (15.0, 40.0), (1.0, 120.0));
    /// Blade length of the brake.
    BRAKE_BLADE = row("blade_mm", 95.0, (70.0, 180.0), (20.0, 300.0));
    /// Least throttle lever roll.
    THROTTLE_ROLL_LOW = row("roll_low_deg", 80.0, (45.0, 130.0), (-90.0, 180.0));
    /// Greatest throttle lever roll.
    THROTTLE_ROLL_HIGH = row("roll_high_deg", 160.0, (90.0, 180.0), (-90.0, 180.0));
    /// Least throttle paddle reach.
    THROTTLE_REACH_LOW = row("reach_low_mm", 28.0, (15.0, 45.0), (5.0, 120.0));
    /// Greatest throttle paddle reach.
    THROTTLE_REACH_HIGH = row("reach_high_mm", 45.0, (25.0, 60.0), (5.0, 120.0));
    /// Travel of the throttle paddle.
    THROTTLE_TRAVEL = row("travel_mm", 22.0, (12.0, 35.0), (1.0, 80.0));
    /// Steps of a reach adjuster.
    REACH_STEPS = row("reach_steps", 10.0, (1.0, 30.0), (1.0, 200.0));
    /// Grip's inner end to a button.
    BUTTON_INWARD = row("inward_mm", 15.0, (0.0, 60.0), (-60.0, 250.0));
    /// Direction of a button.
    BUTTON_ROLL = row("roll_deg", -30.0, (-120.0, 90.0), (-180.0, 180.0));
    /// Height of a button over the bar's axis.
    BUTTON_STAND_OFF = row("stand_off_mm", 25.0, (10.0, 45.0), (0.0, 120.0));
    /// Clear depth of a hand guard.
    GUARD_DEPTH = row("clear_depth_mm", 110.0, (80.0, 180.0), (10.0, 400.0));
    /// Balance mark.
    BALANCE_X = row("x_mm", -115.0, (-250.0, 20.0), (-1200.0, 800.0));
    /// Standard deviation of the balance mark.
    BALANCE_SD = row("sd_mm", 50.0, (10.0, 100.0), (1.0, 500.0));
    /// Tolerance of a measured length.
    TOLERANCE_MM = row("tolerance_mm", 2.0, (0.5, 10.0), (0.05, 100.0));
    /// Tolerance of a measured angle.
    TOLERANCE_DEG = row("tolerance_deg", 0.5, (0.1, 2.0), (0.01, 20.0));
}

/// Riser heights of the typical stock, mm.
pub const RISER_HEIGHTS: [f64; 5] = [100.0, 125.0, 150.0, 175.0, 200.0];

/// Foams of the typical stock: name, height over the seat line in mm, force at 25 % in N, support, thickness in mm.
/// Forces and supports are our choice inside the usual range of cushion foams.
pub const SEATS: [(&str, f64, f64, f64, f64); 3] = [
    ("soft", 0.0, 150.0, 2.0, 100.0),
    ("standard", 0.0, 250.0, 2.2, 100.0),
    ("firm", 0.0, 400.0, 2.4, 100.0),
];

/// Outline of the typical cockpit: name, x less the base point's x, z over the seat or under the base point, half-width.
/// The first two heights count up from the seat's top, the others from the riser base point. mm.
pub const OUTLINE: [(&str, f64, f64, f64); 6] = [
    ("console rear", -455.0, 5.0, 85.0),
    ("console top", -310.0, 35.0, 80.0),
    ("dash rear", -180.0, -160.0, 85.0),
    ("post cover", -60.0, -60.0, 105.0),
    ("cowl", 90.0, 10.0, 190.0),
    ("screen top", 210.0, 140.0, 210.0),
];

/// Seat line of the typical sled: x less the base point's x, z over the seat's height, half-width. mm.
pub const SEAT_LINE: [(f64, f64, f64); 4] = [
    (-1150.0, 25.0, 150.0),
    (-900.0, 8.0, 150.0),
    (-680.0, 0.0, 140.0),
    (-460.0, 5.0, 115.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typical_values_lie_in_their_usual_and_allowed_ranges() {
        for row in TABLE {
            let (low, high) = row.allowed;
            assert!(low < high, "{row:?}");
            assert!(
                row.usual.0 >= low && row.usual.1 <= high && row.usual.0 < row.usual.1,
                "{row:?}"
            );
            // A line's points have no typical place of their own.
            if !row.field.starts_with(['x', 'z']) {
                assert!(
                    (row.usual.0..=row.usual.1).contains(&row.typical),
                    "{row:?}"
                );
            }
        }
    }
}
