//! The sheets of the example and of the notebook, kept as text that can be read and compared.
//!
//! What is kept is made from the SVG: its text in reading order, one line for each baseline, with
//! the place where each piece begins (millimetres, to a tenth), and what is drawn, counted and
//! with the box around it for each group. `QUARTERTURN_UPDATE=1` writes the files anew.

use crate::common;
use crate::sheet_lot::lot;
use quarterturn_core::Job;
use quarterturn_core::entry::relation;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::{
    Callout, Coverage, DatumRef, DecisionRule, Grid, Position, Probe, ProbeTrial, ProbeWay,
    Relation, Segment, Squareness, Zero,
};
use quarterturn_core::mark::{Face, Page, svg, width};
use quarterturn_core::quantity::{Axis, Figure, Unit};
use quarterturn_core::sheet::{Extent, Which, blank, pages, sheet};
use roxmltree::{Document, Node};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A rectangle from its least to its largest corner.
#[derive(Clone, Copy, Debug)]
struct Bounds {
    x: [f64; 2],
    y: [f64; 2],
}

impl Bounds {
    const NONE: Self = Self { x: [f64::MAX, f64::MIN], y: [f64::MAX, f64::MIN] };

    fn with(self, x: f64, y: f64) -> Self {
        Self { x: [self.x[0].min(x), self.x[1].max(x)], y: [self.y[0].min(y), self.y[1].max(y)] }
    }

    fn and(self, other: Self) -> Self {
        self.with(other.x[0], other.y[0]).with(other.x[1], other.y[1])
    }

    fn is_none(self) -> bool {
        self.x[0] > self.x[1]
    }

    /// How far the two overlap, the lesser of both directions; negative if they do not.
    fn overlap(self, other: Self) -> f64 {
        let along = |a: [f64; 2], b: [f64; 2]| a[1].min(b[1]) - a[0].max(b[0]);
        along(self.x, other.x).min(along(self.y, other.y))
    }
}

/// A line of text on the page.
#[derive(Clone, Debug)]
struct Written {
    /// Where it begins, on the baseline.
    at: (f64, f64),
    size: f64,
    how: String,
    says: String,
    bounds: Bounds,
    /// The group it belongs to, if it is a picture's.
    group: Option<String>,
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).map_or(0.0, |v| v.parse().unwrap_or_else(|_| panic!("{name}=\"{v}\"")))
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | 'e')))
        .filter(|t| !t.is_empty())
        .map(|t| t.parse().unwrap_or_else(|_| panic!("{text}")))
        .collect()
}

fn written(node: Node<'_, '_>, group: Option<&str>) -> Written {
    let transform = node.attribute("transform").unwrap();
    let (place, rest) = transform.split_once(')').unwrap();
    let place = numbers(place.strip_prefix("translate(").unwrap());
    let upward = rest.starts_with("rotate(-90)");
    let size = number(node, "font-size") / 100.0;
    let mono = node.attribute("font-family").is_some_and(|f| f.contains("Mono"));
    let bold = node.attribute("font-weight") == Some("700");
    let face = match (bold, mono) {
        (true, _) => Face::SansBold,
        (_, true) => Face::Mono,
        _ => Face::Sans,
    };
    let says = node.text().unwrap_or_default().to_owned();
    let length = width(face, &says, size);
    let before = match node.attribute("text-anchor") {
        Some("middle") => length / 2.0,
        Some("end") => length,
        _ => 0.0,
    };
    let (x, y) = (place[0], place[1]);
    let at = if upward { (x, y + before) } else { (x - before, y) };
    let nought = Bounds::NONE;
    // From the baseline to the height of capitals, as letters stand.
    let high = 0.73 * size;
    let bounds = if upward {
        nought.with(at.0, at.1).with(at.0 - high, at.1 - length)
    } else {
        nought.with(at.0, at.1).with(at.0 + length, at.1 - high)
    };
    let mut how = String::new();
    for (is, word) in [(bold, " bold"), (mono, " mono"), (upward, " upward")] {
        if is {
            how.push_str(word);
        }
    }
    let ink = node.attribute("class").unwrap_or_default().trim_start_matches("f-");
    if ink != "ink" {
        how.push(' ');
        how.push_str(ink);
    }
    Written { at, size, how, says, bounds, group: group.map(str::to_owned) }
}

fn shape(node: Node<'_, '_>) -> Bounds {
    let b = Bounds::NONE;
    let n = |name| number(node, name);
    match node.tag_name().name() {
        "line" => b.with(n("x1"), n("y1")).with(n("x2"), n("y2")),
        "rect" => b.with(n("x"), n("y")).with(n("x") + n("width"), n("y") + n("height")),
        "circle" => {
            b.with(n("cx") - n("r"), n("cy") - n("r")).with(n("cx") + n("r"), n("cy") + n("r"))
        }
        "path" => {
            numbers(node.attribute("d").unwrap()).chunks(2).fold(b, |b, p| b.with(p[0], p[1]))
        }
        other => panic!("<{other}>"),
    }
}

