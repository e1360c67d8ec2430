//! Values from outside the program, each with its source beside it.
//!
//! Where a source gives a rounded figure, the test allows for the rounding and no more. What has
//! no published figure is marked "common practice, no source" or "from memory".

use crate::build::{Ask, Build, Found, Part, Read, from, hole, position, reading};
use crate::common::{self, close};
use quarterturn_core::bench::{Contact, Mean, Setup, VirtualLimit, expected, reduce};
use quarterturn_core::callout::{
    Asked, Bonus, NoBonus, PositionFinding, Salvage, Segment, SizeFinding, SizeSeen, Verdict, Zone,
    judge_position, judge_size, salvage,
};
use quarterturn_core::evaluate;
use quarterturn_core::job::{
    Blocks, Callout, DecisionRule, Feature, Instrument, Job, Kind, Limits, Modifier, Probe,
    Reading, SizeLimits, Taken, Touch,
};
use quarterturn_core::quantity::{Axis, Figure, Length, Side, Unit};

fn inch(value: f64) -> Length {
    Length::of(value, Unit::Inch)
}

// ---- Means and standard deviations -------------------------------------------------------

fn mean_of(values: &[f64]) -> (f64, f64) {
    let figures: Vec<Figure> = values.iter().copied().map(Figure).collect();
    let m = Mean::of(&figures, Unit::Mm).unwrap();
    assert_eq!(m.n, values.len());
    (m.mean.to_mm(), m.deviation.unwrap().to_mm())
}

fn first_then_pairs(first: f64, a: f64, b: f64) -> Vec<f64> {
    std::iter::once(first).chain((0..500).flat_map(|_| [a, b])).collect()
}

/// NIST StRD, NumAcc1: certified mean 10000002, s 1. A one-pass variance gives nonsense here.
#[test]
fn nist_strd_numacc1() {
    let (mean, s) = mean_of(&[10_000_001.0, 10_000_003.0, 10_000_002.0]);
    close(mean, 10_000_002.0, 0.0);
    close(s, 1.0, 0.0);
}

/// NIST StRD, NumAcc2: certified mean 1.2, s 0.1.
#[test]
fn nist_strd_numacc2() {
    let (mean, s) = mean_of(&first_then_pairs(1.2, 1.1, 1.3));
    close(mean, 1.2, 1e-14);
    close(s, 0.1, 1e-14);
}

/// NIST StRD, NumAcc3: certified mean 1000000.2, s 0.1.
#[test]
fn nist_strd_numacc3() {
    let (mean, s) = mean_of(&first_then_pairs(1_000_000.2, 1_000_000.1, 1_000_000.3));
    close(mean, 1_000_000.2, 1e-9);
    close(s, 0.1, 1e-9);
}

/// NIST StRD, NumAcc4: certified mean 10000000.2, s 0.1. The data themselves lose digits when
/// written in binary; eight of s are left.
#[test]
fn nist_strd_numacc4() {
    let (mean, s) = mean_of(&first_then_pairs(10_000_000.2, 10_000_000.1, 10_000_000.3));
    close(mean, 10_000_000.2, 1e-8);
    close(s, 0.1, 1e-8);
}

/// JCGM 100:2008, 4.4.3 and its table 1: twenty temperatures, mean 100.145 (exactly their sum
/// over 20), s 1.489 (1.4888445 with more digits).
#[test]
fn jcgm_100_twenty_temperatures() {
    let (mean, s) = mean_of(&[
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
        100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ]);
    close(mean, 100.145, 1e-12);
    close(s, 1.489, 0.0005);
    close(s, 1.488_844_5, 5e-8);
}

/// One touch has a mean and no standard deviation; none has neither. Common practice, no source.
#[test]
fn one_touch_has_no_standard_deviation() {
    let one = Mean::of(&[Figure(1.25)], Unit::Inch).unwrap();
    assert_eq!((one.mean, one.deviation, one.n), (inch(1.25), None, 1));
    assert_eq!(Mean::of(&[], Unit::Inch), None);
}

// ---- Units -------------------------------------------------------------------------------

/// 1 in = 25.4 mm exactly (international yard agreement of 1959; NIST SP 811, appendix B).
#[test]
fn an_inch_is_25_4_millimetres() {
    close(inch(1.0).to_mm(), 25.4, 0.0);
    close(Length::mm(25.4).to(Unit::Inch), 1.0, 0.0);
    // Exact products of the definition.
    for (inches, mm) in [
        (0.5, 12.7),
        (0.75, 19.05),
        (1.25, 31.75),
        (4.0, 101.6),
        (12.0, 304.8),
        (0.00005, 0.001_27),
    ] {
        close(inch(inches).to_mm(), mm, 1e-13);
    }
}

