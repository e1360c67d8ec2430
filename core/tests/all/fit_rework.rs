//! The fewest reworks against every subset, and by hand.

use crate::fit_common::{Case, Found, case, clarabel, with_bad_ones};
use crate::random::Random;
use quarterturn_core::fit::{
    Bound, Fewest, Freedom, Member, REWORK_NODES, Rework, Unfit, Zone, fewest_reworks, fit,
};

fn hole(nominal: [f64; 2], deviation: [f64; 2], radius: f64) -> Member {
    let measured = [nominal[0] + deviation[0], nominal[1] + deviation[1]];
    Member { nominal, measured, zone: Zone::Round { radius } }
}

fn datum(m: Member) -> Bound {
    Bound::within(m.nominal, m.measured, m.zone)
}

#[expect(clippy::unwrap_used, clippy::panic, reason = "part of the tests")]
fn fewest(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Fewest {
    match fewest_reworks(members, bounds, freedom, |k| k, REWORK_NODES).unwrap() {
        Rework::Fewest(fewest) => fewest,
        other => panic!("{other:?}"),
    }
}

fn indices(fewest: &Fewest) -> Vec<usize> {
    fewest.members.iter().map(|m| m.index).collect()
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-11, "{found} is not {wanted}");
}

/// Five holes are alike, one is not: all six hold the minimax fit, and any five of them but the
/// right ones look just as bad.
#[test]
fn five_to_the_right_and_one_to_the_left_need_one_rework() {
    let at = |k: i32| [f64::from(k % 3) * 30.0, f64::from(k / 3) * 40.0];
    for bad in 0..6 {
        for freedom in [Freedom::FREE, Freedom::SLIDING] {
            let members: Vec<Member> = (0..6)
                .map(|k| hole(at(k), [if k == bad { -0.02 } else { 0.02 }, 0.0], 0.005))
                .collect();
            let found = fewest(&members, &[], freedom);
            assert_eq!(indices(&found), [usize::try_from(bad).unwrap()]);
            assert!(found.members[0].needed <= 2.0 * 0.035 + 1e-11);
            if freedom == Freedom::SLIDING {
                // The others may be 0.005 off, so that the pattern moves by 0.015 only.
                near(found.members[0].needed, 2.0 * 0.035);
                near(found.shift()[0], -0.015);
                near(found.enlargement, 0.030);
            }
        }
    }
}

#[test]
fn of_two_holes_too_far_apart_either_will_do_and_the_first_is_named() {
    let members = [hole([0.0, 0.0], [0.0, 0.0], 0.01), hole([50.0, 0.0], [0.05, 0.0], 0.01)];
    let found = fewest(&members, &[], Freedom::FREE);
    assert_eq!((indices(&found), found.compared, found.all_compared), (vec![0], 2, true));
    near(found.members[0].needed, 0.08);
    // Where the second can do with less enlargement, it is the second: the first is in its zone
    // of 0.02, and the datum hole keeps the pattern where it is.
    let zone = Zone::Round { radius: 0.004 };
    let b = Bound::within([20.0, 0.0], [20.0, 0.0], zone);
    let members = [hole([0.0, 0.0], [-0.03, 0.0], 0.02), hole([50.0, 0.0], [0.02, 0.0], 0.01)];
    let found = fewest(&members, &[b], Freedom::SLIDING);
    assert_eq!(indices(&found), [0, 1]);
    let members = [hole([0.0, 0.0], [-0.022, 0.0], 0.02), hole([50.0, 0.0], [0.013, 0.0], 0.01)];
    let found = fewest(&members, &[b], Freedom::SLIDING);
    assert_eq!((indices(&found), found.compared), (vec![0], 2));
    near(found.members[0].needed, 2.0 * 0.025);
    near(found.enlargement, 0.005);
}

