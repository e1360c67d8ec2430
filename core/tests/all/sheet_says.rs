//! What the sheet says of how readings became results: what was applied in an orientation, and
//! sizes as they were judged.

use quarterturn_core::job::{
    Conditions, Feature, Job, Kind, Material, Probe, ProbeTrial, ProbeWay, SizeLimits, Squareness,
    Standard, Touch, Zero, record_changes,
};
use quarterturn_core::mark::Mark;
use quarterturn_core::quantity::{Figure, Side, Unit};
use quarterturn_core::sheet::{Extent, Which, pages};

/// A plate of 120 by 80 mm with two holes, read in both orientations.
fn job() -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.set_outline(Figure(120.0), Figure(80.0));
    for (number, x, y) in [("1", 20.0, 40.0), ("2", 100.0, 50.0)] {
        job.drawing.features.push(Feature {
            number: number.to_owned(),
            x: Some(Figure(x)),
            y: Some(Figure(y)),
            size: Some(SizeLimits::Limits { lower: Figure(50.0), upper: Figure(50.2) }),
            ..Feature::default()
        });
        for (orientation, at) in [(1, y), (2, x)] {
            job.pieces[0].set_values(orientation, number, Touch::Low, vec![Figure(at - 25.0)]);
            job.pieces[0].set_values(orientation, number, Touch::High, vec![Figure(at + 25.0)]);
        }
    }
    job
}

/// All text of the sections whose text has `of`, joined by spaces. Sections share pages; each begins
/// with a heading, the largest text there is.
fn text(job: &Job, of: &str) -> String {
    let mut sections = vec![String::new()];
    for page in pages(job, Which::Piece(0), Extent::Full) {
        for mark in &page.marks {
            let Mark::Text(t) = mark else { continue };
            if t.size > 3.5 {
                sections.push(String::new());
            }
            let last = sections.last_mut().unwrap();
            last.push_str(&t.text);
            last.push(' ');
        }
    }
    sections.retain(|s| s.contains(of));
    sections.concat()
}