// ---- Position ----------------------------------------------------------------------------

fn sizes(
    kind: Kind,
    limits: Option<[f64; 2]>,
    modifier: Modifier,
    seen: &[f64],
    unit: Unit,
) -> SizeFinding {
    let limits = limits.map(|[lower, upper]| Limits {
        lower: Length::of(lower, unit),
        upper: Length::of(upper, unit),
    });
    let seen = (1..)
        .zip(seen)
        .map(|(orientation, size)| SizeSeen { orientation, size: Length::of(*size, unit) });
    judge_size(kind, limits, modifier, seen.collect())
}

struct Case {
    kind: Kind,
    limits: [f64; 2],
    tolerance: f64,
    modifier: Modifier,
}

impl Case {
    fn at(&self, seen: &[f64], dx: f64, dy: f64, unit: Unit) -> PositionFinding {
        let size = sizes(self.kind, Some(self.limits), self.modifier, seen, unit);
        let asked = Asked {
            segment: Segment::default(),
            kind: self.kind,
            zone: Zone::Round,
            tolerance: Length::of(self.tolerance, unit),
            modifier: self.modifier,
            datums: &[],
        };
        judge_position(&asked, [dx, dy].map(|d| Some(Length::of(d, unit))), &size, None)
    }

    /// Bonus and allowed tolerance at this size.
    fn allowed(&self, size: f64, unit: Unit) -> (f64, f64) {
        let p = self.at(&[size], 0.0, 0.0, unit);
        (p.bonus.length().to(unit), p.allowed.to(unit))
    }
}

const PLAIN: Case =
    Case { kind: Kind::Hole, limits: [1.0, 2.0], tolerance: 0.01, modifier: Modifier::None };

/// Position = 2 √(dx² + dy²): the formula as Wikipedia's article on it gives it; the values are
/// worked out from it to ten places.
#[test]
fn position_is_twice_the_distance() {
    for (dx, dy, position) in [
        (0.03, 0.04, 0.1),
        (0.002, 0.003, 0.007_211_102_6),
        (0.1, 0.1, 0.282_842_712_5),
        (0.15, 0.0, 0.3),
        (0.0035, 0.0035, 0.009_899_494_9),
    ] {
        for (sx, sy) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
            let p = PLAIN.at(&[1.5], sx * dx, sy * dy, Unit::Inch);
            close(p.position.unwrap().to(Unit::Inch), position, 5e-11);
            close(p.radius.unwrap().to(Unit::Inch), position / 2.0, 5e-11);
        }
    }
}

/// The corner of a square zone of ±.005 is √2 × .010 = .0141421356 by position, so it needs a
/// round zone of that diameter, and .010 refuses it; .0035, .0035 is just inside .010.
#[test]
fn the_corner_of_a_square_zone() {
    let corner = PLAIN.at(&[1.5], 0.005, -0.005, Unit::Inch);
    close(corner.position.unwrap().to(Unit::Inch), 0.014_142_135_6, 5e-11);
    assert_eq!(corner.verdict, Verdict::DoesNotConform);
    assert_eq!(PLAIN.at(&[1.5], 0.0035, 0.0035, Unit::Inch).verdict, Verdict::Conforms);
    // The round zone that takes in the corners: π/2 times the area of the square.
    let diameter = corner.position.unwrap().to(Unit::Inch);
    close(
        std::f64::consts::PI * diameter * diameter / 4.0 / (0.01 * 0.01),
        std::f64::consts::FRAC_PI_2,
        1e-9,
    );
}

/// A value on its limit conforms, in either unit and whatever binary makes of the decimals
/// (limits are absolute: ASME Y14.5-2018, clause 5).
#[test]
fn a_position_on_its_limit_conforms() {
    for (unit, k) in
        [(Unit::Inch, 1.0), (Unit::Mm, 1.0), (Unit::Mm, 25.4), (Unit::Inch, 1.0 / 25.4)]
    {
        let case = Case { tolerance: 0.010 * k, ..PLAIN };
        let on = case.at(&[1.5], 0.003 * k, 0.004 * k, unit);
        assert_eq!(on.verdict, Verdict::Conforms, "{unit:?} {k}");
        let over = case.at(&[1.5], 0.003 * k, 0.004 * k + 1e-6, unit);
        assert_eq!(over.verdict, Verdict::DoesNotConform, "{unit:?} {k}");
    }
}

