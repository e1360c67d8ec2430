//! Bounds with little room, with none, and with what rounding leaves of none.

use crate::fit_common::{Case, case, passed};
use crate::random::Random;
use quarterturn_core::fit::{Bound, Counterpart, Fit, Freedom, Member, Zone, fit};

#[expect(clippy::unwrap_used, reason = "part of the tests")]
fn of(case: &Case) -> Fit {
    fit(&case.members, &case.bounds, case.freedom).unwrap()
}

/// From 1e-15 to 1e-3 mm, four in a decade.
fn rooms() -> impl Iterator<Item = f64> {
    (0..=48).map(|k| libm::pow(10.0, -15.0 + 0.25 * f64::from(k)))
}

fn with_room(case: &Case, which: usize, room: f64) -> Case {
    let mut case = case.clone();
    let bound = &mut case.bounds[which];
    bound.counterpart = Counterpart::Boundary(match bound.zone() {
        Zone::Round { .. } => Zone::Round { radius: room },
        Zone::Planes { normal, .. } => Zone::Planes { normal, half: room },
    });
    case
}

fn weights(fit: &Fit) -> f64 {
    fit.certificate().bounds.iter().map(|h| h.weight).sum()
}

/// B is at its boundary to the last bit and is where it should be; C, 80 away, has room for 0.02.
/// The hole between them is 0.045 out: it may follow a turn by 0.02 / 80, which takes 0.015 of it.
#[test]
fn a_datum_at_its_boundary_to_the_last_bit() {
    let zone = |radius| Zone::Round { radius };
    let hole = Member { nominal: [60.0, 0.0], measured: [60.0, 0.06], zone: zone(0.05) };
    let c = Bound::within([80.0, 0.0], [80.0, 0.0], zone(0.02));
    let wanted = 0.06 - 0.015 - 0.05;
    for room in [0.0, 1e-16, 8.9e-16, 1.8e-15, 1e-14, 1e-13, 1e-12, 1e-11, 1e-10] {
        let b = Bound::within([0.0; 2], [0.0; 2], zone(room));
        let found = fit(&[hole], &[b, c], Freedom::FREE).unwrap();
        assert!((found.s() - wanted).abs() < 1e-9, "{room}: {}", found.s());
        assert!(found.passes() && found.certificate().gap.abs() < 1e-12);
        // The turn of both: a quarter of what is pushed at the hole is B's, three quarters C's.
        let push = |k: usize| {
            let bounds = &found.certificate().bounds;
            bounds.iter().find(|h| h.index == k).map_or(0.0, |h| h.weight)
        };
        assert!((push(0) - 0.25).abs() < 1e-3 && (push(1) - 0.75).abs() < 1e-3, "{found:?}");
    }
}

/// The margin follows the room of a bound without a jump, never falls with it, and follows it by
/// the multiplier: where s has fallen by less, another takes over; it never falls by more.
#[test]
fn the_margin_follows_the_room() {
    let mut r = Random::new(5);
    let (mut count, mut steps, mut other_optimum) = (0, 0, 0);
    for k in 0..2000 {
        let case = case(&mut r, 12.0);
        if case.bounds.is_empty() {
            continue;
        }
        let which = r.remainder(case.bounds.len());
        let zero = of(&with_room(&case, which, 0.0));
        if !zero.gauge_goes_on() || zero.turn().abs() > 0.01 {
            continue;
        }
        let bounds = &zero.certificate().bounds;
        let weight = bounds.iter().find(|h| h.index == which).map_or(0.0, |h| h.weight);
        let sum = weights(&zero);
        assert!(sum < 1e4, "{k}: {zero:?}");
        count += 1;
        let mut before = zero.clone();
        for room in rooms() {
            let found = of(&with_room(&case, which, room));
            assert!(found.gauge_goes_on(), "{k}: {room:e}: {case:?}");
            // A turn that does more by its square than at first may have two best places, and a
            // small pattern turns far by a little room.
            if (found.turn() - before.turn()).abs() > 1e-3 {
                other_optimum += 1;
                break;
            }
            let least = 4.0 * (found.resolution() + before.resolution()) + 1e-8 * weight * room;
            let least = least + room * room / (0.1 * case.size);
            assert!(
                found.s() < before.s() + least,
                "{k}: {room:e}: {} before {}, {case:?}",
                found.s(),
                before.s()
            );
            let most = zero.s() - weight * room;
            assert!(found.s() > most - least, "{k}: {room:e}: {} {most}, {case:?}", found.s());
            assert!(found.certificate().gap.abs() < 1e-7, "{k}: {room:e}: {found:?}");
            assert!(weights(&found) < 2.0 * sum + 2.0, "{k}: {room:e}: {found:?} {sum}");
            assert!(passed(&with_room(&case, which, room), &found) < 2e-9, "{k}: {room:e}");
            before = found;
            steps += 1;
        }
    }
    println!("{count} patterns, {steps} steps, {other_optimum} went far");
    assert!(count > 800 && other_optimum * 50 < count);
}

