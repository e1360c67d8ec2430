//! Random jobs whose sheets are read: parts measured on the simulated bench, then made harder to lay
//! out in every way that a sheet has been found to fail at.

use crate::build::{Ask, Build, position};
use crate::random::Random;
use crate::simulate::random_bench::Bench;
use quarterturn_core::entry::relation;
use quarterturn_core::job::{
    Callout, Coverage, DecisionRule, Grid, Job, Kind, Paper, Relation, Segment, Slope, Squareness,
    Standard, Touch,
};
use quarterturn_core::quantity::{Figure, Side, Unit};

/// One way to make a sheet harder.
type Change = fn(&mut Job, &mut Random);

/// All of them, each with its name for a test that fails.
pub(super) const CHANGES: [(&str, Change); 20] = [
    ("numbers", long_numbers),
    ("relations", relations),
    ("heights", heights),
    ("repeats", repeats),
    ("notes", long_notes),
    ("header", long_header),
    ("letter", |job, _| job.shipment.paper = Paper::Letter),
    ("glyphs", glyphs),
    ("guarded", guarded),
    ("unknown gauge", unknown_gauge),
    ("missing", missing),
    ("composite", composite),
    ("datum holes", datum_holes),
    ("lean", lean),
    ("sweeps", sweeps),
    ("temperature", temperature),
    ("decimals", decimals),
    ("standing", standing),
    ("standard", standard),
    ("coaxial", coaxial),
];

/// The random job of this seed, and what was done to it.
pub(super) fn any(seed: u64) -> (Job, Vec<&'static str>) {
    let mut rng = Random::far_apart(seed ^ 0x005E_EDED);
    let mut job = Bench::any(seed, rng.chance(0.4)).measured();
    job.drawing.part_number = format!("P-{seed}");
    job.drawing.part_name = "Plate".to_owned();
    let mut done = Vec::new();
    for (name, change) in CHANGES {
        if rng.chance(0.2) {
            change(&mut job, &mut rng);
            done.push(name);
        }
    }
    (job, done)
}

/// The job of this seed with one change alone.
pub(super) fn with(seed: u64, change: Change) -> Job {
    let mut job = Bench::any(seed, seed.is_multiple_of(2)).measured();
    change(&mut job, &mut Random::far_apart(seed));
    job
}

fn sized(job: &Job) -> Vec<String> {
    let all = job.drawing.features.iter().filter(|f| f.kind.is_sized());
    all.map(|f| f.number.clone()).collect()
}

fn some(of: &[String], rng: &mut Random) -> String {
    of[rng.below(of.len())].clone()
}

fn in_unit(job: &Job, mm: f64) -> f64 {
    (mm / job.drawing.unit.in_mm() * 1e4).round() / 1e4
}

fn long_numbers(job: &mut Job, rng: &mut Random) {
    for index in 0..job.drawing.features.len() {
        if job.drawing.features[index].kind.is_sized() && rng.chance(0.7) {
            let long = ["104", "H-1041", "1041.12", "mounting-hole-", "WWWWWWWWWWWW"];
            let number = format!("{}{index}", long[rng.below(long.len())]);
            job.renumber(index, &number);
        }
    }
}

/// A relation that is typed so.
fn line(job: &mut Job, text: &str) {
    let unit = job.drawing.unit;
    let kind = relation(text, unit).unwrap_or_else(|e| panic!("{text}: {e}"));
    let number = job.free_relation_number();
    job.drawing.relations.push(Relation { number, kind, note: String::new() });
}

fn relations(job: &mut Job, rng: &mut Random) {
    let of = sized(job);
    for _ in 0..1 + rng.below(14) {
        let (a, b, c) = (some(&of, rng), some(&of, rng), some(&of, rng));
        let width = in_unit(job, rng.range(0.005, 0.5));
        let far = in_unit(job, rng.range(5.0, 200.0));
        let quoted = |n: &str| if n.contains(' ') { format!("\"{n}\"") } else { n.to_owned() };
        let (a, b, c) = (quoted(&a), quoted(&b), quoted(&c));
        let text = match rng.below(12) {
            0 => format!("distance {a} {b} along x {far} ±{width}"),
            1 => format!("distance {a} {b} along y {far} ±{width}"),
            2 => format!("height {a} along y {far} ±{width}"),
            3 => format!("centres {a} {b} {far} ±{width}"),
            4 => format!("wall {a} {b} min {width}"),
            5 => format!("edge {a} B min {width}"),
            6 => format!("coaxial {a} {b} {width}"),
            7 => format!("square C B {width}"),
            8 => format!("parallel C {width}"),
            9 => format!("circle {a} {b} {c} {far} ±{width}"),
            10 => format!("polar {a} {b} {width} {width}"),
            _ => format!("parallel E B {width}"),
        };
        line(job, &text);
        if rng.chance(0.2) {
            let last = job.drawing.relations.last_mut().unwrap();
            last.note = "after deburring, at the customer's request, see the order".to_owned();
        }
    }
}