/// One feature has two members: the directions of a rectangular zone.
#[test]
fn members_of_one_feature_are_reworked_together() {
    let flat = |nominal: [f64; 2], d: [f64; 2]| {
        [[1.0, 0.0], [0.0, 1.0]].map(|normal| Member {
            zone: Zone::Planes { normal, half: 0.01 },
            ..hole(nominal, d, 0.0)
        })
    };
    let members = [
        flat([0.0, 0.0], [0.0, 0.0]),
        flat([40.0, 0.0], [0.05, -0.04]),
        flat([80.0, 0.0], [0.0, 0.0]),
    ]
    .concat();
    let of = |feature: fn(usize) -> usize| match fewest_reworks(
        &members,
        &[],
        Freedom::LOCKED,
        feature,
        REWORK_NODES,
    )
    .unwrap()
    {
        Rework::Fewest(fewest) => fewest,
        other => panic!("{other:?}"),
    };
    let together = of(|k| 7 - k / 2);
    assert_eq!(indices(&together), [2, 3]);
    near(together.members[0].needed, 0.10);
    near(together.members[1].needed, 0.08);
    assert_eq!(together.compared, 1);
}

#[test]
fn what_conforms_and_what_no_rework_helps() {
    let good = [hole([0.0, 0.0], [0.01, 0.0], 0.02), hole([9.0, 0.0], [0.0, 0.0], 0.02)];
    let rework = |members: &[Member], bounds: &[Bound], freedom| {
        fewest_reworks(members, bounds, freedom, |k| k, REWORK_NODES)
    };
    assert!(matches!(rework(&good, &[], Freedom::LOCKED), Ok(Rework::NotNeeded)));
    let b =
        [datum(hole([0.0, 0.0], [0.0, 0.0], 0.01)), datum(hole([80.0, 0.0], [0.05, 0.0], 0.01))];
    let Ok(Rework::Blocked { excess }) = rework(&good, &b, Freedom::FREE) else {
        panic!("the datum features do not go in");
    };
    near(excess, 0.015);
    assert!(matches!(rework(&[], &[], Freedom::FREE), Err(Unfit::Empty)));
}

/// All features are bad where nothing may move.
#[test]
fn all_of_them() {
    let members: Vec<Member> =
        (0..30).map(|k| hole([f64::from(k), 0.0], [0.02, 0.0], 0.01)).collect();
    let found = fewest(&members, &[], Freedom::LOCKED);
    assert_eq!(found.members.len(), 30);
    let b = [datum(hole([0.0, 0.0], [0.0, 0.0], 0.0))];
    assert_eq!(fewest(&members, &b, Freedom::FREE).members.len(), 30);
}

#[test]
fn the_limit_of_the_search_is_kept() {
    let mut r = Random::new(8);
    let members: Vec<Member> = (0..40)
        .map(|_| {
            let mut at = |w: f64| r.range(-w, w);
            hole([at(50.0), at(50.0)], [at(0.1), at(0.1)], 0.02)
        })
        .collect();
    let Ok(Rework::NotFound { at_least, nodes }) =
        fewest_reworks(&members, &[], Freedom::FREE, |k| k, 5)
    else {
        panic!("five sets are not enough");
    };
    assert!(nodes == 5 && at_least > 3 && at_least < 40, "{at_least} {nodes}");
}

/// Every subset of a pattern, the smallest first.
struct Subsets {
    features: usize,
}

impl Subsets {
    fn of_size(&self, size: usize) -> impl Iterator<Item = u32> {
        (0_u32..1 << self.features).filter(move |set| set.count_ones() as usize == size)
    }
}

/// Whether what is left of a pattern conforms, by the rule that is given.
fn smallest(
    case: &Case,
    feature: fn(usize) -> usize,
    features: usize,
    conforms: impl Fn(&Case) -> bool,
) -> Vec<u32> {
    for size in 0..=features {
        let subsets = Subsets { features };
        let found: Vec<u32> = subsets
            .of_size(size)
            .filter(|set| {
                let left = without(case, feature, *set).0;
                left.members.is_empty() || conforms(&left)
            })
            .collect();
        if !found.is_empty() {
            return found;
        }
    }
    Vec::new()
}