/// The standard that decides how requirements are judged stands in the title block.
#[test]
fn the_title_block_names_the_standard_that_was_applied() {
    let mut job = job();
    let blocks = |job: &Job| {
        pages(job, Which::Piece(0), Extent::Full)
            .into_iter()
            .filter_map(|page| {
                let texts: Vec<String> = page
                    .marks
                    .into_iter()
                    .filter_map(|m| if let Mark::Text(t) = m { Some(t.text) } else { None })
                    .collect();
                let label = texts.iter().position(|t| t == "standard applied");
                label.map(|at| texts[at + 1].clone())
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(blocks(&job), ["ASME Y14.5-2018, not stated on the drawing"]);
    for standard in Standard::ALL {
        job.drawing.standard = Some(standard);
        // In full: a name that is cut off names no edition.
        assert_eq!(blocks(&job), [standard.name()]);
    }
}

fn says(text: &str, what: &str) {
    assert!(text.contains(what), "“{what}” is not in: {text}");
}

#[test]
fn sizes_on_the_page_of_an_orientation_are_those_that_are_judged() {
    let mut job = job();
    says(&text(&job, "Orientation 1: readings"), "50.0000");
    job.plan.conditions = Conditions {
        part_expansion: Some(23.1),
        gauge_expansion: Some(11.5),
        ..Conditions::default()
    };
    job.pieces[0].part_celsius = Some(25.0);
    job.pieces[0].gauge_celsius = Some(22.0);
    let page = text(&job, "Orientation 1: readings");
    // 50 (1 + 11.5e-6 · 2)/(1 + 23.1e-6 · 5), computed independently: 49.99537553412...
    says(&page, "49.9954");
    says(&page, "Y as read");
    says(&page, "in all −92.5 millionths of each length.");
    says(
        &page,
        "Brought to 20 °C: part at 25 °C, 23.1 millionths per K (aluminium: Swyt, J. Res. NIST 99, \
         1994); scale at 22 °C, 11.5 millionths per K (steel: Swyt, J. Res. NIST 99, 1994)",
    );
    // A material of the plan is named with its own source.
    job.plan.materials.push(Material {
        name: "6061 plate".into(),
        expansion: 23.1,
        source: "certificate 12".into(),
    });
    says(&text(&job, "Orientation 1: readings"), "(6061 plate: certificate 12); scale");
}

#[test]
fn what_was_not_applied_is_said_as_well() {
    let page = text(&job(), "Orientation 2: readings");
    says(&page, "Not corrected for temperature.");
    says(&page, "The edge was taken as square to that of the first orientation.");
    says(&page, "The zero was not checked at the end.");
    let mut half = job();
    half.pieces[0].part_celsius = Some(25.0);
    half.pieces[0].set_squareness(
        2,
        Some(Squareness {
            orientation: 2,
            farther_out: Figure(0.01),
            over: Figure(0.0),
            ..Squareness::default()
        }),
    );
    let page = text(&half, "Orientation 2: readings");
    says(
        &page,
        "Not corrected for temperature: the coefficients of part and gauge are not both given.",
    );
    says(&page, "out of square by +0.010, not applied: no length is given with it.");
}

#[test]
fn squareness_drift_and_zeros_of_single_readings_are_printed() {
    let mut job = job();
    job.pieces[0].set_squareness(
        2,
        Some(Squareness {
            orientation: 2,
            farther_out: Figure(-0.012),
            over: Figure(60.0),
            ..Squareness::default()
        }),
    );
    job.pieces[0].set_zero_check(2, Some(Figure(-0.002)));
    job.pieces[0].set_zero(2, "2", Some(Zero::Feature("1".to_owned())));
    let page = text(&job, "Orientation 2: readings");
    says(
        &page,
        "The left edge is out of square by −0.012 over 60 mm against the edge of the first \
         orientation: the +Y end lies farther in. The direction that is up was turned by it.",
    );
    says(&page, "At the end the zero read −0.002 (drift); no reading was changed by it.");
    says(&page, "Counted from another zero, as that was measured here: 2 from 1.");
    // The other orientation has none of these.
    let first = text(&job, "Orientation 1: readings");
    assert!(!first.contains("out of square") && !first.contains("another zero"), "{first}");
}

#[test]
fn an_angle_that_was_found_is_printed_where_it_was_applied() {
    let mut job = job();
    job.add_orientation(quarterturn_core::quantity::Side::MinusX);
    let third = job.plan.orientations.last_mut().unwrap();
    third.find_angle = true;
    for (number, x, y) in [("1", 20.0, 40.0), ("2", 100.0, 50.0)] {
        let turn = std::f64::consts::PI + 0.001;
        let at = 120.0 + x * libm::cos(turn) + y * libm::sin(turn);
        job.pieces[0].set_values(3, number, Touch::Low, vec![Figure(at - 25.0)]);
        job.pieces[0].set_values(3, number, Touch::High, vec![Figure(at + 25.0)]);
    }
    let page = text(&job, "Orientation 3: readings");
    says(&page, "The direction that is up was found from the readings: turned by +3.44′");
    assert!(!page.contains("taken as square"), "{page}");
}

/// However much was applied, nothing runs into the foot of a page.
#[test]
fn many_zeros_of_their_own_go_on_below_the_table() {
    let mut job = job();
    for i in 0..200 {
        let number = format!("hole-{i}");
        job.drawing.features.push(Feature {
            number: number.clone(),
            x: Some(Figure(60.0)),
            y: Some(Figure(40.0)),
            ..Feature::default()
        });
        job.pieces[0].set_values(1, &number, Touch::Low, vec![Figure(-2.0)]);
        job.pieces[0].set_values(1, &number, Touch::High, vec![Figure(2.0)]);
        job.pieces[0].set_zero(1, &number, Some(Zero::Feature("1".to_owned())));
    }
    says(&text(&job, "Orientation 1: readings"), "hole-11 from 1 and 188 more.");
    for page in pages(&job, Which::Piece(0), Extent::Full) {
        let floor = page.height - 8.0;
        for mark in &page.marks {
            if let Mark::Text(t) = mark {
                assert!(t.at.y < floor, "{}: “{}” at {}", page.title, t.text, t.at.y);
            }
        }
    }
}

#[test]
fn a_corrected_zero_at_the_end_is_listed_with_the_corrections() {
    let mut old = job();
    old.pieces[0].set_zero_check(1, Some(Figure(0.004)));
    let mut new = old.clone();
    new.pieces[0].set_zero_check(1, Some(Figure(-0.001)));
    record_changes(&old, &mut new, "2026-11-25 07:10:42", "R. V.");
    new.record[0].why = "misread".to_owned();
    says(
        &text(&new, "Corrected readings"),
        "orientation 1, zero at the end: was +0.004, now −0.001; 2026-11-25 07:10:42 UTC, R. V.: \
         misread",
    );
}

#[test]
fn a_trial_of_the_probe_constant_is_printed_once_with_its_readings() {
    let mut job = job();
    let gauge = &mut job.plan.instruments[0];
    gauge.identification = "HG-3".to_owned();
    gauge.probe = Probe::Found;
    gauge.probe_found = Some(ProbeTrial {
        way: ProbeWay::Gap(Figure(24.0)),
        down: [30.001, 30.002, 30.0, 30.001].map(Figure).to_vec(),
        up: [50.004, 50.003, 50.005].map(Figure).to_vec(),
        known_standard: Some(Figure(0.0003)),
    });
    let first = text(&job, "Orientation 1: readings");
    says(&first, "probe constant 3.9970 found by trial and applied here");
    says(
        &first,
        "Probe constant of Height gauge HG-3, from a known gap of 24 mm (standard uncertainty \
         0.0003): from above +30.001, +30.002, +30.000, +30.001 (mean 30.0010, s 0.0008, n 4); from \
         below +50.004, +50.003, +50.005 (mean 50.0040, s 0.0010, n 3). K = gap − (below − above) = \
         3.9970 mm, standard uncertainty 0.00085 (one touch 0.0009, from these touches, 5 degrees \
         of freedom).",
    );
    let second = text(&job, "Orientation 2: readings");
    assert!(!second.contains("known gap"), "{second}");
    let mut new = job.clone();
    new.plan.instruments[0].probe_found.as_mut().unwrap().up.pop();
    record_changes(&job, &mut new, "2026-11-25 07:10:42", "R. V.");
    says(
        &text(&new, "Corrected readings"),
        "Height gauge HG-3, trial of the probe constant, from below: was +50.004, +50.003, +50.005, \
         now +50.004, +50.003; 2026-11-25 07:10:42 UTC, R. V.",
    );
}

#[test]
fn sweeps_are_listed_below_the_readings_of_their_orientation() {
    let mut job = job();
    job.drawing.features.push(Feature {
        number: "T".to_owned(),
        kind: Kind::Face,
        looks: Some(Side::PlusY),
        y: Some(Figure(80.0)),
        ..Feature::default()
    });
    assert!(!text(&job, "Orientation 1: readings").contains("TIR"));
    job.plan.instruments[0].repeatability = Some(Figure(0.001));
    job.pieces[0].set_sweep(1, "T", Some((Figure(-0.002), Figure(0.004))));
    job.pieces[0].set_sweep(1, "C", Some((Figure(0.0), Figure(0.003))));
    let page = text(&job, "Orientation 1: readings");
    says(&page, "face T −0.002 +0.004 0.006 0.0015");
    says(&page, "face C 0.000 +0.003 0.003 0.0015 does not look up");
    assert!(!text(&job, "Orientation 2: readings").contains("TIR"));
}