/// A slot's zone is two planes: 2 |d| across it, nothing along it (ASME Y14.5-2018, clause 10; the
/// figures are those of the definition).
#[test]
fn a_slot_is_judged_across_it_only() {
    let size = sizes(Kind::Slot, Some([0.248, 0.252]), Modifier::None, &[0.25], Unit::Inch);
    for axis in [Axis::X, Axis::Y] {
        let asked = Asked {
            segment: Segment::default(),
            kind: Kind::Slot,
            zone: Zone::Planes(axis),
            tolerance: inch(0.008),
            modifier: Modifier::None,
            datums: &[],
        };
        let (dx, dy) = match axis {
            Axis::X => (Some(inch(-0.003)), None),
            Axis::Y => (Some(inch(0.1)), Some(inch(-0.003))),
        };
        let p = judge_position(&asked, [dx, dy], &size, None);
        close(p.position.unwrap().to(Unit::Inch), 0.006, 1e-15);
        assert_eq!(p.verdict, Verdict::Conforms);
    }
}

// ---- Bonus -------------------------------------------------------------------------------

/// Exploring Drafting (2018) p. 272, fig. 10-43, and Machine Trades Print Reading (2022) p. 266:
/// a hole .750/.752, position .010 at MMC, is allowed .010 at .750, .011 at .751, .012 at .752.
#[test]
fn bonus_of_a_hole_at_mmc() {
    let case = Case {
        kind: Kind::Hole,
        limits: [0.750, 0.752],
        tolerance: 0.010,
        modifier: Modifier::Mmc,
    };
    for (size, allowed) in [(0.750, 0.010), (0.751, 0.011), (0.752, 0.012)] {
        let (bonus, is) = case.allowed(size, Unit::Inch);
        close(is, allowed, 1e-12);
        close(bonus, allowed - 0.010, 1e-12);
    }
}

/// machine-shop-tutorials, docs/measurement/gdt_basics.md: a hole .500 ±.005, position .010 at
/// MMC, is allowed .010 at .495, .015 at .500 and .020 at .505.
#[test]
fn bonus_of_a_hole_by_plus_and_minus() {
    let limits = SizeLimits::Deviations {
        nominal: Figure(0.5),
        lower: Figure(-0.005),
        upper: Figure(0.005),
    };
    let limits = limits.limits(Unit::Inch).unwrap();
    let written = [limits.lower.to(Unit::Inch), limits.upper.to(Unit::Inch)];
    close(written[0], 0.495, 1e-12);
    close(written[1], 0.505, 1e-12);
    let case =
        Case { kind: Kind::Hole, limits: written, tolerance: 0.010, modifier: Modifier::Mmc };
    for (size, allowed) in [(0.495, 0.010), (0.500, 0.015), (0.505, 0.020)] {
        close(case.allowed(size, Unit::Inch).1, allowed, 1e-12);
    }
}

/// Machine Trades Print Reading (2022) p. 266: a shaft .750/.752 has its MMC at .752 and its LMC
/// at .750, a hole the other way round. What a size adds follows from that.
#[test]
fn the_sizes_of_most_and_least_material() {
    let limits = Limits { lower: inch(0.750), upper: inch(0.752) };
    for kind in [Kind::Boss, Kind::Tab] {
        assert_eq!((limits.mmc(kind), limits.lmc(kind)), (inch(0.752), inch(0.750)));
    }
    for kind in [Kind::Hole, Kind::Slot] {
        assert_eq!((limits.mmc(kind), limits.lmc(kind)), (inch(0.750), inch(0.752)));
    }
    for (kind, modifier, sizes) in [
        (Kind::Boss, Modifier::Mmc, [(0.752, 0.0), (0.751, 0.001), (0.750, 0.002)]),
        (Kind::Boss, Modifier::Lmc, [(0.750, 0.0), (0.751, 0.001), (0.752, 0.002)]),
        (Kind::Hole, Modifier::Lmc, [(0.752, 0.0), (0.751, 0.001), (0.750, 0.002)]),
        (Kind::Tab, Modifier::Mmc, [(0.752, 0.0), (0.751, 0.001), (0.750, 0.002)]),
        (Kind::Slot, Modifier::Mmc, [(0.750, 0.0), (0.751, 0.001), (0.752, 0.002)]),
    ] {
        let case = Case { kind, limits: [0.750, 0.752], tolerance: 0.010, modifier };
        for (size, bonus) in sizes {
            let (is, allowed) = case.allowed(size, Unit::Inch);
            close(is, bonus, 1e-12);
            close(allowed, 0.010 + bonus, 1e-12);
        }
    }
}

