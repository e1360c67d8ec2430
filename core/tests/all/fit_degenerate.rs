//! Patterns at the edge of what has an answer.

use crate::fit_common::{Case, case, certificate, passed, read_off};
use crate::random::Random;
use quarterturn_core::fit::{
    Bound, Counterpart, Fit, Freedom, Member, Turn, Unfit, Which, Zone, fit,
};

fn hole(nominal: [f64; 2], deviation: [f64; 2], radius: f64) -> Member {
    let measured = [nominal[0] + deviation[0], nominal[1] + deviation[1]];
    Member { nominal, measured, zone: Zone::Round { radius } }
}

fn slot(nominal: [f64; 2], deviation: [f64; 2], normal: [f64; 2], half: f64) -> Member {
    let measured = [nominal[0] + deviation[0], nominal[1] + deviation[1]];
    Member { nominal, measured, zone: Zone::Planes { normal, half } }
}

fn datum(m: Member) -> Bound {
    Bound::within(m.nominal, m.measured, m.zone)
}

/// A fit whose certificate holds.
#[expect(clippy::unwrap_used, reason = "part of the tests")]
fn certified(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Fit {
    let found = fit(members, bounds, freedom).unwrap();
    let case = Case { members: members.to_vec(), bounds: bounds.to_vec(), freedom, size: 0.05 };
    let (imbalance, gap) = certificate(&case, &found);
    let worst = members.iter().map(|m| -found.left_over(m)).fold(f64::NEG_INFINITY, f64::max);
    assert!(imbalance < 1e-11, "imbalance {imbalance:e}: {found:#?}");
    assert!(gap.abs() < 1e-13, "gap {gap:e}: {found:#?}");
    assert!((worst - found.s()).abs() < 1e-13, "worst {worst}: {found:#?}");
    assert!(passed(&case, &found) < 1e-13, "passed: {found:#?}");
    found
}

/// By how much the boundaries lack room.
#[expect(clippy::unwrap_used, reason = "part of the tests")]
fn lacks(members: &[Member], bounds: &[Bound], freedom: Freedom) -> f64 {
    let found = fit(members, bounds, freedom).unwrap();
    assert!(!found.gauge_goes_on() && !found.passes() && found.s() > 0.0, "{found:?}");
    assert!(found.certificate().members.is_empty());
    found.s()
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-13, "{found} is not {wanted}");
}

#[test]
fn one_hole_goes_to_its_place_and_is_not_turned() {
    let found = certified(&[hole([30.0, 40.0], [0.03, -0.02], 0.05)], &[], Freedom::FREE);
    near(found.s(), -0.05);
    near(found.turn(), 0.0);
    near(found.shift()[0], -0.03);
    near(found.shift()[1], 0.02);
}

#[test]
fn two_holes_share_the_error_of_their_distance() {
    let members = [hole([0.0, 0.0], [0.01, 0.0], 0.05), hole([80.0, 0.0], [-0.03, 0.1], 0.05)];
    let found = certified(&members, &[], Freedom::FREE);
    let distance = libm::hypot(79.96, 0.1);
    near(found.s(), (80.0 - distance) / 2.0 - 0.05);
}

#[test]
fn the_smaller_of_two_zones_may_shrink_to_nothing() {
    let members = [hole([0.0, 0.0], [0.01, 0.0], 0.02), hole([80.0, 0.0], [-0.01, 0.0], 0.2)];
    let found = certified(&members, &[], Freedom::FREE);
    near(found.s(), -0.02);
}

#[test]
fn holes_in_a_line() {
    let members: Vec<_> = (0..7)
        .map(|k| {
            let along = f64::from(k) * 10.0;
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            hole([0.6 * along, 0.8 * along], [-0.8 * 0.01 * sign, 0.6 * 0.01 * sign], 0.0)
        })
        .collect();
    let found = certified(&members, &[], Freedom::FREE);
    near(found.s(), 0.01);
}

#[test]
fn holes_at_one_place_are_not_turned() {
    let members = [
        hole([5.0, 5.0], [0.02, 0.0], 0.05),
        hole([5.0, 5.0], [0.02, 0.0], 0.05),
        hole([5.0, 5.0], [0.02, 0.0], 0.04),
    ];
    let found = certified(&members, &[], Freedom::FREE);
    near(found.s(), -0.04);
    near(found.turn(), 0.0);
    // Measured apart, though nominally one: no turn brings them together.
    let members = [
        hole([5.0, 5.0], [0.02, 0.0], 0.0),
        hole([5.0, 5.0], [-0.02, 0.0], 0.0),
        hole([5.0, 5.0], [0.0, 0.02], 0.0),
    ];
    let found = certified(&members, &[], Freedom::FREE);
    near(found.s(), 0.02);
}

