//! What is known of the uncertainty, of what, and what it is made of.

use crate::build::{Build, Made, Part, Read, from, hole, reading};
use quarterturn_core::callout::{Bonus, NoBonus, Salvage, Verdict};
use quarterturn_core::entry::relation;
use quarterturn_core::findings::{Budget, Ready};
use quarterturn_core::job::{
    Blocks, Conditions, Coverage, DatumRef, DecisionRule, Instrument, Job, Modifier, Orientation,
    Probe, Reading, Slope, Taken, read as read_file, write,
};
use quarterturn_core::mark::svg;
use quarterturn_core::quantity::Figure;
use quarterturn_core::relation::Relation;
use quarterturn_core::sheet::{Extent, sheet};
use quarterturn_core::show::{certainty, reason, sentence};

/// Step of the display, mm.
const STEP: f64 = 0.001;

/// A hole of 6 to 6.1 mm, position 0.1 to A, B and C.
fn drilled(number: &str, place: [f64; 2]) -> Made {
    hole(number, place).limits(6.0, 6.1).position(0.1, &["A", "B", "C"])
}

/// Such holes, centre and size read.
fn part(holes: &[(&str, f64, f64)]) -> Part {
    Part::by_centres()
        .with(|job| job.gauge().resolution = Figure(STEP))
        .put_all(holes.iter().map(|(n, x, y)| drilled(n, [*x, *y])))
}

fn job(holes: &[(&str, f64, f64)]) -> Job {
    part(holes).job
}

fn read(job: &mut Job, orientation: u32, feature: &str, centre: f64) {
    job.take(reading(orientation, feature).centre(centre).size(6.05));
}

fn close(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within * should.abs(), "{is} for {should}");
}

/// The variance of a uniform quantity of half width r/2: r²/12 (JCGM 100, 4.3.7 and F.2.2.1).
const OF_STEP: f64 = STEP * STEP / 12.0;

#[test]
fn lucky_repeats_show_nothing_finer_than_the_display() {
    // Six sizes that agree in every digit, in each of two orientations: ten degrees of freedom.
    let mut job = job(&[("1", 30.0, 20.0)]);
    job.plan.instruments[0].error_limit = None;
    read(&mut job, 1, "1", 20.0);
    read(&mut job, 2, "1", 30.0);
    for r in &mut job.pieces[0].readings {
        r.size = vec![Figure(6.05); 6];
    }
    let variance = |job: &Job| {
        let u = job.found_of("1").size.proof.unwrap().standard.to_mm();
        u * u
    };
    // The step is common to the six. That they agree says that they scatter by no more than the
    // display can show, and of that the mean of six has a sixth.
    close(variance(&job), OF_STEP * (1.0 + 1.0 / 6.0), 1e-12);
    assert!(variance(&job) >= OF_STEP);
    // A scatter that is stated is not disproved by them.
    job.plan.instruments[0].repeatability = Some(Figure(0.0006));
    close(variance(&job), OF_STEP + 0.0006 * 0.0006 / 6.0, 1e-12);
    // Repeats that do scatter count, and the step stays common however many there are.
    for r in &mut job.pieces[0].readings {
        r.size = (0..50).map(|i| Figure(6.05 + if i % 2 == 0 { 0.004 } else { -0.004 })).collect();
    }
    close(variance(&job), OF_STEP + 0.004 * 0.004 / 49.0, 1e-12);
}

/// Two more orientations with the same sides up, and a second gauge for them of which nothing but
/// its step is known.
fn with_unknown_gauge(job: &mut Job) {
    let unknown = Instrument {
        name: "Old gauge".to_owned(),
        resolution: Figure(STEP),
        ..job.plan.instruments[0].clone()
    };
    job.plan.instruments.push(Instrument { error_limit: None, ..unknown });
    for number in [1, 2] {
        let same = job.orientation(number).unwrap().clone();
        job.plan.orientations.push(Orientation { number: number + 2, instrument: 1, ..same });
    }
}