/// Without a modifier the tolerance applies regardless of feature size (ASME Y14.5-2018, clause 5):
/// no bonus at any size.
#[test]
fn no_bonus_without_a_modifier() {
    for kind in [Kind::Hole, Kind::Boss] {
        let case =
            Case { kind, limits: [0.750, 0.752], tolerance: 0.010, modifier: Modifier::None };
        for size in [0.750, 0.751, 0.752] {
            close(case.allowed(size, Unit::Inch).1, 0.010, 1e-15);
        }
    }
}

/// The mating envelope counts: the smaller size of a hole and the larger of a boss at MMC, the
/// other way round at LMC (ASME Y14.5-2018, clauses 3 and 10; the figures are made up).
#[test]
fn the_size_that_counts() {
    for (kind, modifier, counts, bonus) in [
        (Kind::Hole, Modifier::Mmc, 0.7505, 0.0005),
        (Kind::Hole, Modifier::Lmc, 0.7515, 0.0005),
        (Kind::Boss, Modifier::Mmc, 0.7515, 0.0005),
        (Kind::Boss, Modifier::Lmc, 0.7505, 0.0005),
    ] {
        let case = Case { kind, limits: [0.750, 0.752], tolerance: 0.010, modifier };
        let p = case.at(&[0.7515, 0.7505], 0.0, 0.0, Unit::Inch);
        let Bonus::Earned { bonus: is, size, .. } = p.bonus else { panic!("{:?}", p.bonus) };
        close(size.to(Unit::Inch), counts, 1e-12);
        close(is.to(Unit::Inch), bonus, 1e-12);
    }
}

/// Zero position tolerance at MMC is common (ASME Y14.5-2018, clause 10): all there is comes from
/// the size.
#[test]
fn zero_tolerance_at_mmc() {
    let case =
        Case { kind: Kind::Hole, limits: [0.740, 0.752], tolerance: 0.0, modifier: Modifier::Mmc };
    assert_eq!(case.at(&[0.740], 0.0, 0.0, Unit::Inch).verdict, Verdict::Conforms);
    assert_eq!(case.at(&[0.740], 0.0001, 0.0, Unit::Inch).verdict, Verdict::DoesNotConform);
    let p = case.at(&[0.750], 0.003, 0.004, Unit::Inch);
    close(p.allowed.to(Unit::Inch), 0.010, 1e-12);
    assert_eq!((p.verdict, p.by_bonus), (Verdict::Conforms, true));
}

/// A size outside its limits fails the size first, earns no bonus, and the position is still
/// reported. Common practice, no source.
#[test]
fn a_size_outside_its_limits_earns_no_bonus() {
    let case = Case {
        kind: Kind::Hole,
        limits: [0.750, 0.752],
        tolerance: 0.010,
        modifier: Modifier::Mmc,
    };
    for size in [0.7495, 0.7525] {
        let p = case.at(&[size], 0.003, 0.004, Unit::Inch);
        assert_eq!(p.bonus, Bonus::None(NoBonus::SizeOut));
        close(p.position.unwrap().to(Unit::Inch), 0.010, 1e-12);
        close(p.allowed.to(Unit::Inch), 0.010, 1e-15);
    }
}

/// Salvage: a hole at MMC needs MMC + (position − tolerance), a boss MMC − (position −
/// tolerance), if that lies within the limits. Common practice, no source; the figures follow
/// from those of Exploring Drafting, fig. 10-43: position .011 is allowed from .751 on.
#[test]
fn salvage_by_size() {
    let hole = Case {
        kind: Kind::Hole,
        limits: [0.750, 0.752],
        tolerance: 0.010,
        modifier: Modifier::Mmc,
    };
    let boss = Case { kind: Kind::Boss, ..hole };
    let of = |case: &Case, seen: f64, dx: f64| {
        let size = sizes(case.kind, Some(case.limits), case.modifier, &[seen], Unit::Inch);
        let position = case.at(&[seen], dx, 0.0, Unit::Inch);
        salvage(case.kind, &size, std::iter::once(&position), DecisionRule::SimpleAcceptance)
    };
    let Some(Salvage::Possible { size, margin, .. }) = of(&hole, 0.7504, 0.0055) else { panic!() };
    close(size.to(Unit::Inch), 0.751, 1e-12);
    close(margin.to(Unit::Inch), 0.001, 1e-12);
    let Some(Salvage::Possible { size, margin, .. }) = of(&boss, 0.7516, 0.0055) else { panic!() };
    close(size.to(Unit::Inch), 0.751, 1e-12);
    close(margin.to(Unit::Inch), 0.001, 1e-12);
    let Some(Salvage::Impossible { size, beyond, .. }) = of(&hole, 0.7504, 0.0065) else {
        panic!()
    };
    close(size.to(Unit::Inch), 0.753, 1e-12);
    close(beyond.to(Unit::Inch), 0.001, 1e-12);
    assert_eq!(of(&hole, 0.7511, 0.0055), None, "it conforms by its bonus");
    assert_eq!(of(&hole, 0.7525, 0.0065), None, "too large already");
}