/// What is left without a set of features, and the members of the set.
fn without(case: &Case, feature: fn(usize) -> usize, set: u32) -> (Case, Vec<Member>) {
    let gone = |k: usize| set >> feature(k) & 1 == 1;
    let part = |wanted: bool| {
        let all = case.members.iter().enumerate();
        all.filter(|(k, _)| gone(*k) == wanted).map(|(_, m)| *m).collect::<Vec<_>>()
    };
    (Case { members: part(false), ..case.clone() }, part(true))
}

fn turned(case: &Case) -> bool {
    fit(&case.members, &case.bounds, case.freedom).is_ok_and(|f| f.turn().abs() > 0.01)
}

#[derive(Default)]
struct Tally {
    by_size: [usize; 10],
    blocked: usize,
    compared: usize,
}

/// Random patterns of up to nine members, with and without bounds, holes and slots, rotation free,
/// locked and limited. The judge of a subset is the fit itself.
#[expect(clippy::unwrap_used, clippy::panic, reason = "part of the tests")]
fn every_subset(seed: u64, count: usize, feature: fn(usize) -> usize) -> Tally {
    let mut r = Random::new(seed);
    let mut tally = Tally::default();
    for k in 0..count {
        let case = case(&mut r, 9.0);
        if turned(&case) {
            continue;
        }
        let features = feature(case.members.len() - 1) + 1;
        let conforms =
            |left: &Case| fit(&left.members, &left.bounds, left.freedom).is_ok_and(|f| f.passes());
        let found =
            fewest_reworks(&case.members, &case.bounds, case.freedom, feature, REWORK_NODES);
        match found.unwrap() {
            Rework::Blocked { excess } => {
                let own = fit(&case.members, &case.bounds, case.freedom).unwrap();
                assert!(!own.gauge_goes_on() && (own.s() - excess).abs() < 1e-15, "{k}");
                tally.blocked += 1;
            }
            Rework::NotNeeded => {
                assert!(conforms(&case), "{k}");
                tally.by_size[0] += 1;
            }
            Rework::NotFound { .. } => panic!("{k}: {case:?}"),
            Rework::Fewest(fewest) => {
                let wanted = smallest(&case, feature, features, conforms);
                let set = fewest.members.iter().fold(0_u32, |set, m| set | 1 << feature(m.index));
                assert!(wanted.contains(&set), "{k}: {set:b} {wanted:?} {case:?}");
                assert_eq!(fewest.compared, wanted.len(), "{k}: {wanted:?} {case:?}");
                tally.by_size[set.count_ones() as usize] += 1;
                tally.compared += usize::from(wanted.len() > 1);
                holds(k, &case, feature, &fewest);
                let least = wanted
                    .iter()
                    .map(|set| enlargement(&case, feature, *set))
                    .fold(f64::INFINITY, f64::min);
                let apart = (fewest.enlargement - least).abs();
                assert!(apart < 1e-8, "{k}: {} {least} {case:?}", fewest.enlargement);
            }
        }
    }
    tally
}

/// The others conform, the bounds hold, and what is needed is what is needed.
fn holds(k: usize, case: &Case, feature: fn(usize) -> usize, fewest: &Fewest) {
    let mut worst = f64::NEG_INFINITY;
    for (index, m) in case.members.iter().enumerate() {
        let distance = m.zone.distance(fewest.deviation(m.nominal, m.measured));
        match fewest.members.iter().find(|r| r.index == index) {
            Some(r) => {
                assert!((r.needed - 2.0 * distance).abs() < 1e-12, "{k}");
                worst = worst.max(distance - m.zone.radius());
            }
            None => {
                assert!(fewest.members.iter().all(|r| feature(r.index) != feature(index)), "{k}");
                let over = distance - m.zone.radius();
                assert!(over < 2e-9, "{k}: {over:e} {case:?} {fewest:?}");
            }
        }
    }
    assert!((worst - fewest.enlargement).abs() < 1e-12, "{k}");
    for b in &case.bounds {
        let over = b.zone().distance(fewest.deviation(b.nominal, b.measured)) - b.zone().radius();
        assert!(over < 2e-9, "{k}: {over:e} {case:?}");
    }
    for (free, shift) in [case.freedom.x, case.freedom.y].into_iter().zip(fewest.shift()) {
        assert!(free || shift.abs() < 1e-9, "{k}");
    }
}

