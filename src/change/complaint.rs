//! What riders complain of, in their own words, and the computed figures that it speaks about.
//!
//! One table, [`COMPLAINTS`], with the status of each row: a published source for the link between figure and complaint,
//! or common practice. Which figure a complaint speaks about and how much is common practice throughout, no source,
//! unless the status says otherwise; weights are our choice. What the model cannot answer is said in `outside`.

use super::figures::Kind;
use crate::order;

/// In which stances a figure counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// In every stance, or in the whole set-up.
    All,
    /// In every standing stance.
    Standing,
    /// In every seated stance.
    Seated,
    /// In the standing stance with the hips furthest back.
    Rearmost,
}

/// A figure that a complaint speaks about. Which way is better stands in the table of figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Want {
    /// Which figure.
    pub kind: Kind,
    /// Where; the mean of several stances counts.
    pub place: Where,
    /// How much of the complaint it is; the first one of a complaint leads.
    pub weight: f64,
}

/// A part that is usual for a complaint, whether it is in stock or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usual {
    /// A clamp with elastic inserts, its height taken up by the riser.
    DampingClamp,
    /// A seat that stands higher.
    TallSeat,
    /// A firmer seat of the same height.
    FirmSeat,
    /// A riser taller or shorter than any in stock that comes next.
    Riser,
}

/// A complaint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complaint {
    /// Its name for files and the command line.
    pub id: &'static str,
    /// What the rider says.
    pub words: &'static str,
    /// What others say for it.
    pub also: &'static [&'static str],
    /// Figures it speaks about; empty where it is none of the model's business.
    pub wants: &'static [Want],
    /// Where the link comes from: a published source, or "common practice, no source".
    pub status: &'static str,
    /// What lies outside the cockpit, in words; empty where nothing does.
    pub outside: &'static str,
    /// What to look at before anything is changed.
    pub inspect: &'static [&'static str],
    /// Parts that are usual for it.
    pub usual: &'static [Usual],
}

impl Complaint {
    /// The complaint of an id.
    pub fn find(id: &str) -> Option<&'static Self> {
        COMPLAINTS.iter().find(|c| c.id == id)
    }

    /// Ids nearest to what was typed, best first: by words in common, then by letters to change.
    pub fn nearest(typed: &str) -> Vec<&'static str> {
        let typed = typed.to_lowercase().replace([' ', '-'], "_");
        let shared = |c: &Self| {
            let said = format!("{} {} {}", c.id, c.words, c.also.join(" ")).to_lowercase();
            let words = typed.split('_').filter(|w| w.len() > 2);
            words.filter(|w| said.contains(w)).count()
        };
        let mut all: Vec<(usize, usize, &str)> = COMPLAINTS
            .iter()
            .map(|c| (usize::MAX - shared(c), edits(&typed, c.id), c.id))
            .collect();
        order::sort(&mut all, Ord::cmp);
        all.into_iter().take(3).map(|(_, _, id)| id).collect()
    }
}

/// Letters to add, drop or change between two words (Levenshtein 1966).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut before = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let changed = before + usize::from(x != *y);
            before = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(before + 1);
        }
    }
    row[b.len()]
}

/// Which complaints a "no" at each try-on check is, in the order of [`crate::fit::checks::try_on`]; empty where no setting
/// answers it. Our choice.
pub const TRY_ON_NO: [&[&str]; 10] = [
    &["back_tired"],
    &["knees_hit", "chest_hits"],
    &["cannot_get_back"],
    &["lever_at_lock"],
    &["knees_hit"],
    &["slow_to_stand"],
    &["wrist_brake"],
    &["thumb_tired"],
    &[],
    &[],
];

const fn want(kind: Kind, place: Where, weight: f64) -> Want {
    Want {
        kind,
        place,
        weight,
    }
}

const PRACTICE: &str = "common practice, no source";

use Where::{All, Rearmost, Seated, Standing};