// ---- At the bench ------------------------------------------------------------------------

/// A part of 4.000 by 3.000 with one feature, a gauge in inches, standing on its lower edge.
fn one(feature: Feature, probe: Probe) -> Job {
    let mut job = Job::empty(Unit::Inch);
    job.set_outline(Figure(4.0), Figure(3.0));
    job.plan.instruments[0].probe = probe;
    job.drawing.features.push(feature);
    job
}

fn sized(kind: Kind, x: f64, y: f64, lower: f64, upper: f64) -> Feature {
    hole("1", [x, y]).of_kind(kind).limits(lower, upper).feature
}

fn low_high(low: f64, high: f64) -> Reading {
    reading(1, "1").low(low).high(high)
}

/// Readings without the probe constant K, the zero taken from above: an upward touch lacks K.
/// Bore or slot: size = up + K − down, centre = (up + K + down)/2. Boss or tab: size = down − up
/// − K, centre = (down + up + K)/2. Common practice, no source; K = .1575 is a ball of 4 mm.
#[test]
fn the_probe_constant() {
    let k = 0.1575;
    for (kind, up, down, size, centre) in [
        // A bore of .375 about .750: its bottom .5625 touched from above, its top .9375 from below.
        (Kind::Hole, 0.9375 - k, 0.5625, 0.375, 0.75),
        // A boss of .375 about .750: its bottom touched from below, its top from above.
        (Kind::Boss, 0.5625 - k, 0.9375, 0.375, 0.75),
    ] {
        let job = one(sized(kind, 1.0, 0.75, 0.374, 0.376), Probe::Constant(Figure(k)));
        let setup = Setup::of(&job, &job.plan.orientations[0]).unwrap();
        let (low, high) = if kind == Kind::Hole { (down, up) } else { (up, down) };
        let found = reduce(&job.drawing.features[2], &setup, &low_high(low, high));
        let (by_hand_size, by_hand_centre) = match kind {
            Kind::Hole => (up + k - down, (up + k + down) / 2.0),
            _ => (down - up - k, (down + up + k) / 2.0),
        };
        close(by_hand_size, size, 1e-12);
        close(by_hand_centre, centre, 1e-12);
        close(found.size.unwrap().to(Unit::Inch), size, 1e-12);
        close(found.along.unwrap().to(Unit::Inch), centre, 1e-12);
    }
}

/// A forgotten constant shows as K in the size and as K/2 in the centre, one with its sign
/// turned as 2K and K. Common practice, no source.
#[test]
fn what_a_wrong_probe_constant_does() {
    let k = 0.1575;
    let reading = low_high(0.5625, 0.9375 - k);
    let seen = |probe| {
        let job = one(sized(Kind::Hole, 1.0, 0.75, 0.374, 0.376), probe);
        let setup = Setup::of(&job, &job.plan.orientations[0]).unwrap();
        let found = reduce(&job.drawing.features[2], &setup, &reading);
        (found.size.unwrap().to(Unit::Inch), found.along.unwrap().to(Unit::Inch))
    };
    let (size, centre) = seen(Probe::AppliedByGauge);
    close(size, 0.375 - k, 1e-12);
    close(centre, 0.75 - k / 2.0, 1e-12);
    let (size, centre) = seen(Probe::Constant(Figure(-k)));
    close(size, 0.375 - 2.0 * k, 1e-12);
    close(centre, 0.75 - k, 1e-12);
}

/// K is what both sides of one plane differ by: K = down − up. So both touches of a plane must
/// come out as one coordinate, whichever way the zero was touched. Common practice, no source.
#[test]
fn both_sides_of_one_plane() {
    let k = Length::mm(3.9963);
    for zero_contact in [Contact::FromAbove, Contact::FromBelow, Contact::Centre] {
        let setup = Setup {
            up: Side::PlusY.direction(),
            unit: Unit::Mm,
            probe: k,
            base: Length::mm(12.0),
            zero_contact,
            taken: Taken::Touches,
            base_is_known: true,
            zeroed: true,
        };
        let down = setup.raw(Length::mm(30.0), Contact::FromAbove);
        let up = setup.raw(Length::mm(30.0), Contact::FromBelow);
        close((down - up).to_mm(), k.to_mm(), 1e-12);
        close(setup.coordinate(down, Contact::FromAbove).to_mm(), 30.0, 1e-12);
        close(setup.coordinate(up, Contact::FromBelow).to_mm(), 30.0, 1e-12);
    }
}

