//! What must hold for any pattern.

use crate::common::cases;
use crate::fit_common::{Case, case, certificate, passed};
use crate::random::Random;
use proptest::prelude::*;
use quarterturn_core::fit::{Bound, Counterpart, Fit, Freedom, Member, Turn, Unfit, Zone, fit};
use std::f64::consts::TAU;

/// Any pattern of up to sixty features, drawn from a seed.
fn any_case() -> impl Strategy<Value = Case> {
    any::<u64>().prop_map(|seed| case(&mut Random::new(seed), 60.0))
}

/// A pattern that shrinks: nominal, deviation, radius, and whether it is between planes.
fn members() -> impl Strategy<Value = Vec<Member>> {
    let one = (
        (-100.0..100.0, -100.0..100.0),
        (-0.1..0.1, -0.1..0.1),
        prop_oneof![Just(0.0), Just(0.05), 0.0..0.2],
        prop_oneof![3 => Just(None), 1 => (0.0..TAU).prop_map(Some)],
    );
    let one = one.prop_map(|((x, y), (dx, dy), radius, across): (_, _, f64, Option<f64>)| Member {
        nominal: [x, y],
        measured: [x + dx, y + dy],
        zone: across.map_or(Zone::Round { radius }, |a| Zone::Planes {
            normal: [libm::cos(a), libm::sin(a)],
            half: radius,
        }),
    });
    prop::collection::vec(one, 1..40)
}

fn of(case: &Case) -> Result<Fit, Unfit> {
    fit(&case.members, &case.bounds, case.freedom)
}

fn moved(m: &Member, t: [f64; 2], turn: f64) -> Member {
    let (s, c) = (libm::sin(turn), libm::cos(turn));
    let [x, y] = m.measured;
    Member { measured: [c * x - s * y + t[0], s * x + c * y + t[1]], ..*m }
}

fn widened(zone: Zone, by: f64) -> Zone {
    match zone {
        Zone::Round { radius } => Zone::Round { radius: radius + by },
        Zone::Planes { normal, half } => Zone::Planes { normal, half: half + by },
    }
}

/// Whether the rotation stayed as small as on a real part.
fn small(fit: &Fit) -> bool {
    fit.turn().abs() < 0.02
}