#[test]
fn a_perfect_part_without_allowance_passes() {
    let members: Vec<_> = (0..20)
        .map(|k| hole([f64::from(k % 5) * 7.3, f64::from(k / 5) * 9.1], [0.0, 0.0], 0.0))
        .collect();
    for freedom in [Freedom::FREE, Freedom::SLIDING, Freedom::LOCKED] {
        let found = certified(&members, &[], freedom);
        near(found.s(), 0.0);
        assert!(found.passes());
        near(found.turn(), 0.0);
    }
}

#[test]
fn thousands_of_ties() {
    let ring = |n: i32, radius: f64| -> Vec<Member> {
        (0..n)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / f64::from(n);
                let nominal = [f64::from(k % 61) * 5.0, f64::from(k / 61) * 5.0];
                hole(nominal, [0.01 * libm::cos(a), 0.01 * libm::sin(a)], radius)
            })
            .collect()
    };
    let found = certified(&ring(5000, 0.03), &[], Freedom::SLIDING);
    near(found.s(), -0.02);
    let found = certified(&ring(5000, 0.03), &[], Freedom::FREE);
    assert!(found.s() <= -0.02 + 1e-13 && found.s() > -0.021);
    assert!(found.effort().looks < 30, "{:?}", found.effort());
    // All alike: the same deviation everywhere.
    let members: Vec<_> = (0..5000)
        .map(|k| hole([f64::from(k % 61) * 5.0, f64::from(k / 61) * 5.0], [0.01, 0.02], 0.03))
        .collect();
    let found = certified(&members, &[], Freedom::FREE);
    near(found.s(), -0.03);
    near(found.turn(), 0.0);
    // Between planes, half of them at one side, half at the other.
    let members: Vec<_> = (0..5000)
        .map(|k| {
            let side = if k % 2 == 0 { 0.01 } else { -0.01 };
            let nominal = [f64::from(k % 61) * 5.0, f64::from(k / 61) * 5.0];
            slot(nominal, [side, 3.0 * side], [1.0, 0.0], 0.004)
        })
        .collect();
    let found = certified(&members, &[], Freedom::FREE);
    assert!(found.s() <= 0.006 + 1e-13 && found.s() > 0.0059);
    near(found.shift()[1], 0.0);
}

#[test]
fn slots_of_one_direction_leave_the_other_alone() {
    let members = [
        slot([0.0, 0.0], [0.01, 0.3], [1.0, 0.0], 0.02),
        slot([10.0, 5.0], [0.03, -0.2], [1.0, 0.0], 0.02),
    ];
    let found = certified(&members, &[], Freedom::SLIDING);
    near(found.s(), -0.01);
    near(found.shift()[0], -0.02);
    near(found.shift()[1], 0.0);
}

#[test]
fn everything_locked_is_only_evaluated() {
    let members = [hole([0.0, 0.0], [0.03, 0.04], 0.02), hole([9.0, 0.0], [0.0, 0.01], 0.05)];
    let found = certified(&members, &[], Freedom::LOCKED);
    near(found.s(), 0.03);
    assert_eq!(found.certificate().members.len(), 1);
    let b = [
        datum(hole([0.0, 0.0], [0.01, 0.0], 0.0)),
        datum(slot([50.0, 0.0], [0.2, 0.0], [0.0, 1.0], 0.0)),
    ];
    let found = certified(&members, &b, Freedom::FREE);
    near(found.s(), libm::hypot(0.02, 0.04) - 0.02);
    near(found.turn(), 0.0);
    // The same lock twice is one.
    let found = certified(&members, &[b[0], b[1], b[0]], Freedom::FREE);
    near(found.s(), libm::hypot(0.02, 0.04) - 0.02);
}