/// The height of (x, y) = (.75, .50) on a part of 4 by 3 that stands in each of the four ways:
/// +Y up on its lower edge y; −X up on its right edge L − x (turned clockwise); −Y up on its
/// upper edge H − y; +X up on its left edge x (turned counter-clockwise). On blocks of s: s more.
/// Geometry; the sign of the second one is the classic mistake (common practice, no source).
#[test]
fn the_height_of_a_point_in_each_of_the_four_ways_to_stand() {
    for (up, height) in [
        (Side::PlusY, 0.5),
        (Side::MinusX, 4.0 - 0.75),
        (Side::MinusY, 3.0 - 0.5),
        (Side::PlusX, 0.75),
    ] {
        for blocks in [0.0, 1.5] {
            let mut job = one(sized(Kind::Hole, 0.75, 0.5, 0.25, 0.252), Probe::AppliedByGauge);
            let o = &mut job.plan.orientations[0];
            o.up_degrees = up.degrees();
            o.rest.face = None;
            o.rest.blocks = Blocks::High(Figure(blocks));
            o.taken = Taken::CentreAndSize;
            let o = &job.plan.orientations[0];
            let list = expected(&job, o, Setup::of(&job, o).ok().as_ref());
            let centre = list.iter().find(|e| e.feature == 2 && e.touch == Touch::Centre).unwrap();
            close(centre.raw.unwrap().to(Unit::Inch), height + blocks, 1e-12);
        }
    }
}

/// With the zero on the left edge C, standing with −X up, every height is −x.
#[test]
fn from_the_left_edge_on_top_heights_are_negative() {
    let mut job = one(sized(Kind::Hole, 0.75, 0.5, 0.25, 0.252), Probe::AppliedByGauge);
    let o = &mut job.plan.orientations[0];
    o.up_degrees = 180.0;
    o.rest.face = None;
    o.zero = from("C");
    o.taken = Taken::CentreAndSize;
    let o = &job.plan.orientations[0];
    let list = expected(&job, o, Setup::of(&job, o).ok().as_ref());
    let centre = list.iter().find(|e| e.feature == 2 && e.touch == Touch::Centre).unwrap();
    close(centre.raw.unwrap().to(Unit::Inch), -0.75, 1e-12);
}

/// Virtual condition: a hole at MMC .750 with position .010 has .740, a boss at MMC .752 has
/// .762 (ASME Y14.5-2018, clause 3: MMC less, or plus, the tolerance; figures of the hole and the
/// shaft of Machine Trades Print Reading p. 266). Seen from one side: the lowest point of the
/// hole must not be above basic − VC/2, its highest not below basic + VC/2; a boss's lowest
/// not below basic − VC/2, its highest not above basic + VC/2.
#[test]
fn virtual_condition_from_one_side() {
    for (kind, vc) in [(Kind::Hole, 0.740), (Kind::Boss, 0.762)] {
        let mut feature = sized(kind, 2.0, 1.5, 0.750, 0.752);
        feature.callouts = vec![Callout::Position(position(0.010, &[]).at_mmc())];
        let job = one(feature, Probe::AppliedByGauge);
        let o = &job.plan.orientations[0];
        let list = expected(&job, o, Setup::of(&job, o).ok().as_ref());
        let limit = |touch| {
            list.iter().find(|e| e.feature == 2 && e.touch == touch).unwrap().limit.unwrap()
        };
        let (low, high) = (limit(Touch::Low), limit(Touch::High));
        let (low, high) = match (kind, low, high) {
            (Kind::Hole, VirtualLimit::AtMost(low), VirtualLimit::AtLeast(high))
            | (Kind::Boss, VirtualLimit::AtLeast(low), VirtualLimit::AtMost(high)) => (low, high),
            other => panic!("{other:?}"),
        };
        close(low.to(Unit::Inch), 1.5 - vc / 2.0, 1e-12);
        close(high.to(Unit::Inch), 1.5 + vc / 2.0, 1e-12);
    }
}

