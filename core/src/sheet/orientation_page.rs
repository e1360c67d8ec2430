//! One orientation: the part as it stands, and every raw reading as it was taken.

use super::applied::{applied, zero_name};
use super::column::{Align, Column, Columns};
use super::paper::{Paper, size};
use crate::bench::{Mean, Setup, probe_constant, reduce};
use crate::findings::{PieceFinding, Planned};
use crate::job::{Job, Orientation, Piece, Probe, Reading, Taken, Touch};
use crate::mark::{Face, Ink, Text};
use crate::picture::{StandingOptions, standing, stands_in_words, zero_words};
use crate::quantity::Length;
use crate::show::{Figures, SweepText, feature_name, sweeps};

/// Height of one line.
const LINE: f64 = 4.2;
/// Width of the picture.
const PICTURE: f64 = 92.0;

/// How the part stands, in a sentence: what is up, on what it rests, what reads zero, with
/// which gauge.
pub(super) fn set_up(job: &Job, orientation: &Orientation) -> String {
    let f = Figures::of_readings(job, orientation);
    let gauge = job.instrument(orientation).map_or_else(String::new, |i| {
        let mut text = format!("instrument {}: {}", orientation.instrument + 1, i.name);
        if !i.identification.is_empty() {
            text.push_str(&format!(" {}", i.identification));
        }
        let resolution = i.resolution.length(i.unit);
        text.push_str(&format!(
            ", reading to {}",
            Figures::new(i.unit, f.decimals).plain(resolution)
        ));
        if let Some(e) = i.error_limit {
            let e = e.length(i.unit);
            text.push_str(&format!(
                ", error limit ±{}",
                Figures::new(i.unit, f.decimals).exact(e).plain(e)
            ));
        }
        text.push_str(&match i.probe {
            Probe::AppliedByGauge => ", probe constant applied by the gauge".to_owned(),
            Probe::Constant(k) => {
                let k = k.length(i.unit);
                format!(", probe constant {} applied here", f.exact(k).plain(k))
            }
            Probe::Found => match probe_constant(i) {
                Some(k) => {
                    let k = f.finer(1).plain(k);
                    format!(", probe constant {k} found by trial and applied here")
                }
                None => ", probe constant not found yet".to_owned(),
            },
        });
        text
    });
    let mut text =
        format!("{}; zero: {}", stands_in_words(job, orientation), zero_words(job, orientation));
    if !gauge.is_empty() {
        text.push_str("; ");
        text.push_str(&gauge);
    }
    format!("{text}. Readings in {}.", f.unit.word())
}

pub(super) fn put(paper: &mut Paper<'_>, planned: &Planned, piece: &Piece, finding: &PieceFinding) {
    let job = paper.job;
    let Some(orientation) = job.orientation(planned.number) else { return };
    let heading = format!("Orientation {}: readings as taken", planned.number);
    paper.begin(&heading);
    let picture_top = paper.y;
    let options =
        StandingOptions { width: PICTURE, height: 98.0, text: 2.6, ..StandingOptions::default() };
    paper.put_at(paper.left(), picture_top, standing(job, orientation, &options));
    let text_top = picture_top + 100.0;
    let below =
        paper.paragraph(paper.left(), text_top, PICTURE, &set_up(job, orientation), Ink::Ink);
    let rest = beside(paper, below, applied(job, orientation, piece, finding));
    let columns = columns(paper, orientation, paper.left() + PICTURE + 5.0);
    columns.heads(paper);
    let mut columns = columns;
    let mut floor = paper.bottom();
    for row in rows(job, planned, orientation, piece, finding) {
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let height = row.lines() as f64 * LINE + 0.6;
        if paper.y + height > floor {
            paper.begin(&format!("{heading}, continued"));
            columns.x = paper.left();
            columns.heads(paper);
            floor = paper.bottom();
        }
        row.put(paper, &columns);
        paper.y += height;
        columns.rule(paper, paper.y);
    }
    let f = Figures::of_readings(job, orientation);
    swept(paper, &heading, columns.x, f, &sweeps(job, piece, orientation));
    for text in rest {
        let height = paper.height_of(&text, paper.room());
        if paper.y + height > paper.bottom() {
            paper.begin(&format!("{heading}, continued"));
        }
        paper.y = paper.paragraph(paper.left(), paper.y, paper.room(), &text, Ink::Ink);
    }
}