fn heights(job: &mut Job, rng: &mut Random) {
    let width = in_unit(job, 0.02);
    line(job, &format!("flat top {width}"));
    line(job, &format!("straightness of face B {width}"));
    let unit = job.plan.instruments[0].unit;
    let figure = |mm: f64| Figure((mm / unit.in_mm() * 1e4).round() / 1e4);
    let count = job.drawing.relations.len();
    let many = [3, 4, 9][rng.below(3)];
    for (index, along) in [(count - 2, false), (count - 1, true)] {
        let relation = job.drawing.relations[index].number.clone();
        let rows = if along { 1 } else { many };
        let points = (0..rows * many.max(4))
            .map(|i| {
                let (x, y) = (f64::from(i / rows) * 12.5, f64::from(i % rows) * 17.0);
                [x, y, 30.0 + rng.within(0.01)].map(figure)
            })
            .collect();
        job.pieces[0].set_grid(Grid { relation, instrument: 0, points });
    }
}

/// So many repeats that they fill a page, or more than one.
fn repeats(job: &mut Job, rng: &mut Random) {
    let (often, seldom) = ([5, 12, 40, 100][rng.below(4)], rng.below(5));
    for (i, reading) in job.pieces[0].readings.iter_mut().enumerate() {
        for touch in Touch::ALL {
            let values = reading.values_mut(touch);
            if i % 5 == seldom && !values.is_empty() {
                *values = values.iter().copied().cycle().take(often).collect();
            }
        }
    }
}

fn long_notes(job: &mut Job, rng: &mut Random) {
    let lines: Vec<String> = (1..=1 + rng.below(90)).map(|i| format!("Note {i}.")).collect();
    job.shipment.notes = lines.join("\n");
    job.pieces[0].notes = "Deburred, washed and left on the plate over night. ".repeat(12);
    if let Some(feature) = job.drawing.features.last_mut() {
        feature.note = "countersunk on the far side after measuring".to_owned();
    }
}

fn long_header(job: &mut Job, rng: &mut Random) {
    let long = |what: &str, rng: &mut Random| match rng.below(6) {
        0..4 => what.to_owned(),
        4 => format!("{what}-0123456789-0123456789-0123456789"),
        _ => format!("{what} ").repeat(140 / (what.len() + 1)).trim().to_owned(),
    };
    job.drawing.part_name = long("Plate", rng);
    job.drawing.part_number = long("P-1", rng);
    job.drawing.number = long("D-1", rng);
    job.drawing.revision = long("B", rng);
    job.drawing.material = long("aluminium", rng);
    job.shipment.customer = long("Customer", rng);
    job.shipment.order = long("Order", rng);
    job.shipment.lot = long("Lot", rng);
    job.shipment.quantity = long("12", rng);
    job.shipment.report_number = long("R-1", rng);
    let piece = &mut job.pieces[0];
    piece.serial = ["S".repeat(140), "serial ".repeat(20), "0007".to_owned()][rng.below(3)].clone();
    piece.inspector = long("Inspector", rng);
    piece.date = long("2026-11-30", rng);
    piece.temperature = long("20.4 °C", rng);
    for gauge in &mut job.plan.instruments {
        gauge.name = long("Gauge", rng);
        gauge.identification = long("HG-3", rng);
        gauge.calibration_due = "2027-04-30".to_owned();
    }
}

fn glyphs(job: &mut Job, _: &mut Random) {
    job.pieces[0].inspector = "李明".to_owned();
    job.shipment.notes = "Пластина, Łódź, 部品".to_owned();
}

fn guarded(job: &mut Job, rng: &mut Random) {
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.0 };
    if rng.chance(0.5) {
        job.plan.coverage = Coverage::Effective;
    }
    job.plan.conditions.plate_flatness = Some(Figure(in_unit(job, 0.003)));
    job.plan.conditions.squareness =
        Some(Slope { deviation: Figure(in_unit(job, 0.005)), over: Figure(in_unit(job, 100.0)) });
}