/// Sizes come as differences of readings, and a size on its limit conforms: .5046 − .1266 is
/// .3780, though binary makes it larger, and .6354 − .2604 is .3750, though binary makes it
/// smaller (limits are absolute: ASME Y14.5-2018, clause 5).
#[test]
fn a_size_on_its_limit_conforms() {
    let difference = |low, high| inch(high) - inch(low);
    let trouble =
        difference(0.1266, 0.5046) > inch(0.3780) && difference(0.2604, 0.6354) < inch(0.3750);
    assert!(trouble, "binary gives no trouble here: the test proves nothing");
    for (low, high, conforms) in [
        (0.1266, 0.5046, true),
        (0.1266, 0.504_65, false),
        (0.2604, 0.6354, true),
        (0.2604, 0.635_35, false),
    ] {
        let mut job = one(sized(Kind::Hole, 1.0, 0.4, 0.375, 0.378), Probe::AppliedByGauge);
        job.pieces[0].readings.push(low_high(low, high));
        let verdict = common::feature(&evaluate(&job).pieces[0], "1").verdict;
        let should = if conforms { Verdict::Conforms } else { Verdict::DoesNotConform };
        assert_eq!(verdict, should, "{low} {high}");
    }
}

// ---- Handbook patterns, measured back ------------------------------------------------------

/// Holes of a pattern as the handbook gives them, true where the geometry puts them; to be measured
/// from the plate with +Y up, and from the left edge with −X up.
fn pattern(unit: Unit, extent: [f64; 2], holes: &[([f64; 2], [f64; 2])]) -> Part {
    let holes = (1..).zip(holes).map(|(number, (nominal, actual))| {
        let hole = hole(&format!("{number}"), *nominal).limits(0.25, 0.26);
        hole.position(0.02, &["A", "B", "C"]).really(*actual)
    });
    Part::plate(unit, extent).put_all(holes).with(|job| {
        job.gauge().probe = Probe::Constant(Figure(4.0 / unit.in_mm()));
        job.plan.orientations.iter_mut().for_each(|o| o.rest.face = None);
        let second = job.stand(2);
        (second.up_degrees, second.zero) = (180.0, from("C"));
    })
}

/// x and y that are measured of the holes, in the drawing's unit.
fn measured_back(part: Part) -> Vec<[f64; 2]> {
    let unit = part.job.drawing.unit;
    let holes = part.found().features.into_iter().filter(|f| f.kind == Kind::Hole);
    holes.map(|f| f.at().map(|v| Length::mm(v).to(unit))).collect()
}

/// Degrees to the point of a circle about the middle of the part.
fn on_circle(middle: [f64; 2], radius: f64, degrees: f64) -> [f64; 2] {
    let a = degrees.to_radians();
    [middle[0] + radius * libm::cos(a), middle[1] + radius * libm::sin(a)]
}

/// Six holes on a bolt circle: offsets 31.75 and 54.99 for 127, 19.05 and 33.00 for 76.2, 44.45
/// and 76.99 for 177.8, 57.15 and 98.99 for 228.6 mm (a machine-shop table of bolt circles;
/// half the radius, and the radius times cos 30°).
#[test]
fn six_holes_on_a_bolt_circle() {
    for (bcd, short, long) in
        [(127.0, 31.75, 54.99), (76.2, 19.05, 33.00), (177.8, 44.45, 76.99), (228.6, 57.15, 98.99)]
    {
        let c = [150.0, 150.0];
        let table = [
            [bcd / 2.0, 0.0],
            [short, long],
            [-short, long],
            [-bcd / 2.0, 0.0],
            [-short, -long],
            [short, -long],
        ];
        let holes: Vec<_> = (0..6)
            .zip(table)
            .map(|(i, t)| {
                ([c[0] + t[0], c[1] + t[1]], on_circle(c, bcd / 2.0, 60.0 * f64::from(i)))
            })
            .collect();
        let found = measured_back(pattern(Unit::Mm, [300.0, 300.0], &holes));
        for (at, (nominal, actual)) in found.iter().zip(&holes) {
            for axis in 0..2 {
                close(at[axis], actual[axis], 1e-9);
                close(at[axis], nominal[axis], 0.005);
            }
        }
    }
}

/// Five holes on a radius of 50: (50, 0), (15.45, 47.55), (−40.45, 29.39) and mirrored; the chord
/// is 1.1756 times the radius (machine-shop-tutorials, docs/bolt_circles/5_hole_pattern.md).
#[test]
fn five_holes_on_a_bolt_circle() {
    let c = [80.0, 80.0];
    let table = [[50.0, 0.0], [15.45, 47.55], [-40.45, 29.39], [-40.45, -29.39], [15.45, -47.55]];
    let holes: Vec<_> = (0..5)
        .zip(table)
        .map(|(i, t)| ([c[0] + t[0], c[1] + t[1]], on_circle(c, 50.0, 72.0 * f64::from(i))))
        .collect();
    let found = measured_back(pattern(Unit::Mm, [160.0, 160.0], &holes));
    for (at, (nominal, _)) in found.iter().zip(&holes) {
        close(at[0], nominal[0], 0.005);
        close(at[1], nominal[1], 0.005);
    }
    for i in 0..5 {
        let (a, b) = (found[i], found[(i + 1) % 5]);
        let chord = ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt();
        close(chord / 50.0, 1.1756, 0.00005);
        close(chord / 50.0, 1.175_570_5, 5e-8);
    }
}