/// The sweeps below the readings, where there are any, from `x`.
fn swept(paper: &mut Paper<'_>, heading: &str, x: f64, f: Figures, list: &[SweepText]) {
    if list.is_empty() {
        return;
    }
    let figure = |head: &str| Column::new(head, 24.0, Align::Decimal(f.decimals));
    let mut columns = Columns {
        columns: vec![
            Column::new("swept with\nthe indicator", 24.0, Align::Left),
            figure("lowest\nread"),
            figure("highest\nread"),
            figure("TIR: highest\nless lowest"),
            Column::new("u of it\nk = 1", 24.0, Align::Decimal(f.decimals + 1)),
            Column::new("", 24.0, Align::Left),
        ],
        x,
    };
    let height = LINE + 0.6;
    let next = |paper: &mut Paper<'_>, columns: &mut Columns| {
        paper.begin(&format!("{heading}, continued"));
        columns.x = paper.left();
    };
    if paper.y + 14.0 + height > paper.bottom() {
        next(paper, &mut columns);
    } else {
        paper.y += 5.0;
    }
    columns.heads(paper);
    for sweep in list {
        if paper.y + height > paper.bottom() {
            next(paper, &mut columns);
            columns.heads(paper);
        }
        let y = paper.y + LINE - 1.0;
        let mut cell = |i, text: &str| columns.cell(paper, i, y, text, Face::Sans, Ink::Ink);
        cell(0, &sweep.feature);
        cell(1, &sweep.lowest);
        cell(2, &sweep.highest);
        cell(3, &sweep.tir);
        cell(4, sweep.standard.as_deref().unwrap_or("not known"));
        cell(5, if sweep.looks_up { "" } else { "does not look up" });
        paper.y += height;
        columns.rule(paper, paper.y);
    }
}

/// Sentences below the picture; gives back those that there is no room for.
fn beside(paper: &mut Paper<'_>, y: f64, texts: Vec<String>) -> Vec<String> {
    let mut y = y;
    let mut texts = texts.into_iter().peekable();
    while let Some(text) = texts.next_if(|t| y + paper.height_of(t, PICTURE) <= paper.bottom()) {
        y = paper.paragraph(paper.left(), y, PICTURE, &text, Ink::Ink);
    }
    texts.collect()
}

fn columns(paper: &Paper<'_>, orientation: &Orientation, x: f64) -> Columns {
    let job = paper.job;
    let f = Figures::of_readings(job, orientation);
    let results = Figures::of_results(&job.drawing);
    let (first, second) = match orientation.taken {
        Taken::Touches => ("lowest point\nread", "highest point\nread"),
        Taken::CentreAndSize => ("centre\nread", "size\nread"),
    };
    let axis = orientation.up().square_axis().map_or("along up", |a| a.letter());
    // Where it stands alone, before the orientations are adjusted together.
    let as_read = format!("{axis} as read\n{}", job.drawing.unit.word());
    let unit = job.drawing.unit.word();
    let columns = vec![
        Column::new("feature", 24.0, Align::Left),
        Column::new(first, 24.0, Align::Decimal(f.decimals)),
        Column::new(second, 24.0, Align::Decimal(f.decimals)),
        Column::new("spread\n(n)", 18.0, Align::Right),
        Column::new(format!("size\n{unit}"), 18.0, Align::Decimal(results.decimals + 1)),
        Column::new(as_read, 20.0, Align::Decimal(results.decimals + 1)),
        Column::new("", (paper.right() - x - 128.0).max(18.0), Align::Left),
    ];
    Columns { columns, x }
}

/// One feature's readings.
struct Row {
    name: String,
    first: Vec<String>,
    second: Vec<String>,
    spread: String,
    size: String,
    along: String,
    remark: String,
}

impl Row {
    fn lines(&self) -> usize {
        self.first.len().max(self.second.len()).max(1)
    }

    fn put(&self, paper: &mut Paper<'_>, columns: &Columns) {
        let baseline = paper.y + LINE - 1.0;
        columns.cell(paper, 0, baseline, &self.name, Face::Sans, Ink::Ink);
        for (column, values) in [(1, &self.first), (2, &self.second)] {
            for (i, value) in values.iter().enumerate() {
                #[allow(clippy::cast_precision_loss, reason = "a few lines")]
                let y = baseline + i as f64 * LINE;
                columns.cell(paper, column, y, value, Face::Sans, Ink::Ink);
            }
        }
        columns.cell(paper, 3, baseline, &self.spread, Face::Sans, Ink::Soft);
        columns.cell(paper, 4, baseline, &self.size, Face::Sans, Ink::Ink);
        columns.cell(paper, 5, baseline, &self.along, Face::Sans, Ink::Ink);
        let left = columns.left(6) + 1.0;
        paper.put(Text::new((left, baseline), self.remark.as_str(), size::SMALL).ink(Ink::Ink));
    }
}