#[test]
fn a_clocking_slot_turns_about_the_datum_hole() {
    let b = [
        datum(hole([10.0, 0.0], [0.0, 0.0], 0.0)),
        datum(slot([60.0, 0.0], [0.0, 0.05], [0.0, 1.0], 0.0)),
    ];
    let members = [hole([10.0, 40.0], [0.01, 0.0], 0.0)];
    let found = certified(&members, &b, Freedom::FREE);
    let turn = -libm::atan2(0.05, 50.0);
    near(found.turn(), turn);
    let (s, c) = (libm::sin(turn), libm::cos(turn));
    let at = [c * 0.01 - s * 40.0, s * 0.01 + c * 40.0];
    near(found.s(), libm::hypot(at[0], at[1] - 40.0));
}

#[test]
fn boundaries_that_touch_are_locks() {
    // The distance of B and C is wrong by just what both allow.
    let b = |more: f64| {
        [
            datum(hole([0.0, 0.0], [0.0, 0.0], 0.01 + more)),
            datum(hole([80.0, 0.0], [0.03, 0.0], 0.02)),
        ]
    };
    let members = [hole([40.0, 30.0], [0.05, 0.01], 0.03), hole([60.0, 10.0], [0.0, 0.02], 0.03)];
    let touching = certified(&members, &b(0.0), Freedom::FREE);
    near(touching.turn(), 0.0);
    near(touching.shift()[0], -0.01);
    near(touching.s(), 0.041_231_056_256_176_6 - 0.03);
    let mut before = f64::INFINITY;
    for more in [1e-11, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2] {
        let found = certified(&members, &b(more), Freedom::FREE);
        assert!(found.s() < before + 1e-12, "{more}: {} {before}", found.s());
        before = found.s();
    }
    near(lacks(&members, &b(-0.004), Freedom::FREE), 0.002);
}

#[test]
fn a_lock_beside_a_boundary_that_is_touched() {
    let b = |radius: f64| {
        [datum(hole([0.0, 0.0], [0.01, 0.0], 0.0)), datum(hole([50.0, 0.0], [0.03, 0.0], radius))]
    };
    let members = [hole([0.0, 20.0], [0.01, 0.03], 0.05)];
    let found = certified(&members, &b(0.02), Freedom::FREE);
    near(found.turn(), 0.0);
    near(found.s(), -0.02);
    assert!(certified(&members, &b(0.03), Freedom::FREE).s() <= -0.02 + 1e-13);
    near(lacks(&members, &b(0.01), Freedom::FREE), 0.005);
    // Regardless of its size the first stands where it is, and all is lacking at the second.
    let mut firm = b(0.01);
    firm[0].counterpart = Counterpart::Round;
    near(lacks(&members, &firm, Freedom::FREE), 0.01);
}

#[test]
fn two_locks_that_disagree_say_by_how_much() {
    let b = [datum(hole([0.0, 0.0], [0.0, 0.0], 0.0)), datum(hole([50.0, 0.0], [0.03, 0.0], 0.0))];
    let members = [hole([10.0, 20.0], [0.0, 0.0], 0.05)];
    near(lacks(&members, &b, Freedom::FREE), 0.015);
    let regardless = b.map(|b| Bound { counterpart: Counterpart::Round, ..b });
    near(lacks(&members, &regardless, Freedom::FREE), 0.015);
    let b = [datum(hole([0.0, 0.0], [0.3, 0.4], 0.1))];
    near(lacks(&members, &b, Freedom::LOCKED), 0.4);
}

#[test]
fn a_limit_of_rotation() {
    let turned: Vec<_> = [[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0]]
        .into_iter()
        .map(|n: [f64; 2]| hole(n, [-1e-3 * n[1], 1e-3 * n[0]], 0.01))
        .collect();
    let within =
        |most: f64| certified(&turned, &[], Freedom { turn: Turn::Within(most), ..Freedom::FREE });
    let free = certified(&turned, &[], Freedom::FREE);
    assert!((free.turn() + 1e-3).abs() < 1e-6);
    near(within(0.1).s(), free.s());
    near(within(0.0).turn(), 0.0);
    let half = within(5e-4);
    near(half.turn(), -5e-4);
    assert!(half.s() > free.s() && half.s() < within(0.0).s() && half.certificate().turn != 0.0);
}