/// Twelve holes on a circle of 8 in that straddle the axis: the first is 4 sin 15°, 4 cos 15°
/// from the middle, 1.0352762 and 3.8637033 (formula as common practice has it, no source).
#[test]
fn twelve_holes_straddling_the_axis() {
    let c = [5.0, 5.0];
    let holes: Vec<_> = (0..12)
        .map(|i| on_circle(c, 4.0, 75.0 - 30.0 * f64::from(i)))
        .map(|at| (at.map(|v| (v * 1e4).round() / 1e4), at))
        .collect();
    let found = measured_back(pattern(Unit::Inch, [10.0, 10.0], &holes));
    close(found[0][0] - c[0], 1.035_276_2, 5e-8);
    close(found[0][1] - c[1], 3.863_703_3, 5e-8);
}

/// Three points (0, 0), (8, 0), (0, 6) lie on a circle about (4, 3) with radius 5: a 6-8-10
/// triangle. Measured back, the distances must be those of the triangle.
#[test]
fn the_six_eight_ten_triangle() {
    let at = [[1.0, 1.0], [9.0, 1.0], [1.0, 7.0]];
    let holes: Vec<_> = at.iter().map(|p| (*p, *p)).collect();
    let found = measured_back(pattern(Unit::Inch, [10.0, 8.0], &holes));
    let apart = |a: [f64; 2], b: [f64; 2]| ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt();
    close(apart(found[0], found[1]), 8.0, 1e-12);
    close(apart(found[0], found[2]), 6.0, 1e-12);
    close(apart(found[1], found[2]), 10.0, 1e-12);
    for p in found {
        close(apart(p, [5.0, 4.0]), 5.0, 1e-12);
    }
}

/// Sine bar: at 30° a point stands x cos 30° + y sin 30° above the origin; sin 30° is a half
/// exactly, and a 10 in bar at 30° is raised by 5 in (from memory: H = L sin A).
#[test]
fn an_orientation_on_a_sine_bar() {
    let mut job = one(sized(Kind::Hole, 1.0, 2.0, 0.25, 0.252), Probe::AppliedByGauge);
    let mut origin = sized(Kind::Hole, 0.5, 0.5, 0.25, 0.252);
    origin.number = "0".to_owned();
    job.drawing.features.push(origin);
    let o = &mut job.plan.orientations[0];
    o.up_degrees = 30.0;
    o.zero = from("0");
    o.taken = Taken::CentreAndSize;
    let o = &job.plan.orientations[0];
    let list = expected(&job, o, Setup::of(&job, o).ok().as_ref());
    let centre = list.iter().find(|e| e.feature == 2 && e.touch == Touch::Centre).unwrap();
    // From (.5, .5) to (1, 2): .5 cos 30° + 1.5 × .5.
    close(centre.raw.unwrap().to(Unit::Inch), 0.5 * 0.866_025_403_784_438_6 + 0.75, 1e-12);
}

/// A gauge in millimetres on a drawing in inches: .75 in is read as 19.05 mm.
#[test]
fn a_drawing_in_inches_and_a_gauge_in_millimetres() {
    let mut job = one(sized(Kind::Hole, 1.0, 0.75, 0.375, 0.378), Probe::AppliedByGauge);
    job.plan.instruments[0] = Instrument {
        name: "metric gauge".to_owned(),
        identification: String::new(),
        calibration_due: String::new(),
        unit: Unit::Mm,
        resolution: Figure(0.001),
        error_limit: None,
        probe: Probe::AppliedByGauge,
        ..Instrument::default()
    };
    job.plan.orientations[0].taken = Taken::CentreAndSize;
    let o = &job.plan.orientations[0];
    let list = expected(&job, o, Setup::of(&job, o).ok().as_ref());
    let centre = list.iter().find(|e| e.feature == 2 && e.touch == Touch::Centre).unwrap();
    close(centre.raw.unwrap().to(Unit::Mm), 19.05, 1e-12);
    job.take(reading(1, "1").centre(19.063).size(9.563));
    let f = &evaluate(&job).pieces[0].features[2];
    close(f.y.at().unwrap().to_mm(), 19.063, 1e-12);
    close(f.size.counts.unwrap().to(Unit::Inch), 9.563 / 25.4, 1e-12);
}
