//! Datum features that do not all go into their boundaries: by how much, and on what it depends.

use crate::fit_common::{Case, Found, boundaries, certificate, clarabel};
use crate::random::Random;
use quarterturn_core::fit::{
    Bound, Counterpart, Fit, Freedom, Member, Turn, Unfit, Which, Zone, fit,
};

const HOLE: Member =
    Member { nominal: [20.0, 10.0], measured: [20.0, 10.0], zone: Zone::Round { radius: 0.05 } };

#[expect(clippy::unwrap_used, reason = "part of the tests")]
fn of(bounds: &[Bound], freedom: Freedom) -> Fit {
    fit(&[HOLE], bounds, freedom).unwrap()
}

fn round(nominal: [f64; 2], deviation: [f64; 2], radius: f64) -> Bound {
    let measured = [nominal[0] + deviation[0], nominal[1] + deviation[1]];
    Bound::within(nominal, measured, Zone::Round { radius })
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-13, "{found} is not {wanted}");
}

/// By hand: 0.05 too far apart, with room for 0.01 + 0.02; what lacks is shared.
#[test]
fn two_holes_too_far_apart() {
    let b = [round([0.0; 2], [0.0; 2], 0.01), round([80.0, 0.0], [0.05, 0.0], 0.02)];
    let found = of(&b, Freedom::FREE);
    assert!(!found.gauge_goes_on() && !found.passes());
    near(found.s(), 0.01);
    let c = found.certificate();
    assert!(c.members.is_empty() && c.bounds.len() == 2);
    for h in &c.bounds {
        near(h.weight, 0.5);
        near(h.push[0], if h.index == 0 { -0.5 } else { 0.5 });
        assert!(!h.locked);
    }
    // The place with the least lack: each as far out as the other.
    near(found.deviation(b[0].nominal, b[0].measured)[0], -0.02);
    near(found.deviation(b[1].nominal, b[1].measured)[0], 0.03);
}

/// The first stands where it is regardless of its size: all of it lacks at the second.
#[test]
fn a_boundary_after_a_hole_regardless_of_size() {
    let mut b = [round([0.0; 2], [0.0; 2], 0.0), round([80.0, 0.0], [0.05, 0.0], 0.02)];
    b[0].counterpart = Counterpart::Round;
    let found = of(&b, Freedom::FREE);
    near(found.s(), 0.03);
    let weight = |k: usize| {
        let bounds = &found.certificate().bounds;
        bounds
            .iter()
            .find(|h| h.index == k)
            .map_or((0.0, 0.0, false), |h| (h.weight, h.push[0], h.locked))
    };
    let (w, push, locked) = weight(1);
    near(w, 1.0);
    near(push, 1.0);
    assert!(!locked);
    // Its place counts all the same.
    near(weight(0).1, -1.0);
    assert!(weight(0).2);
}

/// A hole smaller than its boundary: room below 0.
#[test]
fn a_feature_beyond_its_boundary() {
    for freedom in [Freedom::FREE, Freedom::LOCKED] {
        let found = of(&[round([0.0; 2], [0.0; 2], -0.004)], freedom);
        assert!(!found.gauge_goes_on());
        near(found.s(), 0.004);
        near(found.certificate().bounds[0].weight, 1.0);
    }
    // By no more than rounding it is at its boundary.
    let found = of(&[round([0.0; 2], [0.0; 2], -1e-14)], Freedom::FREE);
    assert!(found.gauge_goes_on() && found.passes());
    let bad = Bound::within([0.0; 2], [0.0; 2], Zone::Round { radius: f64::NAN });
    assert_eq!(fit(&[HOLE], &[bad], Freedom::FREE).unwrap_err(), Unfit::NotFinite(Which::Bound(0)));
}

/// Random datum features that do not go in.
fn random(r: &mut Random) -> Case {
    let size = r.log_range(0.01, 0.2);
    let scale = r.log_range(10.0, 500.0);
    let freedom = match r.remainder(4) {
        0 => Freedom::FREE,
        1 => Freedom::SLIDING,
        2 => Freedom { y: false, turn: Turn::Locked, ..Freedom::FREE },
        _ => Freedom { turn: Turn::Within(1e-4), ..Freedom::FREE },
    };
    let count = 1 + r.remainder(4);
    let mut bounds: Vec<Bound> = Vec::new();
    for k in 0..count {
        let nominal = [r.range(-scale, scale), r.range(-scale, scale)];
        let measured = [0, 1].map(|axis| nominal[axis] + r.range(-size, size));
        let radius = size * r.range(-0.1, 0.3);
        let angle = r.range(0.0, std::f64::consts::TAU);
        let normal = [libm::cos(angle), libm::sin(angle)];
        let zone = if r.chance(0.3) {
            Zone::Planes { normal, half: radius }
        } else {
            Zone::Round { radius }
        };
        let counterpart = match r.remainder(4) {
            0 if k == 0 && count > 1 && freedom.y => Counterpart::Round,
            _ => Counterpart::Boundary(zone),
        };
        bounds.push(Bound { nominal, measured, counterpart });
    }
    Case { members: vec![HOLE], bounds, freedom, size }
}