proptest! {
    #![proptest_config(cases(400))]

    #[test]
    fn the_certificate_holds(case in any_case()) {
        if let Ok(found) = of(&case) {
            let (imbalance, gap) = certificate(&case, &found);
            let most = 1e-12 * (1.0 + found.s().abs());
            prop_assert!(imbalance < 1e-11 && gap.abs() < most, "{imbalance:e} {gap:e}");
            prop_assert!(passed(&case, &found) < most || !found.gauge_goes_on());
        }
    }

    #[test]
    fn the_same_input_gives_the_same_bits(case in any_case()) {
        let (one, two) = (of(&case), of(&case));
        prop_assert_eq!(
            one.map(|f| (f.s().to_bits(), f.turn().to_bits(), f.shift().map(f64::to_bits))).ok(),
            two.map(|f| (f.s().to_bits(), f.turn().to_bits(), f.shift().map(f64::to_bits))).ok()
        );
    }

    #[test]
    fn a_rigid_movement_of_what_was_measured_changes_nothing(
        members in members(),
        t in (-0.5..0.5, -0.5..0.5),
        turn in -1e-3..1e-3,
    ) {
        let there: Vec<Member> = members.iter().map(|m| moved(m, [t.0, t.1], turn)).collect();
        let (here, there) = (fit(&members, &[], Freedom::FREE), fit(&there, &[], Freedom::FREE));
        let (here, there) = (here.unwrap(), there.unwrap());
        prop_assume!(small(&here) && small(&there));
        prop_assert!((here.s() - there.s()).abs() < 1e-11, "{} {}", here.s(), there.s());
    }

    #[test]
    fn turning_the_drawing_turns_the_answer(members in members(), by in 0.0..TAU) {
        let (s, c) = (libm::sin(by), libm::cos(by));
        let turned = |[x, y]: [f64; 2]| [c * x - s * y, s * x + c * y];
        let there: Vec<Member> = members
            .iter()
            .map(|m| Member {
                nominal: turned(m.nominal),
                measured: turned(m.measured),
                zone: match m.zone {
                    Zone::Planes { normal, half } => Zone::Planes { normal: turned(normal), half },
                    round @ Zone::Round { .. } => round,
                },
            })
            .collect();
        let (here, there) = (fit(&members, &[], Freedom::FREE), fit(&there, &[], Freedom::FREE));
        let (here, there) = (here.unwrap(), there.unwrap());
        prop_assume!(small(&here) && small(&there));
        prop_assert!((here.s() - there.s()).abs() < 1e-11, "{} {}", here.s(), there.s());
    }

    #[test]
    fn s_never_grows_with_an_allowance(case in any_case(), which in any::<usize>(), by in 0.0..0.1) {
        if let Ok(before) = of(&case) {
            let mut wider = case;
            let k = which % wider.members.len();
            wider.members[k].zone = widened(wider.members[k].zone, by);
            let after = of(&wider).unwrap();
            prop_assume!(small(&before) && small(&after));
            prop_assert!(after.s() < before.s() + 1e-11, "{} {}", before.s(), after.s());
            // And no faster than the allowance.
            prop_assert!(after.s() > before.s() - by - 1e-11, "{} {}", before.s(), after.s());
        }
    }

    #[test]
    fn s_never_grows_with_a_bound(case in any_case(), which in any::<usize>(), by in 0.0..0.1) {
        if let Ok(before) = of(&case) && !case.bounds.is_empty() {
            let mut wider = case;
            let k = which % wider.bounds.len();
            let zone = widened(wider.bounds[k].zone(), by);
            wider.bounds[k].counterpart = Counterpart::Boundary(zone);
            let after = of(&wider).unwrap();
            prop_assert!(after.gauge_goes_on() || !before.gauge_goes_on());
            prop_assume!(small(&before) && small(&after));
            prop_assume!(before.gauge_goes_on() == after.gauge_goes_on());
            prop_assert!(after.s() < before.s() + 1e-11, "{} {}", before.s(), after.s());
        }
    }

    #[test]
    fn s_never_grows_with_freedom(members in members()) {
        let sliding = fit(&members, &[], Freedom::SLIDING).unwrap();
        let free = fit(&members, &[], Freedom::FREE).unwrap();
        let locked = fit(&members, &[], Freedom::LOCKED).unwrap();
        let x = fit(&members, &[], Freedom { y: false, ..Freedom::SLIDING }).unwrap();
        let within = Freedom { turn: Turn::Within(1e-4), ..Freedom::FREE };
        let within = fit(&members, &[], within).unwrap();
        prop_assert!(sliding.s() < x.s() + 1e-12 && x.s() < locked.s() + 1e-12);
        prop_assume!(small(&free));
        prop_assert!(free.s() < within.s() + 1e-11 && within.s() < sliding.s() + 1e-11);
        prop_assert!(x.shift()[1] == 0.0 || x.shift()[1].abs() < 1e-16);
    }

    /// All widened alike: s falls by as much, and nothing else changes.
    #[test]
    fn s_is_a_radius(members in members(), by in 0.0..0.1) {
        let wider: Vec<Member> =
            members.iter().map(|m| Member { zone: widened(m.zone, by), ..*m }).collect();
        let (here, there) = (fit(&members, &[], Freedom::FREE), fit(&wider, &[], Freedom::FREE));
        let (here, there) = (here.unwrap(), there.unwrap());
        prop_assume!(small(&here) && small(&there));
        prop_assert!((here.s() - by - there.s()).abs() < 1e-11);
        prop_assert!((here.margin() + here.s()).abs() < 1e-18);
    }

    /// A weight says by how much s falls where a zone grows: s is convex in the radii, so the
    /// line with that slope is below it on both sides.
    #[test]
    fn weights_are_slopes(members in members(), by in -1e-4..1e-4) {
        let here = fit(&members, &[], Freedom::SLIDING).unwrap();
        for h in &here.certificate().members {
            let mut other = members.clone();
            if other[h.index].zone.radius() + by < 0.0 {
                continue;
            }
            other[h.index].zone = widened(other[h.index].zone, by);
            let there = fit(&other, &[], Freedom::SLIDING).unwrap();
            prop_assert!(there.s() >= here.s() - h.weight * by - 1e-12);
        }
    }

    #[test]
    fn a_planted_optimum_is_found_again(seed in any::<u64>(), count in 4_usize..200) {
        let mut r = Random::new(seed);
        let Some(planted) = plant(&mut r, count) else { return Ok(()) };
        let found = of(&planted.case).unwrap();
        prop_assert!((found.s() - planted.s).abs() < 1e-12, "{} {}", found.s(), planted.s);
        prop_assert!((found.turn() - planted.turn).abs() < 1e-10);
        for k in 0..2 {
            prop_assert!((found.shift()[k] - planted.shift[k]).abs() < 1e-8);
        }
        let mut held: Vec<usize> =
            found.certificate().members.iter().map(|h| h.index).collect();
        held.sort_unstable();
        let wanted: Vec<usize> = (0..planted.held).collect();
        prop_assert_eq!(held, wanted);
        prop_assert_eq!(found.certificate().bounds.len(), 4 - planted.held);
    }
}