/// Two boundaries that leave each other next to no room: what rounding leaves is none, and from
/// there on the margin follows the root of the room, as two circles do that barely overlap.
#[test]
fn boundaries_that_leave_each_other_no_room() {
    let mut r = Random::new(6);
    let mut count = 0;
    for k in 0..500 {
        let mut case = case(&mut r, 12.0);
        let far = r.range(20.0, 120.0);
        let at = [r.range(-50.0, 50.0), r.range(-50.0, 50.0)];
        let angle = r.range(0.0, std::f64::consts::TAU);
        let along = [libm::cos(angle), libm::sin(angle)];
        let one = if r.chance(0.3) { 0.0 } else { r.log_range(1e-6, 1.0) * case.size };
        let other = case.size * r.range(0.2, 1.0);
        let reach = case.members.iter().flat_map(|m| m.measured).fold(far, |m, v| m.max(v.abs()));
        let there = |far: f64| [at[0] + far * along[0], at[1] + far * along[1]];
        case.freedom = if r.chance(0.5) { Freedom::FREE } else { Freedom::SLIDING };
        let mut before: Option<Fit> = None;
        for room in rooms().filter(|room| *room < 0.1 * other) {
            let zone = |radius| Zone::Round { radius };
            case.bounds = vec![
                Bound::within(at, at, zone(one)),
                Bound::within(there(far), there(far + one + other - room), zone(other)),
            ];
            let found = of(&case);
            assert!(found.gauge_goes_on(), "{k}: {room:e}: {case:?}");
            if found.turn().abs() > 0.01 {
                break;
            }
            if let Some(before) = &before {
                let rounding = 4.0 * (found.resolution() + before.resolution()) + 1e-4 * case.size;
                let fell = before.s() - found.s();
                let most = 6.0 * (reach / far) * (2.0 * case.size * room).sqrt() + rounding;
                assert!(fell > -rounding && fell < most, "{k}: {room:e}: {fell:e} {case:?}");
                assert!(
                    found.certificate().gap.abs() < 1e-3 * case.size,
                    "{k}: {room:e}: {found:?}"
                );
                let over = passed(&case, &found);
                assert!(over < 1e-8, "{k}: {room:e}: {over:e} {found:?} {case:?}");
                if room < 5e-11 {
                    assert!((before.s() - found.s()).abs() < rounding, "{k}: {room:e}");
                    assert!(weights(&found) < 1e4, "{k}: {room:e} {found:?} {case:?}");
                }
            }
            before = Some(found);
            count += 1;
        }
    }
    assert!(count > 12_000, "{count}");
}

/// Patterns that are just so: s is 0, and comes out as no more than what the arithmetic resolves.
#[test]
fn what_is_just_so_conforms() {
    let mut r = Random::new(7);
    let mut largest = 0.0_f64;
    for k in 0..5000 {
        let far = r.log_range(1.0, 1e5);
        let count = 2 + r.remainder(8);
        let turn = r.range(-1e-3, 1e-3);
        let shift = [r.range(-0.2, 0.2), r.range(-0.2, 0.2)];
        let (sin, cos) = (libm::sin(turn), libm::cos(turn));
        // The first two pull against each other along the line between them.
        let ends =
            [[r.range(-far, far), r.range(-far, far)], [r.range(-far, far), r.range(-far, far)]];
        let apart = libm::hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]);
        if apart < 0.1 {
            continue;
        }
        let along = [0, 1].map(|axis| (ends[1][axis] - ends[0][axis]) / apart);
        let members: Vec<Member> = (0..count)
            .map(|index| {
                let radius = r.range(0.01, 0.1);
                let end = ends.get(index).copied();
                let nominal = end.unwrap_or([r.range(-far, far), r.range(-far, far)]);
                let out = match index {
                    0 => -radius,
                    1 => radius,
                    _ => radius * r.range(-0.5, 0.5),
                };
                let [x, y] = [0, 1].map(|axis| nominal[axis] + out * along[axis] - shift[axis]);
                let measured = [cos * x + sin * y, cos * y - sin * x];
                Member { nominal, measured, zone: Zone::Round { radius } }
            })
            .collect();
        let found = fit(&members, &[], Freedom::FREE).unwrap();
        assert!(found.passes(), "{k}: {} {} {members:?}", found.s(), found.resolution());
        assert!(found.s().abs() < found.resolution(), "{k}: {}", found.s());
        if far < 1000.0 {
            largest = largest.max(found.resolution());
        }
    }
    assert!((1e-9..1.1e-9).contains(&largest), "{largest}");
}