/// A general conic solver finds the same lack, the certificate proves it, and the multipliers are
/// the slopes of it by every place and by every room.
#[test]
fn random_datum_features() {
    let mut r = Random::new(71);
    let (mut blocked, mut slopes, mut corners, mut apart) = (0, 0, 0, 0.0_f64);
    for k in 0..1500 {
        let case = random(&mut r);
        let found = of(&case.bounds, case.freedom);
        if found.gauge_goes_on() || found.turn().abs() > 0.02 {
            continue;
        }
        blocked += 1;
        let (imbalance, gap) = certificate(&case, &found);
        assert!(imbalance < 1e-11 && gap.abs() < 1e-12, "{k}: {imbalance:e} {gap:e} {case:?}");
        match clarabel(&boundaries(&case)) {
            Found::Optimum { s, .. } => {
                apart = apart.max((s - found.s()).abs());
                assert!((s - found.s()).abs() < 1e-9, "{k}: {s} {} {case:?}", found.s());
            }
            other => assert!(matches!(other, Found::Failed), "{k}: {other:?}"),
        }
        for (which, bound) in case.bounds.iter().enumerate() {
            let hold = found.certificate().bounds.iter().find(|h| h.index == which);
            let push = hold.map_or([0.0; 2], |h| h.by_place);
            let weight = hold.map_or(0.0, |h| h.weight);
            let step = 1e-6;
            let moved = |by: [f64; 3]| {
                let mut bounds = case.bounds.clone();
                let measured = bound.measured;
                bounds[which].measured = [measured[0] + by[0], measured[1] + by[1]];
                if let Counterpart::Boundary(zone) = &mut bounds[which].counterpart {
                    *zone = match *zone {
                        Zone::Round { radius } => Zone::Round { radius: radius + by[2] },
                        Zone::Planes { normal, half } => {
                            Zone::Planes { normal, half: half + by[2] }
                        }
                    };
                }
                of(&bounds, case.freedom).s()
            };
            let by_room = matches!(bound.counterpart, Counterpart::Boundary(_));
            let wanted = [push[0], push[1], if by_room { -weight } else { 0.0 }];
            for (axis, wanted) in wanted.into_iter().enumerate() {
                let along = |by: f64| {
                    let mut all = [0.0; 3];
                    all[axis] = by;
                    moved(all)
                };
                let (ahead, back) = (along(step) - found.s(), found.s() - along(-step));
                // Where another datum feature takes over just here, there are two slopes.
                if (ahead - back).abs() > 1e-3 * step {
                    corners += 1;
                    continue;
                }
                let slope = 0.5 * (ahead + back) / step;
                assert!(
                    (slope - wanted).abs() < 2e-3,
                    "{k}: {which} {axis} {slope} {wanted} {found:?} {case:?}"
                );
                slopes += 1;
            }
        }
    }
    println!("{blocked} blocked, {slopes} slopes, {corners} corners, apart by {apart:.1e} mm");
    assert!(blocked > 700 && corners * 20 < slopes);
}

/// From room to lack the margin goes through the same figures: it is s where there is no room.
#[test]
fn the_lack_begins_where_the_room_ends() {
    let b = |far: f64| [round([0.0; 2], [0.0; 2], 0.01), round([80.0, 0.0], [far, 0.0], 0.02)];
    assert!(of(&b(0.03), Freedom::FREE).gauge_goes_on());
    assert!(of(&b(0.03 + 1e-12), Freedom::FREE).gauge_goes_on());
    for over in [1e-8, 1e-6, 1e-3] {
        let found = of(&b(0.03 + over), Freedom::FREE);
        assert!(!found.gauge_goes_on() && found.s() > found.resolution());
        assert!((found.s() - 0.5 * over).abs() < 1e-13, "{over}: {}", found.s());
    }
}