/// What is drawn under one tag.
#[derive(Default)]
struct Drawn {
    counts: BTreeMap<String, usize>,
    bounds: Option<Bounds>,
}

/// Everything of a page by what it is.
#[derive(Default)]
struct Seen {
    text: Vec<Written>,
    drawn: Vec<(String, Drawn)>,
}

impl Seen {
    fn of(page: &Page) -> Self {
        let text = svg(page);
        let document = Document::parse(&text).unwrap_or_else(|e| panic!("{}: {e}", page.title));
        let mut seen = Self { text: Vec::new(), drawn: vec![(String::new(), Drawn::default())] };
        let root = document.root_element();
        seen.walk(root, 0);
        seen
    }

    fn walk(&mut self, node: Node<'_, '_>, group: usize) {
        for child in node.children().filter(Node::is_element) {
            match child.tag_name().name() {
                "title" => {}
                "g" => {
                    let tag: Vec<&str> =
                        [child.attribute("class"), child.attribute("data-feature")]
                            .into_iter()
                            .flatten()
                            .collect();
                    let mut inside = group;
                    if !tag.is_empty() {
                        inside = self.drawn.len();
                        self.drawn.push((tag.join(" "), Drawn::default()));
                    }
                    self.walk(child, inside);
                }
                "text" => {
                    let name = self.drawn[group].0.clone();
                    self.text.push(written(child, (group > 0).then_some(name.as_str())));
                }
                name => {
                    let ink = child.attribute("class").unwrap_or_default();
                    let dashed =
                        if child.attribute("stroke-dasharray").is_some() { " dashed" } else { "" };
                    let drawn = &mut self.drawn[group].1;
                    *drawn.counts.entry(format!("{name} {ink}{dashed}")).or_default() += 1;
                    let bounds = shape(child);
                    drawn.bounds = Some(drawn.bounds.map_or(bounds, |b| b.and(bounds)));
                }
            }
        }
    }
}