fn unknown_gauge(job: &mut Job, _: &mut Random) {
    let mut gauge = job.plan.instruments[0].clone();
    (gauge.error_limit, gauge.repeatability) = (None, None);
    gauge.name = "Old height gauge".to_owned();
    job.plan.instruments.push(gauge);
    if let Some(last) = job.plan.orientations.last_mut() {
        last.instrument = 1;
    }
}

fn missing(job: &mut Job, rng: &mut Random) {
    let most = rng.range(0.05, 0.6);
    job.pieces[0].readings.retain(|_| !rng.chance(most));
    for reading in &mut job.pieces[0].readings {
        if rng.chance(0.1) {
            reading.values_mut(Touch::Low).clear();
        }
    }
}

fn composite(job: &mut Job, rng: &mut Random) {
    let along = rng.chance(0.3);
    for p in job.positions() {
        p.lower = vec![Segment {
            tolerance: Figure(p.tolerance.0 * 0.4),
            datums: p.datums.iter().take(1).cloned().collect(),
            ..Segment::default()
        }];
    }
    if let Some(f) = job.drawing.features.iter_mut().find(|f| f.kind == Kind::Hole && along) {
        let tolerance = f.position().map_or(0.1, |p| p.tolerance.0);
        f.callouts.push(Callout::Position(position(tolerance, &["A", "B", "C"]).at_mmc()));
    }
}

/// Two holes make the frame of all others.
fn datum_holes(job: &mut Job, rng: &mut Random) {
    let holes: Vec<String> = job
        .drawing
        .features
        .iter()
        .filter(|f| f.kind == Kind::Hole)
        .map(|f| f.number.clone())
        .collect();
    let [first, second, ..] = holes.as_slice() else { return };
    for (letter, of) in [("F", first), ("G", second)] {
        job.add_datum(letter, of);
    }
    let at = if rng.chance(0.5) { ["A", "F(M)", "G(M)"] } else { ["A", "F", "G"] };
    for f in &mut job.drawing.features {
        if &f.number == first || &f.number == second {
            continue;
        }
        for Callout::Position(p) in &mut f.callouts {
            p.datums = position(0.1, &at).datums;
        }
    }
}

fn lean(job: &mut Job, rng: &mut Random) {
    let far = Figure(in_unit(job, rng.range(0.002, 0.06)) * rng.sign());
    let over = Figure(in_unit(job, 80.0));
    let numbers: Vec<u32> = job.plan.orientations.iter().map(|o| o.number).collect();
    for orientation in numbers.into_iter().skip(1) {
        let known =
            Squareness { orientation, farther_out: far, over, against: None, standard: None };
        job.pieces[0].set_squareness(orientation, Some(known));
    }
    let width = in_unit(job, 0.05);
    line(job, &format!("square C B {width}"));
}

fn sweeps(job: &mut Job, rng: &mut Random) {
    let count = [1, 4, 60][rng.below(3)];
    for i in 0..count {
        let name = if i == 0 { "C".to_owned() } else { format!("T{i}") };
        job.pieces[0].set_sweep(2, &name, Some((Figure(-0.002), Figure(0.004))));
    }
}

fn temperature(job: &mut Job, _: &mut Random) {
    job.plan.conditions.part_expansion = Some(23.1);
    job.plan.conditions.gauge_expansion = Some(11.5);
    job.pieces[0].part_celsius = Some(23.4);
    job.pieces[0].gauge_celsius = Some(22.9);
}

fn decimals(job: &mut Job, rng: &mut Random) {
    job.drawing.decimals = [2, 3, 5][rng.below(3)];
}

/// Six ways to stand.
fn standing(job: &mut Job, _: &mut Random) {
    for up in [Side::MinusX, Side::MinusY, Side::PlusX, Side::PlusY] {
        if job.plan.orientations.len() < 6 {
            job.add_orientation(up);
        }
    }
}

fn standard(job: &mut Job, rng: &mut Random) {
    job.drawing.standard = Some(Standard::ALL[rng.below(Standard::ALL.len())]);
    job.shipment.customer = "Customer".to_owned();
}

/// Two holes at one place, one coaxial to the other at MMC.
fn coaxial(job: &mut Job, rng: &mut Random) {
    let of = sized(job);
    let round: Vec<&String> =
        of.iter().filter(|n| job.feature(n).is_some_and(|f| f.kind == Kind::Hole)).collect();
    let [first, second, ..] = round.as_slice() else { return };
    let third: f64 = if job.drawing.unit == Unit::Mm { 0.1 / 3.0 } else { 0.004 / 3.0 };
    let mark = ["", " M", " L"][rng.below(3)];
    let text = format!("coaxial {first} {second} {}{mark}", (third * 1e4).round() / 1e4);
    line(job, &text);
}