/// Every complaint.
pub const COMPLAINTS: &[Complaint] = &[
    Complaint {
        id: "numb_hands",
        words: "My hands go numb",
        also: &["pins and needles", "fingers tingle", "hands fall asleep"],
        wants: &[
            want(Kind::HandLoad, All, 1.0),
            want(Kind::Wrist, All, 0.5),
            want(Kind::Ulnar, All, 0.5),
        ],
        status: "published: numb hands in 48 % of snowmobile herders, from vibration (Anttonen et al. 1994); pressure in \
                 the carpal tunnel rises with the wrist's angle (Keir et al. 2007, Hum Factors); that load on the hand \
                 adds to it is common practice, no source",
        outside: "Vibration, cold and tight gloves make hands numb too. Numbness that stays, or white fingers: see a \
                  licensed clinician.",
        inspect: &[
            "Damping clamp, if fitted: inserts hard, cracked or oily? Renew them before anything else.",
            "Gloves: loose at wrist and fingers, dry? Grips: worn, too thick or too thin?",
        ],
        usual: &[Usual::DampingClamp],
    },
    Complaint {
        id: "arm_pump",
        words: "My forearms pump up",
        also: &["arm pump", "forearms burn", "cannot hold on any more"],
        wants: &[
            want(Kind::HandLoad, Standing, 1.0),
            want(Kind::ElbowEffort, Standing, 0.5),
            want(Kind::FingerStrain, All, 0.5),
            want(Kind::Wrist, All, 0.5),
        ],
        status: "published: grip is weaker off the wrist's best angle (O'Driscoll et al. 1992), arms work at 62 to 116 % \
                 of their maximum in motocross (Konttinen 2005); the rest common practice, no source",
        outside: "Gripping too hard, a stiff front suspension and too little riding do it too.",
        inspect: &[
            "Brake: does it bite late or pull hard? Bleed it. Throttle spring and cable: light and dry?",
            "Grips: right thickness for the glove?",
        ],
        usual: &[],
    },
    Complaint {
        id: "cold_hands",
        words: "My hands are cold or wet",
        also: &["frozen fingers", "wet gloves", "snow on my hands"],
        wants: &[],
        status: PRACTICE,
        outside: "None of the cockpit's measures: hand guards with their wind skirts, grip warmers, dry gloves and spare \
                  ones answer it. White fingers: see a licensed clinician.",
        inspect: &[
            "Guards whole and between hand and wind? Grip warmers: both warm?",
            "Cuffs over or under the gauntlet so that no snow gets in?",
        ],
        usual: &[],
    },
    Complaint {
        id: "white_fingers",
        words: "My fingers turn white, or the pain stays",
        also: &["fingers white", "it still hurts at night", "lasting pain"],
        wants: &[],
        status: "published: white fingers in 18 to 19 % of snowmobile herders, over three times the others (Anttonen et \
                 al. 1994)",
        outside: "Stop riding and see a licensed clinician. No setting answers this.",
        inspect: &[],
        usual: &[],
    },
    Complaint {
        id: "over_the_bars",
        words: "I get pitched over the bars on short landings",
        also: &[
            "thrown forward",
            "goes over the front",
            "nose digs in and I fly",
        ],
        wants: &[
            want(Kind::ShortLanding1g, Standing, 1.0),
            want(Kind::ShortLanding2g, Standing, 1.0),
            want(Kind::LegTravel, Standing, 0.25),
        ],
        status: "computed from published strength; that it answers the complaint is common practice, no source",
        outside: "Front suspension too soft or its rebound too quick, and a throttle shut in the air, pitch a sled too.",
        inspect: &[
            "Front shocks: leaking, sagging, clickers where they were?",
            "Boots against their stops on landing?",
        ],
        usual: &[],
    },
    Complaint {
        id: "cannot_get_back",
        words: "I cannot get far enough back",
        also: &[
            "seat in the way",
            "arms too short to get back",
            "stuck over the bars",
        ],
        wants: &[
            want(Kind::Elbow, Rearmost, 1.0),
            want(Kind::SeatRoom, Rearmost, 0.5),
            want(Kind::Shoulder, Rearmost, 0.25),
            want(Kind::ShortLanding2g, Rearmost, 0.5),
        ],
        status: PRACTICE,
        outside: "",
        inspect: &[
            "Tether: long enough at the very back?",
            "Seat: latched, not slid back?",
        ],
        usual: &[],
    },
    Complaint {
        id: "knees_hit",
        words: "My knees hit the bar or the console",
        also: &["bruised knees", "knees bang the dash", "shins hit"],
        wants: &[
            want(Kind::KneeRoom, All, 1.0),
            want(Kind::KneeRoomLow, Standing, 1.0),
            want(Kind::LegTravel, Standing, 0.5),
        ],
        status: PRACTICE,
        outside: "",
        inspect: &[
            "Which part do the knees meet? Look for marks on console, clamp and riser.",
            "Knee braces: are they why?",
        ],
        usual: &[Usual::TallSeat],
    },
    Complaint {
        id: "chest_hits",
        words: "Chest or helmet hits bar or screen",
        also: &[
            "chin on the bar pad",
            "helmet hits the screen",
            "chest hits the bar",
        ],
        wants: &[
            want(Kind::ChestRoom, All, 1.0),
            want(Kind::ShortLanding2g, Standing, 0.5),
            want(Kind::LegTravel, Standing, 0.25),
        ],
        status: PRACTICE,
        outside: "Front suspension that dives brings the bar up to the chest.",
        inspect: &["Bar pad in place? Screen too high or loose?"],
        usual: &[],
    },
    Complaint {
        id: "feet_slip",
        words: "My feet slip off the board",
        also: &["boots slide", "no grip under the feet", "feet come off"],
        wants: &[
            want(Kind::HeelLift, Standing, 1.0),
            want(Kind::Start, Standing, 1.0),
            want(Kind::Ankle, Standing, 0.5),
        ],
        status: PRACTICE,
        outside: "Ice on the boards, worn soles and worn traction are most of it.",
        inspect: &[
            "Boards: traction sharp, snow falls through, no ice?",
            "Soles: worn smooth?",
        ],
        usual: &[],
    },
    Complaint {
        id: "feet_out",
        words: "A foot comes out of the stirrup",
        also: &[
            "boot out of the stirrup",
            "lose the stirrup",
            "foot pops out",
        ],
        wants: &[
            want(Kind::BootSlide, Seated, 1.0),
            want(Kind::HeelLift, Standing, 0.5),
            want(Kind::Ankle, All, 0.5),
        ],
        status: PRACTICE,
        outside: "The hoop's size is the rest of it. Never make the hoop so tight that the boot does not leave freely, \
                  packed with snow too.",
        inspect: &[
            "Hoop: bent, loose, packed with snow?",
            "Does the boot reach its stop?",
        ],
        usual: &[],
    },
    Complaint {
        id: "cramped_seated",
        words: "I am cramped when I sit",
        also: &[
            "knees too high seated",
            "no room sitting down",
            "folded up on the seat",
        ],
        wants: &[
            want(Kind::Knee, Seated, 1.0),
            want(Kind::Hip, Seated, 1.0),
            want(Kind::Ankle, Seated, 0.5),
            want(Kind::KneeRoom, Seated, 0.5),
        ],
        status: "common practice, no source: driving studies do not fit a seat this low",
        outside: "",
        inspect: &["Seat: foam sagged or torn under the cover?"],
        usual: &[Usual::TallSeat, Usual::FirmSeat],
    },
    Complaint {
        id: "back_tired",
        words: "My back gets tired",
        also: &["lower back aches", "back burns", "stooped over"],
        wants: &[
            want(Kind::BackEffort, Standing, 1.0),
            want(Kind::Trunk, All, 1.0),
        ],
        status: "published: trunk lean of 20 to 60° is limited in time (ISO 11226:2000, at second hand)",
        outside: "A jolt through the seat hurts a back too: stand over bumps. Pain that stays: see a licensed clinician.",
        inspect: &[
            "Protector or pack that pulls backwards?",
            "Rear suspension: bottoms?",
        ],
        usual: &[Usual::Riser],
    },
    Complaint {
        id: "neck_tired",
        words: "My neck gets tired",
        also: &["neck aches", "cannot keep my head up", "neck stiff"],
        wants: &[
            want(Kind::Neck, All, 1.0),
            want(Kind::Trunk, Standing, 0.25),
        ],
        status: "published: any neck extension is outside static use (ISO 11226:2000, at second hand; McAtamney & Corlett \
                 1993, RULA)",
        outside: "Helmet weight, a peak in the wind and a neck brace that meets the helmet add to it. Pain that stays: \
                  see a licensed clinician.",
        inspect: &[
            "Helmet peak and goggles: do you tip the head to see?",
            "Neck brace: does the helmet meet it?",
        ],
        usual: &[Usual::Riser],
    },
    Complaint {
        id: "shoulders_tired",
        words: "My shoulders burn",
        also: &["shoulders ache", "arms too high", "chicken wings hurt"],
        wants: &[
            want(Kind::ShoulderEffort, Standing, 1.0),
            want(Kind::Shoulder, Standing, 1.0),
        ],
        status: "published: upper arms raised by 20 to 60° are limited in time (EN 1005-4, ISO 11226:2000, at second hand)",
        outside: "Pain that stays: see a licensed clinician.",
        inspect: &["Jacket and protector: free in the shoulders?"],
        usual: &[],
    },
    Complaint {
        id: "legs_burn",
        words: "My thighs burn from standing",
        also: &["legs tired", "cannot stand long", "quads on fire"],
        wants: &[
            want(Kind::KneeEffort, Standing, 1.0),
            want(Kind::Knee, Standing, 0.5),
        ],
        status: "published: skiers hold a bent knee against load for 34 to 42 % of a turn (Alhammoud et al. 2020); that a \
                 straighter knee rests it is common practice, no source",
        outside: "Fitness and stiff suspension are most of it.",
        inspect: &["Suspension: hard and bouncing?"],
        usual: &[],
    },
    Complaint {
        id: "ankles_sore",
        words: "My shins or ankles hurt against the boots",
        also: &["shin bang", "ankles bent too far", "boots cut in"],
        wants: &[
            want(Kind::Ankle, Standing, 1.0),
            want(Kind::HeelLift, Standing, 0.5),
        ],
        status: "published: ankles bend by 28 to 57° under weight, boots should stop them before 30° (ski-boot study, 64 \
                 people); that the stirrup's place shifts it is common practice, no source",
        outside: "A stiff or badly buckled boot. Pain that stays: see a licensed clinician.",
        inspect: &["Buckles: top one too tight? Boots: broken in?"],
        usual: &[],
    },
    Complaint {
        id: "lever_at_lock",
        words: "I cannot reach the lever at full lock",
        also: &[
            "outer hand comes off",
            "cannot brake with the bars turned",
            "arm too short at lock",
        ],
        wants: &[
            want(Kind::LockSpare, All, 1.0),
            want(Kind::FingerStrain, All, 0.25),
        ],
        status: PRACTICE,
        outside: "",
        inspect: &[
            "Steering stops: set alike both ways?",
            "Do jacket or protector stop the arm?",
        ],
        usual: &[],
    },
    Complaint {
        id: "wrist_brake",
        words: "My wrist is sore on the brake",
        also: &["wrist bent on the lever", "brake wrist hurts"],
        wants: &[
            want(Kind::Wrist, All, 1.0),
            want(Kind::Ulnar, All, 0.5),
            want(Kind::FingerStrain, All, 0.25),
        ],
        status: "published: pressure in the carpal tunnel rises from 27 to 33° of extension (Keir et al. 2007, Hum \
                 Factors), grip is strongest near 25 to 35° (O'Driscoll et al. 1992)",
        outside: "Pain that stays: see a licensed clinician.",
        inspect: &[
            "Is the lever still where the card says? A fall turns it.",
            "Reservoir: level enough to roll the lever?",
        ],
        usual: &[],
    },
    Complaint {
        id: "brake_far",
        words: "The brake lever is too far away, or too near",
        also: &[
            "have to stretch for the brake",
            "lever traps my fingers",
            "fingertips only",
        ],
        wants: &[
            want(Kind::FingerStrain, All, 1.0),
            want(Kind::GuardGap, All, 0.25),
        ],
        status: "published: straight fingers raise pressure in the carpal tunnel (Keir, Bach & Rempel 1998); bands of the \
                 finger's joints are our choice",
        outside: "A lever that comes in far needs bleeding or new pads first: never set it farther out to hide that.",
        inspect: &["Free play and longest travel: as on the card?"],
        usual: &[],
    },
    Complaint {
        id: "thumb_tired",
        words: "My throttle thumb gets tired",
        also: &["thumb cramps", "thumb hurts", "cannot hold full throttle"],
        wants: &[want(Kind::ThumbStrain, All, 1.0)],
        status: "common practice, no source, inside the thumb's range (Barakat, Field & Taylor 2013)",
        outside: "A stiff cable or return spring. Never weaken the return spring.",
        inspect: &[
            "Cable: dry, routed without a kink, free at both locks?",
            "Paddle: bent?",
        ],
        usual: &[],
    },
    Complaint {
        id: "elbows_cramped",
        words: "No room for my elbows, bars too close",
        also: &["bars in my lap", "arms folded", "cannot get elbows up"],
        wants: &[
            want(Kind::Elbow, All, 1.0),
            want(Kind::ChestRoom, All, 0.25),
            want(Kind::Shoulder, Standing, 0.25),
        ],
        status: PRACTICE,
        outside: "",
        inspect: &["Has the riser or the bar slipped back in its clamp? Look at the paint marks."],
        usual: &[],
    },
    Complaint {
        id: "hangs_at_start",
        words: "I hang on the bars at the start",
        also: &[
            "arms pulled out at the start",
            "falls off the back",
            "cannot stay forward",
        ],
        wants: &[
            want(Kind::Start, All, 1.0),
            want(Kind::Elbow, Standing, 0.25),
        ],
        status: "computed from published strength; that it answers the complaint is common practice, no source",
        outside: "",
        inspect: &["Boots against their stops, soles and boards clean?"],
        usual: &[],
    },
    Complaint {
        id: "seat_bottoms",
        words: "The seat bottoms out",
        also: &["feel the tunnel", "seat hits hard", "jolt through the seat"],
        wants: &[
            want(Kind::SeatMargin, Seated, 1.0),
            want(Kind::SeatSpring, Seated, 1.0),
        ],
        status: "computed from the foam's three figures (ASTM D3574) with a curve of our choice; a firmer seat passes force \
                 sooner (common practice, no source)",
        outside: "Rear suspension that bottoms feels the same. A jolt through the seat can break a spine: stand over bumps. \
                  Back pain: see a licensed clinician.",
        inspect: &["Foam: sagged, wet or split? Is it the seat, or the rear suspension?"],
        usual: &[Usual::FirmSeat, Usual::TallSeat],
    },
    Complaint {
        id: "seat_dead",
        words: "The seat gives no pop",
        also: &[
            "seat is dead",
            "no bounce up from the seat",
            "sinks in like mud",
        ],
        wants: &[
            want(Kind::SeatSpring, Seated, 1.0),
            want(Kind::Rise, Seated, 0.5),
        ],
        status: PRACTICE,
        outside: "Shock rebound that is too slow takes the pop away too.",
        inspect: &[
            "Foam: sagged or wet?",
            "Rear shock: rebound clicker where it was?",
        ],
        usual: &[Usual::FirmSeat],
    },
    Complaint {
        id: "slow_to_stand",
        words: "Standing up from seated is slow",
        also: &[
            "hard to get up",
            "pull myself up on the bars",
            "stuck on the seat",
        ],
        wants: &[
            want(Kind::Rise, Seated, 1.0),
            want(Kind::WeightBehind, Seated, 1.0),
            want(Kind::Knee, Seated, 0.5),
        ],
        status: PRACTICE,
        outside: "",
        inspect: &["Seat cover too grippy? Foam sagged?"],
        usual: &[Usual::TallSeat, Usual::FirmSeat],
    },
    Complaint {
        id: "bars_push",
        words: "The bars push away in corners",
        also: &[
            "front pushes",
            "bars kick out of my hands",
            "will not turn in",
        ],
        wants: &[
            want(Kind::Steering, Standing, 1.0),
            want(Kind::WeightOff, All, 1.0),
        ],
        status: PRACTICE,
        outside: "Skis, carbides, ski pressure and limiter strap are most of it: look there first.",
        inspect: &[
            "Carbides sharp, skis straight, toe as in the manual?",
            "Ski pressure: limiter strap and front spring where they were?",
        ],
        usual: &[],
    },
    Complaint {
        id: "left_right",
        words: "Left and right feel different",
        also: &["one knee higher", "crooked", "one side hurts"],
        wants: &[want(Kind::LeftRight, All, 1.0)],
        status: PRACTICE,
        outside: "The model knows one half of the body and mirrors it: a leg shorter than the other is not in it. One side \
                  that hurts and stays so: see a licensed clinician.",
        inspect: &[
            "Tape both stirrups from the same point: in the same position?",
            "Bar bent? Measure both grips to the board. Bar centred in the clamp? Levers alike?",
        ],
        usual: &[],
    },
];