fn rows(
    job: &Job,
    planned: &Planned,
    orientation: &Orientation,
    piece: &Piece,
    finding: &PieceFinding,
) -> Vec<Row> {
    let f = Figures::of_readings(job, orientation);
    let results = Figures::of_results(&job.drawing).finer(1);
    let by_feature: std::collections::HashMap<&str, &Reading> = piece
        .readings
        .iter()
        .filter(|r| r.orientation == orientation.number)
        .map(|r| (r.feature.as_str(), r))
        .collect();
    let mut rows = Vec::new();
    let mut last = usize::MAX;
    for e in &planned.expected {
        if e.feature == last {
            continue;
        }
        last = e.feature;
        let Some(feature) = job.drawing.features.get(e.feature) else { continue };
        let reading = by_feature.get(feature.number.as_str()).copied();
        let values = |touches: &[Touch]| -> Vec<String> {
            touches
                .iter()
                .flat_map(|t| reading.map_or(&[][..], |r| r.values(*t)))
                .map(|v| {
                    let length = v.length(f.unit);
                    f.exact(length).signed(length)
                })
                .collect()
        };
        // A reading with a zero of its own counts from that.
        let other = reading.and_then(|r| r.own_zero(orientation));
        let setup = match other {
            Some(zero) => Setup::with_zero(job, orientation, zero).ok(),
            None => planned.setup,
        };
        let mut reduced =
            reading.zip(setup).map(|(r, s)| reduce(feature, &s, r)).unwrap_or_default();
        let complete = reduced.along.is_some();
        if setup.is_some_and(|s| !s.base_is_known) {
            // A height over blocks that nobody knows is no coordinate.
            reduced.along = None;
        }
        let spread = reading.map(|r| spread(r, f)).unwrap_or_default();
        let asked = finding
            .questions
            .iter()
            .any(|q| q.orientation == orientation.number && q.feature == e.feature);
        let fit = misfit(finding, orientation, e.feature, results);
        let from = other.map(|z| format!("from {}", zero_name(z)));
        rows.push(Row {
            name: feature_name(feature),
            first: values(&[Touch::Low, Touch::Centre, Touch::Face]),
            second: values(&[Touch::High, Touch::Size]),
            spread,
            size: judged(finding, e.feature, orientation)
                .map(|s| results.plain(s))
                .unwrap_or_default(),
            along: reduced.along.map(|a| along(orientation, a, results)).unwrap_or_default(),
            remark: match (asked, complete) {
                (true, _) => "in question".to_owned(),
                (false, false) => "not measured".to_owned(),
                (false, true) => [from, fit].into_iter().flatten().collect::<Vec<_>>().join(", "),
            },
        });
    }
    rows
}

/// The size of a feature in an orientation as it is judged: everything applied to it.
fn judged(finding: &PieceFinding, feature: usize, orientation: &Orientation) -> Option<Length> {
    let seen = &finding.features.get(feature)?.size.seen;
    seen.iter().find(|s| s.orientation == orientation.number).map(|s| s.size)
}

/// How the height fits those of the other orientations, where any checks it: its residual, and
/// that in its own standard deviations.
fn misfit(
    finding: &PieceFinding,
    orientation: &Orientation,
    feature: usize,
    f: Figures,
) -> Option<String> {
    let m = &finding.measurement;
    if m.degrees == 0 {
        return None;
    }
    let found =
        m.residuals.iter().find(|x| x.orientation == orientation.number && x.feature == feature)?;
    let w = found.normalised.filter(|_| m.probability.is_some())?;
    Some(format!("residual {}, {:.1} of its deviations", f.signed(found.residual), w.abs()))
}

/// The coordinate with the sign of the axis: along −X up, a coordinate along up of −3 is x = 3.
fn along(orientation: &Orientation, along: Length, f: Figures) -> String {
    let sign = orientation.up_side().map_or(1.0, crate::quantity::Side::sign);
    f.plain(along * sign)
}

/// Sample standard deviation of the touch that scatters most, and the number of repeats.
fn spread(reading: &Reading, f: Figures) -> String {
    Touch::ALL
        .iter()
        .filter_map(|t| Mean::of(reading.values(*t), f.unit))
        .filter_map(|m| Some((m.deviation?, m.n)))
        .max_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()))
        .map(|(s, n)| format!("s {} ({n})", f.finer(1).plain(s)))
        .unwrap_or_default()
}