#[test]
fn far_from_the_origin_as_near_to_it() {
    let mut r = Random::new(3);
    for _ in 0..50 {
        let members: Vec<_> = (0..12)
            .map(|_| {
                // Multiples of 2^-20, so that moving far away rounds nothing.
                let mut grid = |w: f64| (r.range(-w, w) * 1_048_576.0).round() / 1_048_576.0;
                let nominal = [grid(50.0), grid(50.0)];
                hole(nominal, [grid(0.05), grid(0.05)], 0.02)
            })
            .collect();
        let far: Vec<_> = members
            .iter()
            .map(|m| Member {
                nominal: [m.nominal[0] + 3e6, m.nominal[1] - 7e6],
                measured: [m.measured[0] + 3e6, m.measured[1] - 7e6],
                zone: m.zone,
            })
            .collect();
        let (near_by, far) = (fit(&members, &[], Freedom::FREE), fit(&far, &[], Freedom::FREE));
        let (near_by, far) = (near_by.unwrap(), far.unwrap());
        near(far.s(), near_by.s());
        near(far.turn(), near_by.turn());
    }
}

/// Figures with the last digit of a gauge: a perfect feature beside a locked datum, several at the
/// rim in the same direction, locks that agree to the first order only. Nearly all have a proof
/// to the last digit; the others say by their gap how near they are, and keep the bounds.
#[test]
fn figures_as_gauges_show_them() {
    let mut r = Random::new(99);
    let (mut count, mut unproven) = (0, 0);
    for k in 0..30_000 {
        let digit = if k % 2 == 0 { 0.01 } else { 0.001 };
        let case = read_off(case(&mut r, 40.0), digit);
        let found = match fit(&case.members, &case.bounds, case.freedom) {
            Ok(found) if found.turn().abs() < 0.05 && found.gauge_goes_on() => found,
            Ok(_) => continue,
            Err(other) => panic!("{k}: {other}"),
        };
        let (imbalance, gap) = certificate(&case, &found);
        let far = case.members.iter().flat_map(|m| m.measured).fold(0.0_f64, |m, v| m.max(v.abs()));
        let rounding = 1e-13 * (1.0 + found.s().abs()) + 1e-15 * far;
        let worst =
            case.members.iter().map(|m| -found.left_over(m)).fold(f64::NEG_INFINITY, f64::max);
        assert!((worst - found.s()).abs() < rounding, "{k}: {worst} {found:?} {case:?}");
        assert!(passed(&case, &found) < 1e-6, "{k}: {found:?} {case:?}");
        count += 1;
        if imbalance > 1e-6 || gap.abs() > rounding || passed(&case, &found) > rounding {
            unproven += 1;
        }
    }
    assert!(count > 25_000 && unproven * 2000 < count, "{unproven} of {count}");
}

#[test]
fn what_cannot_be_fitted_is_refused_with_its_place() {
    let good = hole([0.0, 0.0], [0.0, 0.0], 0.05);
    assert_eq!(fit(&[], &[], Freedom::FREE).unwrap_err(), Unfit::Empty);
    let mut bad = good;
    bad.measured[1] = f64::NAN;
    let refused = |m: &[Member], b: &[Bound], f: Freedom| fit(m, b, f).unwrap_err();
    assert_eq!(refused(&[good, bad], &[], Freedom::FREE), Unfit::NotFinite(Which::Member(1)));
    assert_eq!(refused(&[good], &[datum(bad)], Freedom::FREE), Unfit::NotFinite(Which::Bound(0)));
    bad.measured[1] = f64::INFINITY;
    assert_eq!(refused(&[bad], &[], Freedom::FREE), Unfit::NotFinite(Which::Member(0)));
    let narrow = hole([0.0, 0.0], [0.0, 0.0], -0.01);
    assert_eq!(refused(&[narrow], &[], Freedom::FREE), Unfit::Negative(Which::Member(0)));
    let askew = slot([0.0, 0.0], [0.0, 0.0], [1.0, 1.0], 0.01);
    assert_eq!(refused(&[askew], &[], Freedom::FREE), Unfit::Normal(Which::Member(0)));
    let turn = |w| Freedom { turn: Turn::Within(w), ..Freedom::FREE };
    assert_eq!(refused(&[good], &[], turn(-1.0)), Unfit::Negative(Which::Turn));
    assert_eq!(refused(&[good], &[], turn(f64::NAN)), Unfit::NotFinite(Which::Turn));
    let says = refused(&[good, narrow], &[], Freedom::FREE).to_string();
    assert_eq!(says, "feature 2 of the pattern: what is allowed cannot be below 0");
}