/// A problem made around its answer.
struct Planted {
    case: Case,
    s: f64,
    shift: [f64; 2],
    turn: f64,
    /// The members that hold it, the first ones; what is missing to four are bounds.
    held: usize,
}

/// Four features are put on the rims of their zones where their pushes balance, all others inside.
fn plant(r: &mut Random, count: usize) -> Option<Planted> {
    let (turn, shift) = (r.range(-2e-3, 2e-3), [r.range(-0.2, 0.2), r.range(-0.2, 0.2)]);
    let s = r.range(-0.02, 0.02);
    let held = 2 + r.remainder(3);
    let mut place = || [r.range(-50.0, 50.0), r.range(-50.0, 50.0)];
    let nominal: Vec<[f64; 2]> = (0..count).map(|_| place()).collect();
    // Directions are drawn until forces and moments balance with weights well above 0.
    let pushes = loop {
        let angles: Vec<f64> = (0..4).map(|_| r.range(0.0, TAU)).collect();
        let u: Vec<[f64; 2]> = angles.iter().map(|a| [libm::cos(*a), libm::sin(*a)]).collect();
        let column = |k: usize| {
            let [x, y] = nominal[k];
            [u[k][0], u[k][1], (x * u[k][1] - y * u[k][0]) / 50.0]
        };
        let columns = [column(0), column(1), column(2), column(3)];
        if let Some(weights) = balance(&columns)
            && weights.iter().all(|w| *w > 0.05)
        {
            break u;
        }
    };
    let zone = |r: &mut Random, u: Option<[f64; 2]>| {
        let radius = r.range(0.04, 0.08);
        match u {
            Some(normal) if r.chance(0.3) => Zone::Planes { normal, half: radius },
            _ => Zone::Round { radius },
        }
    };
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    let measured = |n: [f64; 2], d: [f64; 2]| {
        let (x, y) = (n[0] + d[0] - shift[0], n[1] + d[1] - shift[1]);
        [cos * x + sin * y, cos * y - sin * x]
    };
    let (mut members, mut bounds) = (Vec::new(), Vec::new());
    for (k, n) in nominal.into_iter().enumerate() {
        let u = pushes.get(k).copied();
        let zone = zone(r, u);
        let out = match u {
            Some(_) if k < held => zone.radius() + s,
            Some(_) => zone.radius(),
            None => (zone.radius() + s) * r.range(0.0, 0.9),
        };
        let angle = r.range(0.0, TAU);
        let [x, y] = u.unwrap_or([libm::cos(angle), libm::sin(angle)]);
        let measured = measured(n, [out * x, out * y]);
        if u.is_some() && k >= held {
            bounds.push(Bound::within(n, measured, zone));
        } else {
            members.push(Member { nominal: n, measured, zone });
        }
    }
    let case = Case { members, bounds, freedom: Freedom::FREE, size: 0.05 };
    Some(Planted { case, s, shift, turn, held })
}

/// Weights of four columns of three that sum to 1 and cancel, by Cramer's rule.
fn balance(c: &[[f64; 3]; 4]) -> Option<[f64; 4]> {
    let det = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - b[0] * (a[1] * c[2] - a[2] * c[1])
            + c[0] * (a[1] * b[2] - a[2] * b[1])
    };
    let w = [
        det(c[1], c[2], c[3]),
        -det(c[0], c[2], c[3]),
        det(c[0], c[1], c[3]),
        -det(c[0], c[1], c[2]),
    ];
    let sum: f64 = w.iter().sum();
    (sum.abs() > 0.05).then(|| w.map(|w| w / sum))
}
