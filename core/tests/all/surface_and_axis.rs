//! Position at maximum material read in two ways: by the axis in its zone that grows with the size,
//! and by the surface that must leave the virtual condition free (ASME Y14.5-2018, 10.3.3.1 and
//! 10.3.3.2). For a round feature whose size conforms both say the same.

use crate::build::{Ask, Build, Part, hole, position};
use crate::common::cases;
use proptest::prelude::*;
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::job::{Job, Kind, Modifier};

const LIMITS: [f64; 2] = [8.0, 8.2];

fn job(kind: Kind, modifier: Modifier, tolerance: f64, size: f64, off: [f64; 2]) -> Job {
    let callout = position(tolerance, &["A", "B", "C"]).at(modifier);
    let made = hole("1", [30.0, 20.0]).of_kind(kind).limits(LIMITS[0], LIMITS[1]).asked(callout);
    Part::mm().with(Job::reads_centres).put(made.off(off).sized(size)).read()
}

proptest! {
    #![proptest_config(cases(512))]
    #[test]
    fn both_readings_agree_at_maximum_and_at_least_material(
        hole: bool,
        maximum: bool,
        tolerance in 0.0..0.3f64,
        size in LIMITS[0]..LIMITS[1],
        dx in -0.25..0.25f64,
        dy in -0.25..0.25f64,
    ) {
        let kind = if hole { Kind::Hole } else { Kind::Boss };
        let modifier = if maximum { Modifier::Mmc } else { Modifier::Lmc };
        let found = evaluate(&job(kind, modifier, tolerance, size, [dx, dy]));
        let verdict = found.pieces[0].verdict;
        let r = libm::hypot(dx, dy);
        // The boundary is a cylinder about the true position: smaller than the feature where that
        // must go round it, larger where it must stay inside.
        let inside = hole == maximum;
        let worst = if inside { LIMITS[0] - tolerance } else { LIMITS[1] + tolerance };
        let room = if inside {
            // The nearest point of the surface to the true position is size/2 − r away.
            (size / 2.0 - r) - worst / 2.0
        } else {
            // The farthest is size/2 + r away.
            worst / 2.0 - (size / 2.0 + r)
        };
        prop_assume!(room.abs() > 1e-9);
        prop_assert_eq!(verdict == Verdict::Conforms, room > 0.0, "{} {:?}", room, verdict);
    }
}