#[test]
fn a_size_by_an_unknown_gauge_is_not_known_nor_the_bonus_it_makes() {
    let mut job = job(&[("1", 30.0, 20.0)]);
    with_unknown_gauge(&mut job);
    for (orientation, centre) in [(1, 20.01), (2, 30.01)] {
        read(&mut job, orientation, "1", centre);
    }
    let one = job.found_of("1");
    assert!(one.size.proof.is_some() && one.position.unwrap().proof.is_some());
    // The sizes come from the other gauge, which gives no centre.
    for r in &mut job.pieces[0].readings {
        r.size.clear();
    }
    read(&mut job, 3, "1", 0.0);
    job.pieces[0].readings[2].centre.clear();
    let one = job.found_of("1");
    assert!(one.size.counts.is_some() && one.size.proof.is_none());
    assert!(one.covariance.is_some() && one.position.unwrap().proof.is_some());
    job.position("1").modifier = Modifier::Mmc;
    let one = job.found_of("1");
    assert!(one.covariance.is_some() && one.position.unwrap().proof.is_none());
}

/// Holes 1 and 2 by the known gauge, the datum holes 7 and 8 by the unknown one.
fn datums_by_the_unknown_gauge() -> Job {
    let holes = [("7", 20.0, 15.0), ("8", 100.0, 15.0), ("1", 40.0, 55.0), ("2", 90.0, 45.0)];
    let mut job = job(&holes);
    with_unknown_gauge(&mut job);
    for (letter, feature) in [("D", "7"), ("E", "8")] {
        job.add_datum(letter, feature);
    }
    job.position("1").datums = DatumRef::all(&["A", "D", "E"]);
    for (i, (number, x, y)) in holes.into_iter().enumerate() {
        let from = if i < 2 { 3 } else { 1 };
        read(&mut job, from, number, y);
        read(&mut job, from + 1, number, x);
    }
    job
}

#[test]
fn a_datum_read_by_an_unknown_gauge_leaves_what_refers_to_it_unknown() {
    let mut job = datums_by_the_unknown_gauge();
    let proof = |job: &Job, number: &str| job.found_of(number).position.unwrap().proof;
    assert!(proof(&job, "2").is_some(), "it refers to the edges, by the known gauge alone");
    assert_eq!(proof(&job, "1"), None);
    assert_eq!(job.found_of("1").covariance, None);
    assert_eq!(proof(&job, "7"), None);
    // The known gauge has sizes of both holes.
    assert!(job.found_of("1").size.proof.is_some() && job.found_of("7").size.proof.is_none());
    job.plan.instruments[1].error_limit = Some(Figure(0.003));
    assert!(proof(&job, "1").is_some() && proof(&job, "7").is_some());
}