fn tenth(v: f64) -> String {
    let text = format!("{v:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// The page as text.
fn page(out: &mut String, page: &Page) {
    let mut seen = Seen::of(page);
    writeln!(out, "== {} == {} x {}", page.title, page.width, page.height).unwrap();
    // Lines of text whose baselines agree to a tenth stand on one line here.
    seen.text.sort_by(|a, b| {
        let row = |w: &Written| (w.at.1 * 10.0).round();
        row(a).total_cmp(&row(b)).then(a.at.0.total_cmp(&b.at.0))
    });
    let mut last = String::new();
    for w in &seen.text {
        let y = tenth(w.at.1);
        if y != last {
            write!(out, "\n{y:>6} ").unwrap();
            last = y;
        }
        let size =
            if (w.size - 2.5).abs() < 1e-9 { String::new() } else { format!(" /{}", w.size) };
        write!(out, " [{}{size}{}] {}", tenth(w.at.0), w.how, w.says).unwrap();
    }
    out.push_str("\n\n");
    for (tag, drawn) in &seen.drawn {
        let Some(b) = drawn.bounds else { continue };
        let counts: Vec<String> =
            drawn.counts.iter().map(|(what, n)| format!("{n} {what}")).collect();
        writeln!(
            out,
            "{} [{} {} to {} {}]: {}",
            if tag.is_empty() { "page" } else { tag },
            tenth(b.x[0]),
            tenth(b.y[0]),
            tenth(b.x[1]),
            tenth(b.y[1]),
            counts.join(", ")
        )
        .unwrap();
    }
    out.push('\n');
}

fn as_text(pages: &[Page]) -> String {
    let mut out = String::new();
    pages.iter().for_each(|p| page(&mut out, p));
    out
}

fn of_piece(job: &Job, index: usize) -> Vec<Page> {
    let ready = Ready::of(job);
    sheet(job, &ready, index, &ready.piece(index).unwrap(), Extent::Full)
}

fn of_bench(job: &Job) -> Vec<Page> {
    blank(job, &Ready::of(job), 0)
}

fn demo() -> Job {
    common::job("public/demo-job.json")
}

fn notebook() -> Job {
    common::job("tests/notebooks/1-mast-adapter-plate.json")
}

/// The example with a line of every kind, and a grid of heights for one of them.
fn lined() -> Job {
    let mut job = demo();
    for text in [
        "centres 1 3 130.384 ±0.1",
        "distance 1 2 along x 110 ±0.05",
        "height 9 along x 70 ±0.1",
        "wall 8 10 min 17",
        "edge 10 C max 128",
        "coaxial 8 10 46 M",
        "square C B 0.05",
        "parallel C 0.02",
        "flat \"large face\" 0.01",
        "circle 1 2 3 4 130.3 130.5",
        "polar 8 5 0.2 0.1",
        "wall 1 22 min 5",
        "straightness of face C 0.005",
    ] {
        let kind = relation(text, Unit::Mm).unwrap();
        job.drawing.relations.push(Relation {
            number: job.free_relation_number(),
            kind,
            note: String::new(),
        });
    }
    job.drawing.relations[3].note = "after deburring".to_owned();
    let piece = &mut job.pieces[0];
    let lean = Squareness {
        orientation: 2,
        farther_out: Figure(0.012),
        over: Figure(80.0),
        ..Squareness::default()
    };
    piece.set_squareness(2, Some(lean));
    piece.set_sweep(2, "C", Some((Figure(-0.004), Figure(0.009))));
    let heights = [0.0, 0.004, 0.001, 0.003, 0.007, 0.002, 0.001, 0.003, 0.0];
    let places =
        (0..3).flat_map(|i| (0..3).map(move |j| [f64::from(i) * 60.0, f64::from(j) * 45.0]));
    let points = places.zip(heights).map(|([x, y], h)| [x, y, h].map(Figure)).collect();
    piece.set_grid(Grid { relation: "100".to_owned(), instrument: 0, points });
    let profile = [0.0, 0.004, 0.002, 0.009, 0.007, 0.006, 0.003];
    let places = (0..7).map(|i| 20.0 * f64::from(i));
    let points = places.zip(profile).map(|(x, h)| [x, 0.0, h].map(Figure)).collect();
    piece.set_grid(Grid { relation: "140".to_owned(), instrument: 0, points });
    job
}

fn manifold() -> Job {
    common::job("tests/notebooks/2-manifold-cover.json")
}

/// The manifold cover with a lower segment and a zone along X besides, hole 3 lacking a coordinate.
fn composite() -> Job {
    let mut job = manifold();
    for feature in &mut job.drawing.features {
        for Callout::Position(p) in &mut feature.callouts {
            p.lower = vec![Segment {
                tolerance: Figure(0.05),
                datums: DatumRef::all(&["A"]),
                ..Segment::default()
            }];
        }
        if feature.number == "4" {
            feature.callouts.push(Callout::Position(Position {
                tolerance: Figure(0.02),
                along: Some(Axis::X),
                datums: DatumRef::all(&["A", "B", "C"]),
                ..Position::default()
            }));
        }
    }
    job.pieces[0].readings.retain(|r| r.feature != "3" || r.orientation == 1);
    job
}

fn all() -> Vec<(&'static str, Vec<Page>)> {
    vec![
        ("demo-first-piece", of_piece(&demo(), 0)),
        ("demo-second-piece", of_piece(&demo(), 1)),
        ("demo-bench", of_bench(&demo())),
        ("demo-lines", of_piece(&lined(), 0)),
        ("demo-lines-bench", of_bench(&lined())),
        ("notebook-1", of_piece(&notebook(), 0)),
        ("notebook-1-bench", of_bench(&notebook())),
        ("notebook-2", of_piece(&manifold(), 0)),
        ("notebook-2-composite", of_piece(&composite(), 0)),
    ]
}

/// The notebook decided with a guard band, expanded by its degrees of freedom; `unknown`: and of the
/// gauge of its second orientation nothing is known.
fn guarded(unknown: bool) -> Job {
    let mut job = notebook();
    job.plan.decision_rule = DecisionRule::GuardedAcceptance { multiple: 1.5 };
    job.plan.coverage = Coverage::Effective;
    if unknown {
        let mut gauge = job.plan.instruments[0].clone();
        (gauge.error_limit, gauge.repeatability) = (None, None);
        gauge.name = "Old height gauge".to_owned();
        job.plan.instruments.push(gauge);
        job.plan.orientations[1].instrument = 1;
    }
    job
}

/// The example with all that can be applied to readings, and swept: its sheet is not kept, but must
/// be laid out well.
fn with_all_applied() -> Job {
    let mut job = demo();
    job.plan.conditions.part_expansion = Some(23.1);
    job.plan.conditions.gauge_expansion = Some(11.5);
    let gauge = &mut job.plan.instruments[0];
    gauge.probe = Probe::Found;
    gauge.repeatability = Some(Figure(0.001));
    let touches = |from: f64| (0..30).map(|i| Figure(from + 0.001 * f64::from(i % 3))).collect();
    gauge.probe_found = Some(ProbeTrial {
        way: ProbeWay::Gap(Figure(20.0)),
        down: touches(30.0),
        up: touches(50.0),
        known_standard: Some(Figure(0.0005)),
    });
    let piece = &mut job.pieces[0];
    piece.part_celsius = Some(23.4);
    piece.gauge_celsius = Some(22.9);
    for orientation in [1, 2] {
        let known = Squareness {
            orientation,
            farther_out: Figure(-0.012),
            over: Figure(60.0),
            ..Squareness::default()
        };
        piece.set_squareness(orientation, Some(known));
        piece.set_zero_check(orientation, Some(Figure(-0.003)));
        for feature in ["5", "6", "7", "8"] {
            piece.set_zero(orientation, feature, Some(Zero::Feature("1".to_owned())));
        }
        for i in 0..40 {
            let swept = Some((Figure(-0.002), Figure(0.004)));
            piece.set_sweep(orientation, &format!("T{i}"), swept);
        }
    }
    job
}

/// The cover of the example's two pieces.
fn lot_cover() -> Vec<Page> {
    let mut all = pages(&demo(), Which::EveryPiece, Extent::Full);
    all.truncate(1);
    all
}

/// All of them, and some whose layout counts but not their figures.
fn laid_out() -> Vec<(&'static str, Vec<Page>)> {
    let mut list = all();
    list.push(("notebook-1-guarded", of_piece(&guarded(false), 0)));
    list.push(("notebook-1-unknown", of_piece(&guarded(true), 0)));
    list.push(("with all applied", of_piece(&with_all_applied(), 0)));
    list.push(("demo-lot-cover", lot_cover()));
    list.push(("lot of sixty", pages(&lot(60), Which::EveryPiece, Extent::Short)));
    list
}

#[test]
fn the_sheets_are_what_they_were() {
    for (name, pages) in all().into_iter().chain([("demo-lot-cover", lot_cover())]) {
        common::golden(&format!("tests/golden/{name}.txt"), &as_text(&pages));
    }
}

/// Nothing is cut off: all that is drawn or written lies inside the border of its page.
#[test]
fn nothing_runs_off_the_paper() {
    for (name, pages) in laid_out() {
        for page in &pages {
            let seen = Seen::of(page);
            let inside = |b: Bounds, margin: f64| {
                b.is_none()
                    || b.x[0] >= margin
                        && b.y[0] >= margin
                        && b.x[1] <= page.width - margin
                        && b.y[1] <= page.height - margin
            };
            for w in &seen.text {
                assert!(inside(w.bounds, 8.0), "{name}, {}: {w:?}", page.title);
            }
            for (tag, drawn) in seen.drawn.iter().skip(1) {
                assert!(
                    drawn.bounds.is_none_or(|b| inside(b, 8.0)),
                    "{name}, {}: {tag} {:?}",
                    page.title,
                    drawn.bounds
                );
            }
        }
    }
}

/// No line of text stands on another.
#[test]
fn no_text_lies_on_other_text() {
    let mut found = Vec::new();
    for (name, pages) in laid_out() {
        for page in &pages {
            let text: Vec<Written> =
                Seen::of(page).text.into_iter().filter(|w| !w.says.trim().is_empty()).collect();
            for (i, a) in text.iter().enumerate() {
                for b in &text[i + 1..] {
                    if a.bounds.overlap(b.bounds) > 0.2 {
                        let place = |w: &Written| {
                            format!(
                                "“{}” at {} {} ({})",
                                w.says,
                                tenth(w.at.0),
                                tenth(w.at.1),
                                w.group.as_deref().unwrap_or("page")
                            )
                        };
                        found.push(format!(
                            "{name}, {}: {} and {}",
                            page.title,
                            place(a),
                            place(b)
                        ));
                    }
                }
            }
        }
    }
    assert!(found.is_empty(), "{} overlaps:\n{}", found.len(), found.join("\n"));
}

/// Every page says which it is, of how many, of what and of which piece; an example says so.
#[test]
fn every_page_says_what_it_belongs_to() {
    for (name, pages) in all() {
        for (i, page) in pages.iter().enumerate() {
            let text: Vec<String> = Seen::of(page).text.into_iter().map(|w| w.says).collect();
            let says = |what: &str| text.iter().any(|t| t.contains(what));
            assert!(
                says(&format!("{} of {}", i + 1, pages.len())),
                "{name}, {}: {text:?}",
                page.title
            );
            let (part, piece) = match name {
                name if name.starts_with("demo") => ("OB-204", "A-00"),
                name if name.starts_with("notebook-2") => ("GH-2207", "1"),
                _ => ("WX-1140", "0007"),
            };
            assert!(
                says(part) && (name.ends_with("bench") || says(piece)),
                "{name}, {}: {text:?}",
                page.title
            );
            assert_eq!(says("Example"), name.starts_with("demo"), "{name}, {}", page.title);
        }
    }
}
