//! One correction for several pieces, with a plain solver.

use crate::cause_common::{Machine, circle};
use crate::random::Random;
use quarterturn_core::cause::{
    Correction, Fitted, Member, OneOffset, Spot, Trouble, Zone, one_offset,
};

/// The most that a hole is beyond its zone once all are moved.
fn beyond(spots: &[Spot], [tx, ty]: [f64; 2], turn: f64) -> f64 {
    spots
        .iter()
        .filter_map(|s| {
            let [x, y] = s.nominal;
            let [dx, dy] = s.deviation;
            s.zone.beyond([Some(dx + tx - turn * y), Some(dy + ty + turn * x)])
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

/// The least of a convex function between two ends, by thirds.
fn least(from: f64, to: f64, steps: usize, f: &dyn Fn(f64) -> f64) -> (f64, f64) {
    let (mut a, mut b) = (from, to);
    for _ in 0..steps {
        let (p, q) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
        if f(p) < f(q) { b = q } else { a = p }
    }
    let x = 0.5 * (a + b);
    (x, f(x))
}

/// Nested, since the minimum of a convex function over some of its arguments is convex in the
/// others.
fn fit(spots: &[Spot], turning: bool) -> Option<Fitted> {
    let steps = if turning { 45 } else { 80 };
    let x_of = |turn: f64, y: f64| least(-1.0, 1.0, steps, &|x| beyond(spots, [x, y], turn));
    let y_of = |turn: f64| least(-1.0, 1.0, steps, &|y| x_of(turn, y).1);
    let turn = if turning { least(-0.01, 0.01, steps, &|turn| y_of(turn).1).0 } else { 0.0 };
    let y = y_of(turn).0;
    let (x, beyond) = x_of(turn, y);
    Some(Fitted { beyond, offset: [x, y], turn })
}

fn round(nominal: [f64; 2], deviation: [f64; 2], radius: f64) -> Member {
    Member { nominal, deviation: deviation.map(Some), zone: Some(Zone::Round(radius)) }
}

/// Deviations in an equilateral triangle about (0.3, 0.1), 0.05 from its middle: the smallest
/// circle is the one through them.
fn triangle(radius: f64) -> Vec<Vec<Member>> {
    (0..3)
        .map(|i| {
            let a = 0.4 + std::f64::consts::TAU / 3.0 * f64::from(i);
            let d = [0.3 + 0.05 * libm::cos(a), 0.1 + 0.05 * libm::sin(a)];
            vec![round([10.0, 20.0], d, radius)]
        })
        .collect()
}

#[test]
fn the_smallest_circle_decides() {
    let OneOffset::Exists(plan) = one_offset(&triangle(0.051), false, fit).unwrap() else {
        panic!()
    };
    assert!((plan.correction.offset[0] + 0.3).abs() < 1e-8);
    assert!((plan.correction.offset[1] + 0.1).abs() < 1e-8);
    assert!((plan.beyond + 0.001).abs() < 1e-8);
    assert_eq!((plan.now, plan.then, plan.pieces, plan.unjudged), (0, 3, 3, 0));
    let OneOffset::None(plan) = one_offset(&triangle(0.049), false, fit).unwrap() else { panic!() };
    assert!((plan.beyond - 0.001).abs() < 1e-8);
    assert_eq!(plan.then, 0);
}

/// Two holes alone: between them, nearer to the one that may be off by less.
#[test]
fn what_is_allowed_weighs() {
    let piece = vec![round([0.0; 2], [0.0, 0.0], 0.02), round([9.0, 9.0], [0.1, 0.0], 0.05)];
    let OneOffset::None(plan) = one_offset(&[piece], false, fit).unwrap() else { panic!() };
    // 0.1 apart, 0.07 allowed: 0.015 too much for each.
    assert!((plan.beyond - 0.015).abs() < 1e-8);
    assert!((plan.correction.offset[0] + 0.035).abs() < 1e-6);
}

/// Pieces of a machine that is off and turned: an offset alone does not save them, with a
/// rotation it does.
#[test]
fn a_rotation_may_be_needed() {
    let machine = Machine { shift: [0.08, -0.05], turn: 0.002, ..Machine::default() };
    let places = circle(6, 60.0);
    let mut random = Random::new(6);
    let pieces: Vec<Vec<Member>> = (0..3)
        .map(|_| {
            let own: Vec<_> =
                (0..6).map(|_| [0.01 * random.within(1.0), 0.01 * random.within(1.0)]).collect();
            machine.run(&places, &Correction::default(), &own)
        })
        .collect();
    assert!(matches!(one_offset(&pieces, false, fit).unwrap(), OneOffset::None(p) if p.then == 0));
    let OneOffset::Exists(plan) = one_offset(&pieces, true, fit).unwrap() else { panic!() };
    // No farther than the scatter of single holes.
    assert!((plan.correction.turn + 0.002).abs() < 2.5e-4, "{plan:?}");
    assert!((plan.correction.offset[0] + 0.08).abs() < 0.01, "{plan:?}");
    assert_eq!((plan.now, plan.then, plan.pieces), (0, 3, 3));
}

#[test]
fn what_the_solver_says_is_tried() {
    // A solver that promises too much is not believed.
    let liar = |_: &[Spot], _: bool| Some(Fitted { beyond: -1.0, offset: [0.0; 2], turn: 0.0 });
    assert!(matches!(one_offset(&triangle(0.051), false, liar), Ok(OneOffset::None(_))));
    let lost =
        |_: &[Spot], _: bool| Some(Fitted { beyond: -1.0, offset: [f64::NAN, 0.0], turn: 0.0 });
    assert_eq!(one_offset(&triangle(0.051), false, lost), Ok(OneOffset::Unanswered));
    assert_eq!(one_offset(&triangle(0.051), false, |_, _| None), Ok(OneOffset::Unanswered));
    assert_eq!(one_offset(&[], false, fit), Ok(OneOffset::Unanswered));
    let mut bad = triangle(0.051);
    bad[1][0].deviation[0] = Some(f64::NAN);
    assert_eq!(one_offset(&bad, false, fit), Err(Trouble::Coordinate { member: 0 }));
}

#[test]
fn slots_and_what_is_not_known() {
    let slot = Member {
        nominal: [40.0, 0.0],
        deviation: [None, Some(0.06)],
        zone: Some(Zone::Sides([None, Some(0.02)])),
    };
    let half = Member { deviation: [Some(0.0), None], ..round([0.0; 2], [0.0; 2], 0.05) };
    let piece = vec![slot, round([0.0; 2], [0.5, 0.0], 0.05), half];
    let OneOffset::Exists(plan) = one_offset(&[piece], false, fit).unwrap() else { panic!() };
    assert_eq!(plan.unjudged, 1);
    // The slot holds y, its hole x; both have the same margin.
    assert!((plan.beyond + 0.005).abs() < 1e-8, "{plan:?}");
    assert!((plan.correction.offset[0] + 0.5).abs() < 1e-3, "{plan:?}");
    assert!((plan.correction.offset[1] + 0.045).abs() < 1e-6, "{plan:?}");
}