/// The enlargement of a set, by the fit: what others conform only by a tie is made to.
fn enlargement(case: &Case, feature: fn(usize) -> usize, set: u32) -> f64 {
    let (left, reworked) = without(case, feature, set);
    let by = fit(&left.members, &left.bounds, left.freedom).map_or(0.0, |f| f.s().max(0.0));
    let mut bounds = case.bounds.clone();
    bounds.extend(left.members.iter().map(|m| {
        let zone = match m.zone {
            Zone::Round { radius } => Zone::Round { radius: radius + by },
            Zone::Planes { normal, half } => Zone::Planes { normal, half: half + by },
        };
        Bound::within(m.nominal, m.measured, zone)
    }));
    fit(&reworked, &bounds, case.freedom).map_or(f64::INFINITY, |f| f.s())
}

#[test]
fn every_subset_of_random_patterns() {
    let tally = every_subset(31, 3000, |k| k);
    println!("{:?}, {} blocked, {} compared", tally.by_size, tally.blocked, tally.compared);
    assert!(tally.by_size.iter().take(6).all(|n| *n > 20) && tally.blocked > 5);
    assert!(tally.compared > 100);
}

#[test]
fn every_subset_of_features_with_two_members() {
    let tally = every_subset(32, 1000, |k| k / 2);
    println!("{:?}, {} blocked, {} compared", tally.by_size, tally.blocked, tally.compared);
    assert!(tally.by_size.iter().take(4).all(|n| *n > 20));
}

/// The same with a general conic solver as the judge of every subset.
#[test]
fn every_subset_by_another_solver() {
    let mut r = Random::new(33);
    let (mut judged, mut close) = (0, 0);
    for k in 0..150 {
        let case = case(&mut r, 6.0);
        if turned(&case) {
            continue;
        }
        let tie = std::cell::Cell::new(false);
        let conforms = |left: &Case| match clarabel(left) {
            Found::Optimum { s, .. } => {
                tie.set(tie.get() || s.abs() < 1e-7);
                s <= 0.0
            }
            Found::Infeasible => false,
            Found::Failed => {
                tie.set(true);
                false
            }
        };
        let one = |k: usize| k;
        let found = fewest_reworks(&case.members, &case.bounds, case.freedom, one, REWORK_NODES);
        let found = found.unwrap();
        if let Rework::Blocked { .. } = found {
            continue;
        }
        let wanted = smallest(&case, one, case.members.len(), conforms);
        if tie.get() {
            close += 1;
            continue;
        }
        judged += 1;
        match found {
            Rework::NotNeeded => assert_eq!(wanted, [0], "{k}"),
            Rework::Fewest(fewest) => {
                let set = fewest.members.iter().fold(0_u32, |set, m| set | 1 << m.index);
                assert!(wanted.contains(&set), "{k}: {set:b} {wanted:?} {case:?}");
                assert_eq!(fewest.compared, wanted.len(), "{k}: {wanted:?} {case:?}");
            }
            other => panic!("{k}: {other:?}"),
        }
    }
    println!("{judged} judged, {close} too close to call");
    assert!(judged > 80);
}

/// Patterns of 50 to 200 features, up to four of which are far out: these are found, and few sets
/// are looked at for it.
#[test]
fn a_few_bad_ones_among_many() {
    let mut r = Random::new(34);
    let mut worst = 0;
    for k in 0..400 {
        let count = 50 + r.remainder(151);
        let bad = 1 + k % 4;
        let (case, planted) = with_bad_ones(&mut r, count, bad);
        let found = fewest(&case.members, &case.bounds, case.freedom);
        worst = worst.max(found.nodes);
        assert_eq!(indices(&found), planted, "{k}: {case:?}");
        assert_eq!((found.compared, found.all_compared), (1, true), "{k}");
        holds(k, &case, |k| k, &found);
    }
    println!("{worst} sets at most");
    assert!(worst < 100);
}