#[test]
fn the_sheet_says_whose_uncertainty_was_not_evaluated() {
    let text = |job: &Job| -> String {
        let ready = Ready::of(job);
        let pages = sheet(job, &ready, 0, &ready.piece(0).unwrap(), Extent::Full);
        let mut text = String::new();
        for page in &pages {
            for part in svg(page).split('<') {
                text.push_str(part.split_once('>').map_or("", |(_, said)| said));
                text.push(' ');
            }
        }
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let mut job = datums_by_the_unknown_gauge();
    let said = text(&job);
    assert!(said.contains("not evaluated for hole 7, hole 8, hole 1, which rest on"), "{said}");
    assert!(said.contains("readings of Old gauge"), "{said}");
    assert!(
        said.contains("expanded with k as stated") && !said.contains("for this sheet"),
        "{said}"
    );
    job.plan.instruments[0].error_limit = None;
    assert!(text(&job).contains("was not evaluated for this sheet"));
    job.gauge_errs_by(0.002);
    job.plan.instruments[1].error_limit = Some(Figure(0.002));
    assert!(!text(&job).contains("not evaluated"));
}

#[test]
fn an_unknown_gauge_weighs_no_more_than_the_worst_known_one() {
    // The same hole by both gauges, a hundredth apart.
    let mut job = job(&[("1", 30.0, 20.0)]);
    with_unknown_gauge(&mut job);
    for (orientation, centre) in [(1, 20.0), (2, 30.0), (3, 20.01), (4, 30.01)] {
        read(&mut job, orientation, "1", centre);
    }
    let one = job.found_of("1");
    close(one.y.at().unwrap().to_mm(), 20.005, 1e-12);
    // What it has a share in is not known; its neighbour's zero is the same, and shares in it.
    assert!(one.covariance.is_none());
    // With a coarser step than that it weighs less.
    job.plan.instruments[1].resolution = Figure(0.1);
    let y = job.found_of("1").y.at().unwrap().to_mm();
    assert!(y > 20.0 && y < 20.0001, "{y}");
}

/// One hole with a bonus, decided with a guard band of U, and these sizes.
fn guarded(tolerance: f64, off: f64, size: f64) -> Job {
    let mut job = job(&[("1", 30.0, 20.0)]);
    let position = job.position("1");
    (position.tolerance, position.modifier) = (Figure(tolerance), Modifier::Mmc);
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    read(&mut job, 1, "1", 20.0);
    read(&mut job, 2, "1", 30.0 + off);
    resize(&mut job, size);
    job
}

fn resize(job: &mut Job, size: f64) {
    for r in &mut job.pieces[0].readings {
        r.size = vec![Figure(size)];
    }
}

fn said(job: &Job, number: &str) -> [String; 2] {
    let f = job.found_of(number);
    let feature = job.feature(number).unwrap();
    [reason(&f, &job.drawing), sentence(&f, feature, job)]
}

#[test]
fn a_size_that_is_not_proven_keeps_its_bonus_and_one_that_fails_loses_it() {
    // Position 0.12 of 0.05: it takes 0.07 of bonus. U of the size is 0.0024.
    let verdicts = |job: &Job| {
        let f = job.found_of("1");
        let p = f.position.unwrap();
        (f.size.verdict, p.bonus, p.verdict, f.verdict)
    };
    let mut job = guarded(0.05, 0.06, 6.1005);
    let (size, bonus, position, whole) = verdicts(&job);
    assert_eq!(
        (size, position, whole),
        (Verdict::NotProven, Verdict::Conforms, Verdict::NotProven)
    );
    close(bonus.length().to_mm(), 0.1, 1e-12);
    for text in said(&job, "1") {
        let place = "size in the guard band, 0.0005 outside its upper limit, U = 0.0024";
        assert!(text.contains(place) && !text.contains("above"), "{text}");
    }
    // Inside the limit it is no better.
    resize(&mut job, 6.0995);
    assert_eq!(verdicts(&job).0, Verdict::NotProven);
    assert!(said(&job, "1")[0].contains("0.0005 inside its upper limit"));
    // Beyond the guard band it fails, and has none.
    resize(&mut job, 6.103);
    let (size, bonus, position, _) = verdicts(&job);
    assert_eq!((size, position), (Verdict::DoesNotConform, Verdict::DoesNotConform));
    assert_eq!(bonus, Bonus::None(NoBonus::SizeOut));
    assert!(said(&job, "1")[0].starts_with("size above its limit by 0.003"));
    // By simple acceptance the measured value alone decides.
    resize(&mut job, 6.1005);
    job.plan.decision_rule = DecisionRule::SimpleAcceptance;
    let (size, bonus, ..) = verdicts(&job);
    assert_eq!((size, bonus), (Verdict::DoesNotConform, Bonus::None(NoBonus::SizeOut)));
    // Beyond MMC there is nothing to depart from, however little is proven.
    let small = guarded(0.05, 0.02, 5.9995);
    let (size, bonus, position, _) = verdicts(&small);
    assert_eq!((size, position), (Verdict::NotProven, Verdict::Conforms));
    assert!(matches!(bonus, Bonus::Earned { .. }) && bonus.length().to_mm() == 0.0);
    assert!(said(&small, "1")[0].contains("0.0005 outside its lower limit"));
}

#[test]
fn a_position_that_fails_says_of_a_size_in_the_guard_band_that_nothing_is_proven() {
    let job = guarded(0.05, 0.09, 6.1005);
    let f = job.found_of("1");
    assert_eq!((f.size.verdict, f.verdict), (Verdict::NotProven, Verdict::DoesNotConform));
    let [short, long] = said(&job, "1");
    assert!(short.starts_with("outside its zone by 0.030"), "{short}");
    assert!(
        long.contains("does not conform: its position is outside the zone by 0.030."),
        "{long}"
    );
    assert!(
        long.contains("Not proven either way: size in the guard band, 0.0005 outside"),
        "{long}"
    );
}

#[test]
fn salvage_keeps_the_guard_bands() {
    let mut job = guarded(0.05, 0.05, 6.02);
    let f = job.found_of("1");
    assert_eq!(f.verdict, Verdict::DoesNotConform);
    let Some(Salvage::Possible { size, margin, guard: Some(guard) }) = f.salvage else { panic!() };
    // Just enough: at that size the position conforms by its guard band, and not below it.
    let expanded = f.position.unwrap().proof.unwrap().expanded;
    close(guard.of_position.to_mm(), expanded.to_mm(), 1e-12);
    close(size.to_mm(), 6.0 + 0.1 - 0.05 + expanded.to_mm(), 1e-12);
    for text in said(&job, "1") {
        assert!(text.contains("guard bands kept"), "{text}");
    }
    let at = |job: &mut Job, size: f64| {
        resize(job, size);
        job.found_of("1").position.unwrap().verdict
    };
    assert_eq!(at(&mut job, size.to_mm() + 1e-8), Verdict::Conforms);
    assert_eq!(at(&mut job, size.to_mm() - 1e-8), Verdict::NotProven);
    // What is left is left to the limit less the guard band of the size.
    close(margin.to_mm(), 6.1 - guard.of_size.to_mm() - size.to_mm(), 1e-9);
    let at = |job: &mut Job, size: f64| {
        resize(job, size);
        job.found_of("1").size.verdict
    };
    assert_eq!(at(&mut job, (size + margin).to_mm() - 1e-8), Verdict::Conforms);
    assert_eq!(at(&mut job, (size + margin).to_mm() + 1e-8), Verdict::NotProven);
    // Needed 6.099 or so: that is inside the limit and not inside the guard band.
    let close_to = guarded(0.05, 0.071, 6.02);
    let Some(Salvage::Impossible { size, .. }) = close_to.found_of("1").salvage else { panic!() };
    assert!(size.to_mm() < 6.1, "{size:?}");
    assert!(said(&close_to, "1")[1].contains("less the guard band"));
    // Simple acceptance keeps none.
    let mut simple = guarded(0.05, 0.05, 6.02);
    simple.plan.decision_rule = DecisionRule::SimpleAcceptance;
    let Some(Salvage::Possible { size, guard: None, .. }) = simple.found_of("1").salvage else {
        panic!()
    };
    close(size.to_mm(), 6.05, 1e-12);
}

fn budget(job: &Job, number: &str) -> Budget {
    let index = job.drawing.features.iter().position(|f| f.number == number).unwrap();
    Ready::of(job).budget(0, index).unwrap()
}

/// Standard uncertainty of the line with this name; nothing where there is none.
fn line(budget: &Budget, name: &str) -> f64 {
    budget.lines.iter().find(|l| l.name == name).map_or(0.0, |l| l.standard.to_mm())
}

/// Touches with two gauges, one for each axis; hole 3 refers to holes 1 and 2, has a bonus, and
/// counts from hole 2 in the first orientation. Every source of uncertainty has a share.
fn everything() -> Job {
    let holes = [("1", 20.0, 15.0), ("2", 100.0, 15.0), ("3", 60.0, 55.0)];
    let Part { mut job, truth } = part(&holes);
    let first = Instrument {
        name: "Gauge one".to_owned(),
        error_growth: Some(10.0),
        repeatability: Some(Figure(0.0008)),
        probe: Probe::Constant(Figure(3.0)),
        probe_standard: Some(Figure(0.0007)),
        ..job.plan.instruments[0].clone()
    };
    let second = Instrument {
        name: "Gauge two".to_owned(),
        error_limit: Some(Figure(0.003)),
        repeatability: Some(Figure(0.0005)),
        ..first.clone()
    };
    job.plan.instruments = vec![first, second];
    for o in &mut job.plan.orientations {
        o.taken = Taken::Touches;
    }
    job.plan.orientations[1].instrument = 1;
    job.plan.conditions = Conditions {
        plate_flatness: Some(Figure(0.002)),
        rest_standard: None,
        squareness: Some(Slope { deviation: Figure(0.003), over: Figure(100.0) }),
        temperature_limit: Some(1.0),
        part_expansion: Some(23.0),
        // Nothing is corrected, so that what temperature does to the uncertainty is all it does.
        gauge_expansion: None,
    };
    job.pieces[0].part_celsius = Some(24.0);
    for (letter, feature) in [("D", "1"), ("E", "2")] {
        job.add_datum(letter, feature);
    }
    let position = job.position("3");
    position.datums = DatumRef::all(&["A", "D", "E"]);
    position.modifier = Modifier::Mmc;
    let off = [("2", [0.01, 0.0]), ("3", [0.03, 0.02])];
    let mut job = Part { job, truth }.off(&off).read();
    for r in &mut job.pieces[0].readings {
        r.low = vec![r.low[0]; 3];
        if (r.orientation, r.feature.as_str()) == (1, "3") {
            r.zero = Some(from("2"));
            r.low.iter_mut().chain(&mut r.high).for_each(|v| v.0 -= 15.0);
        }
    }
    job
}

#[test]
fn a_budget_adds_up_to_the_uncertainty_of_the_verdict() {
    let mut job = everything();
    // And a third orientation, by which heights are adjusted and not only worked out.
    let again = Orientation { number: 3, ..job.plan.orientations[0].clone() };
    job.plan.orientations.push(again);
    let more: Vec<Reading> = job.pieces[0]
        .readings
        .iter()
        .filter(|r| r.orientation == 1)
        .map(|r| Reading { orientation: 3, low: vec![r.low[0]], ..r.clone() })
        .collect();
    job.pieces[0].readings.extend(more);
    for number in ["1", "2", "3"] {
        let budget = budget(&job, number);
        let shares: f64 = budget.lines.iter().map(|l| l.share).sum();
        close(shares, 1.0, 1e-9);
        let sum: f64 = budget.lines.iter().map(|l| l.standard.to_mm() * l.standard.to_mm()).sum();
        let position = job.found_of(number).position.unwrap();
        let proof = position.proof.unwrap();
        close(sum.sqrt(), proof.standard.to_mm(), 1e-9);
        close(budget.standard.to_mm(), proof.standard.to_mm(), 1e-9);
    }
    // Nothing is left out, nor counted twice.
    let three = budget(&job, "3");
    let names: Vec<&str> = three.lines.iter().map(|l| l.name.as_str()).collect();
    for name in [
        "gauge error, Gauge one",
        "gauge error, Gauge two",
        "repeatability, Gauge one",
        "plate flatness",
        "gauge error growing with height, Gauge two",
        "temperature difference",
        "coefficients of expansion",
        "squareness of the orientations",
        "zero setting, Gauge one",
    ] {
        assert_eq!(names.iter().filter(|n| **n == name).count(), 1, "{name} in {names:?}");
    }
}

#[test]
fn the_budget_of_a_relation_adds_up_to_the_uncertainty_of_its_figure() {
    let mut job = everything();
    for text in ["distance 1 2 along x 80 ±0.1", "wall 1 3 min 20", "centres 2 3 56.57 ±0.1"] {
        let number = job.free_relation_number();
        let kind = relation(text, job.drawing.unit).unwrap_or_else(|e| panic!("{text}: {e}"));
        job.drawing.relations.push(Relation { number, kind, note: String::new() });
    }
    let ready = Ready::of(&job);
    let found = ready.piece(0).unwrap().relations;
    for (i, relation) in found.iter().enumerate() {
        let budget = ready.relation_budget(0, i).unwrap();
        let sum: f64 = budget.lines.iter().map(|l| l.standard.to_mm() * l.standard.to_mm()).sum();
        let stated = relation.proof.unwrap().standard.to_mm();
        close(sum.sqrt(), stated, 1e-9);
        close(budget.lines.iter().map(|l| l.share).sum(), 1.0, 1e-9);
    }
    assert!(ready.relation_budget(0, found.len()).is_none());
}

#[test]
fn a_source_twice_as_large_has_four_times_its_share_of_the_variance_and_no_other_changes() {
    // Nothing is measured twice, so the weights change nothing.
    let job = everything();
    let before = budget(&job, "3");
    type Change = fn(&mut Job);
    let cases: [(&str, Change, &[&str]); 7] = [
        (
            "gauge error growing with height, Gauge two",
            |job| job.plan.instruments[1].error_growth = Some(20.0),
            &[],
        ),
        ("temperature difference", |job| job.plan.conditions.temperature_limit = Some(2.0), &[]),
        ("coefficients of expansion", |job| job.pieces[0].part_celsius = Some(28.0), &[]),
        (
            "squareness of the orientations",
            |job| {
                job.plan.conditions.squareness =
                    Some(Slope { deviation: Figure(0.006), over: Figure(100.0) });
            },
            &[],
        ),
        // The touches that set zeros and those of the size are of the same gauge.
        (
            "gauge error, Gauge two",
            |job| job.plan.instruments[1].error_limit = Some(Figure(0.006)),
            &["zero setting, Gauge two"],
        ),
        (
            "repeatability, Gauge one",
            |job| job.plan.instruments[0].repeatability = Some(Figure(0.0016)),
            &["zero setting, Gauge one"],
        ),
        (
            "plate flatness",
            |job| job.plan.conditions.plate_flatness = Some(Figure(0.004)),
            &["zero setting, Gauge one", "zero setting, Gauge two"],
        ),
    ];
    for (name, change, too) in cases {
        let mut other = job.clone();
        change(&mut other);
        let after = budget(&other, "3");
        assert!(line(&before, name) > 0.0, "{name}");
        for l in &before.lines {
            let times = if l.name == name { 2.0 } else { 1.0 };
            if too.contains(&l.name.as_str()) {
                continue;
            }
            // The angle of a slope is not quite the slope.
            let (is, was) = (line(&after, &l.name), l.standard.to_mm());
            assert!((is / was - times).abs() < 1e-6, "{name}: {} {is} {was}", l.name);
        }
    }
}

#[test]
fn a_budget_is_of_the_gauge_that_measured_along_the_deviation() {
    // Hole 1 is off along X, which the second gauge measured; by hand: of x = centre less zero, 2r is
    // twice, and each has a uniform error of 0.003.
    let mut job = everything();
    job.plan.conditions = Conditions::default();
    job.pieces[0].part_celsius = None;
    for i in &mut job.plan.instruments {
        (i.error_growth, i.probe_standard, i.repeatability) = (None, None, None);
    }
    for r in &mut job.pieces[0].readings {
        if (r.orientation, r.feature.as_str()) == (2, "1") {
            for v in r.low.iter_mut().chain(&mut r.high) {
                v.0 += 0.04;
            }
        }
    }
    let found = budget(&job, "1");
    let u = 0.003 / 3.0_f64.sqrt();
    close(line(&found, "gauge error"), 2.0 * u * 0.5_f64.sqrt(), 1e-12);
    let step = OF_STEP.sqrt();
    close(line(&found, "resolution"), 2.0 * step * 0.5_f64.sqrt(), 1e-12);
    // The low ends were touched three times, and agreed: they may scatter within the display.
    let scatter = 0.25 * OF_STEP * (1.0 / 3.0 + 1.0);
    close(line(&found, "repeatability"), 2.0 * scatter.sqrt(), 1e-12);
    close(line(&found, "zero setting"), 2.0 * (u * u + 2.0 * OF_STEP).sqrt(), 1e-12);
    assert_eq!(found.lines.len(), 4, "{:?}", found.lines);
}

/// An error that grows with height grows with how far the gauge goes: over blocks it goes farther for
/// the same height of the part.
#[test]
fn over_blocks_the_gauge_goes_farther() {
    let by_growth = |blocks: f64| {
        let mut job = job(&[("1", 30.0, 20.0)]);
        job.plan.instruments[0].error_growth = Some(100.0);
        read(&mut job, 1, "1", 20.0);
        read(&mut job, 2, "1", blocks + 30.04);
        if blocks > 0.0 {
            job.plan.orientations[1].rest.blocks = Blocks::High(Figure(blocks));
        }
        line(&budget(&job, "1"), "gauge error growing with height")
    };
    // The margin counts the deviation twice.
    close(by_growth(0.0), 2.0 * 30.04 * 1e-4 / 3.0_f64.sqrt(), 1e-9);
    close(by_growth(50.0), 2.0 * 80.04 * 1e-4 / 3.0_f64.sqrt(), 1e-9);
}

#[test]
fn few_repeats_make_the_coverage_factor_larger() {
    // Six centres in each of two orientations, and nothing else is uncertain: ten degrees of freedom.
    let mut job = job(&[("1", 30.0, 20.0)]);
    let gauge = &mut job.plan.instruments[0];
    (gauge.error_limit, gauge.resolution) = (None, Figure(0.0));
    read(&mut job, 1, "1", 20.0);
    read(&mut job, 2, "1", 30.03);
    for r in &mut job.pieces[0].readings {
        let centre = r.centre[0].0;
        r.centre = [1.0, -1.0, 2.0, -2.0, 0.5, -0.5].map(|e| Figure(centre + 0.001 * e)).to_vec();
    }
    let proofs = |job: &Job| {
        let f = job.found_of("1");
        [f.size.proof.unwrap(), f.position.unwrap().proof.unwrap()]
    };
    // Ten are few: k = 2 would cover less than it says, whatever the plan asks for.
    let beside = budget(&job, "1");
    close(beside.degrees.unwrap(), 10.0, 1e-9);
    // JCGM 100:2008, table G.2: 2.28 for 95.45 % and 10 degrees of freedom.
    assert!((beside.covering - 2.28).abs() < 0.005, "{}", beside.covering);
    for (coverage, proof) in [Coverage::Two, Coverage::Effective].into_iter().flat_map(|coverage| {
        job.plan.coverage = coverage;
        proofs(&job).map(|proof| (coverage, proof))
    }) {
        assert!(proof.coverage > 2.0, "{coverage:?}");
        close(proof.coverage, beside.covering, 1e-9);
        close(proof.expanded.to_mm(), proof.coverage * proof.standard.to_mm(), 1e-12);
    }
    assert!(certainty(&job.found_of("1"), &job).unwrap().contains("(k = 2.28)"));
    // With an error limit that is taken for known: u⁴/ν = Σ uᵢ⁴/νᵢ (G.4.1), of a size u² = a²/3 + s².
    job.plan.instruments[0].error_limit = Some(Figure(0.004));
    let s2: f64 = 10.5e-6 / 5.0;
    let u2 = 0.004 * 0.004 / 3.0 + s2;
    let [size, position] = proofs(&job);
    close(size.standard.to_mm(), u2.sqrt(), 1e-9);
    let degrees = u2 * u2 / (s2 * s2 / 10.0);
    let level = 2.0 * quarterturn_core::chance::normal::cdf(2.0) - 1.0;
    let k = quarterturn_core::chance::student::two_sided(level, degrees);
    close(size.coverage, k, 1e-9);
    // Of the mean of six less is repeatability than of one.
    assert!(position.coverage < size.coverage && position.coverage > 2.0, "{position:?}");
    // What is stated is taken for exact.
    job.plan.instruments[0].repeatability = Some(Figure(0.001));
    job.pieces[0].readings.iter_mut().for_each(|r| r.centre.truncate(1));
    for proof in proofs(&job) {
        close(proof.coverage, 2.0, 0.0);
    }
    assert_eq!(budget(&job, "1").degrees, None);
}

#[test]
fn the_coverage_factor_decides_and_is_said_and_kept() {
    let mut job = job(&[("1", 30.0, 20.0)]);
    assert!(!write(&job).contains("coverage"), "k = 2 is what files have always meant");
    assert_eq!(read_file(&write(&job)).unwrap().plan.coverage, Coverage::Two);
    job.plan.coverage = Coverage::Effective;
    assert_eq!(read_file(&write(&job)).unwrap(), job);
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    let gauge = &mut job.plan.instruments[0];
    (gauge.error_limit, gauge.resolution) = (None, Figure(0.0));
    read(&mut job, 1, "1", 20.0);
    read(&mut job, 2, "1", 30.0);
    for r in &mut job.pieces[0].readings {
        let centre = r.centre[0].0;
        r.centre = [1.0, -1.0, 0.0, 0.0].map(|e| Figure(centre + 0.01 * e)).to_vec();
    }
    // A size inside its limit by more than two and less than the factor for six degrees, 2.5165.
    // Computed independently, by bisection of ½ + ½ x (1 + ½ (1 − x²) + ⅜ (1 − x²)²) = Φ(2) with
    // x = t/√(6 + t²): Abramowitz and Stegun, 26.7.4.
    let u = job.found_of("1").size.proof.unwrap().standard.to_mm();
    resize(&mut job, 6.1 - 2.3 * u);
    assert_eq!(job.found_of("1").size.verdict, Verdict::NotProven);
    let k = job.found_of("1").size.proof.unwrap().coverage;
    assert!((k - 2.5165).abs() < 5e-5, "{k}");
    // Few degrees of freedom count whatever the plan asks for; from thirty on k = 2 will do.
    job.plan.coverage = Coverage::Two;
    assert_eq!(job.found_of("1").size.verdict, Verdict::NotProven);
    for r in &mut job.pieces[0].readings {
        r.centre = std::iter::repeat_n(&r.centre, 5).flatten().copied().collect();
    }
    let u = job.found_of("1").size.proof.unwrap().standard.to_mm();
    resize(&mut job, 6.1 - 2.01 * u);
    assert_eq!(job.found_of("1").size.verdict, Verdict::Conforms);
    job.plan.coverage = Coverage::Effective;
    assert_eq!(job.found_of("1").size.verdict, Verdict::NotProven);
    let rule = job.plan.decision_rule;
    assert!(rule.sentence(Coverage::Two).contains("k = 2"));
    assert!(rule.sentence(Coverage::Effective).contains("95.45 % by effective degrees"));
}

#[test]
fn the_factor_of_a_verdict_is_that_of_its_budget() {
    // Two gauges with repeats of their own, a datum frame, a chain of zeros and a bonus.
    let mut job = everything();
    job.plan.coverage = Coverage::Effective;
    job.plan.conditions = Conditions::default();
    for i in &mut job.plan.instruments {
        (i.error_limit, i.error_growth) = (None, None);
    }
    for r in &mut job.pieces[0].readings {
        let (more, less) = if r.orientation == 1 { (0.002, 0.002) } else { (0.0015, 0.0) };
        r.low[0].0 += more;
        r.low[1].0 -= less;
    }
    let mut factors = Vec::new();
    for number in ["1", "2", "3"] {
        let budget = budget(&job, number);
        let proof = job.found_of(number).position.unwrap().proof.unwrap();
        close(proof.coverage, budget.covering, 1e-9);
        close(budget.standard.to_mm(), proof.standard.to_mm(), 1e-9);
        assert!(proof.coverage > 2.05, "{}", proof.coverage);
        factors.push(proof.coverage);
    }
    assert!((factors[1] - factors[2]).abs() > 0.01, "{factors:?}");
}
