//! The table of what was asked and what was found.

use super::column::{Align, Column, Columns};
use super::paper::{Paper, size};
use super::relation_rows;
use crate::callout::{Bonus, PositionFinding, RelationFinding, Verdict};
use crate::findings::{Coordinate, Fault, FeatureFinding, Ready};
use crate::job::{Drawing, Feature};
use crate::mark::{Face, Ink, Text, VerdictSign, control_frame, control_frame_width, fit, width};
use crate::picture::frame_cells;
use crate::quantity::Length;
use crate::show::{BonusText, Figures, RequirementRow, against, fault_words, limits_text};

/// Height of one line.
pub(super) const LINE: f64 = 4.5;

pub(super) mod at {
    //! Where the columns stand.
    pub(in crate::sheet) const NUMBER: usize = 0;
    pub(in crate::sheet) const FEATURE: usize = 1;
    pub(in crate::sheet) const REQUIREMENT: usize = 2;
    pub(in crate::sheet) const NOMINAL_X: usize = 3;
    pub(in crate::sheet) const NOMINAL_Y: usize = 4;
    pub(in crate::sheet) const X: usize = 5;
    pub(in crate::sheet) const Y: usize = 6;
    pub(in crate::sheet) const DX: usize = 7;
    pub(in crate::sheet) const DY: usize = 8;
    pub(in crate::sheet) const SIZE: usize = 9;
    pub(in crate::sheet) const POSITION: usize = 10;
    pub(in crate::sheet) const BONUS: usize = 11;
    pub(in crate::sheet) const ALLOWED: usize = 12;
    pub(in crate::sheet) const MARGIN: usize = 13;
    pub(in crate::sheet) const VERDICT: usize = 14;
    pub(in crate::sheet) const INSTRUMENT: usize = 15;
}

fn columns(paper: &Paper<'_>) -> Columns {
    let drawing = &paper.job.drawing;
    let f = Figures::of_results(drawing);
    // As wide as the figures of this drawing need: its largest coordinate, size and deviation.
    let wide = |text: &str| width(Face::SansBold, text, size::TEXT) + 2.6;
    let largest = drawing
        .features
        .iter()
        .flat_map(|x| [x.x, x.y])
        .flatten()
        .map(|v| v.length(drawing.unit).abs())
        .fold(Length::ZERO, Length::max);
    let coordinate = wide(&f.signed(-largest)).max(11.0);
    let sizes = drawing.features.iter().filter_map(|x| x.size.and_then(|s| s.limits(drawing.unit)));
    let size = wide(&f.plain(sizes.map(|l| l.upper).fold(Length::ZERO, Length::max))).max(12.5);
    let small = wide(&f.signed(Length::of(-0.1, drawing.unit))).max(11.0);
    let figure = |head: &str, width: f64| Column::new(head, width, Align::Decimal(f.decimals));
    let mut columns = vec![
        Column::new("no.", 8.0, Align::Left),
        Column::new("feature", 10.0, Align::Left),
        Column::new("requirement", 37.0, Align::Left),
        figure("basic\nX", coordinate),
        figure("basic\nY", coordinate),
        figure("measured\nX", coordinate.max(13.0)),
        figure("measured\nY", coordinate.max(13.0)),
        figure("deviation\ndX", small.max(12.5)),
        figure("deviation\ndY", small.max(12.5)),
        figure("size\nthat counts", size.max(14.5)),
        figure("position\nor size", size),
        figure("bonus", small),
        figure("allowed", small),
        figure("margin", small),
        Column::new("verdict", 0.0, Align::Left),
        Column::new("instr.", 8.0, Align::Left),
    ];
    // Letter is narrower than A4: the verdict takes what is left.
    let rest: f64 = columns.iter().map(|c| c.width).sum();
    columns[at::VERDICT].width = (paper.room() - rest).max(24.0);
    Columns { columns, x: paper.left() }
}

/// The table of all features, and of the relations, from `paper.y` down; the first page has room to `floor`, further
/// pages are begun as needed.
pub(super) fn put(
    paper: &mut Paper<'_>,
    ready: &Ready<'_>,
    (features, relations): (&[FeatureFinding], &[RelationFinding]),
    floor: f64,
) {
    let columns = columns(paper);
    columns.heads(paper);
    let mut floor = floor;
    let instruments = instruments(paper, ready);
    for (finding, feature) in features.iter().zip(&paper.job.drawing.features) {
        let block = Block::of(finding, feature, &paper.job.drawing);
        if block.lines == 0 {
            continue;
        }
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let height = block.lines as f64 * LINE + 1.2;
        if paper.y + height > floor {
            paper.begin("Findings, continued");
            columns.heads(paper);
            floor = paper.bottom();
        }
        block.put(paper, &columns, &instruments);
        paper.y += height;
        columns.rule(paper, paper.y);
    }
    relation_rows::put(paper, (&columns, &instruments), relations, floor);
}

/// `1`, or `1 2` where orientations use several instruments.
fn instruments(paper: &Paper<'_>, _ready: &Ready<'_>) -> String {
    let plan = &paper.job.plan;
    let known =
        plan.orientations.iter().map(|o| o.instrument).filter(|i| *i < plan.instruments.len());
    let mut used: Vec<usize> = known.map(|i| i + 1).collect();
    used.sort_unstable();
    used.dedup();
    used.iter().map(usize::to_string).collect::<Vec<_>>().join(" ")
}

/// The lines of one feature.
struct Block<'a> {
    finding: &'a FeatureFinding,
    feature: &'a Feature,
    drawing: &'a Drawing,
    position: bool,
    size: bool,
    reported: bool,
    lines: usize,
}

impl<'a> Block<'a> {
    fn of(finding: &'a FeatureFinding, feature: &'a Feature, drawing: &'a Drawing) -> Self {
        let position = finding.position.is_some();
        let size = finding.size.limits.is_some();
        // Measured without a requirement: reported, on a line of its own.
        let measured =
            finding.x.at().is_some() || finding.y.at().is_some() || !finding.size.seen.is_empty();
        // What was typed and is not understood has a line of its own too, measured or not.
        let refused = matches!(finding.fault, Some(Fault::NotUnderstood(_)));
        let reported = !position
            && (refused && !size
                || measured && (!size || finding.x.at().is_some() || finding.y.at().is_some()));
        let lines = finding.positions().count() + usize::from(size) + usize::from(reported);
        Self { finding, feature, drawing, position, size, reported, lines }
    }

    fn put(&self, paper: &mut Paper<'_>, columns: &Columns, instruments: &str) {
        let top = paper.y + 0.6;
        let baseline = |line: f64| top + line * LINE + LINE - 1.35;
        columns.cell(
            paper,
            at::NUMBER,
            baseline(0.0),
            &self.feature.number,
            Face::SansBold,
            Ink::Ink,
        );
        columns.cell(
            paper,
            at::FEATURE,
            baseline(0.0),
            self.feature.kind.word(),
            Face::Sans,
            Ink::Ink,
        );
        let mut line = 0.0;
        if self.position || self.reported {
            self.coordinates(paper, columns, baseline(line));
            if let Some(p) = &self.finding.position {
                self.position(paper, columns, p, top + line * LINE, baseline(line));
            } else {
                let refused =
                    self.finding.fault.as_ref().filter(|f| matches!(f, Fault::NotUnderstood(_)));
                let says = if refused.is_some() { "not understood" } else { "reference only" };
                columns.cell(paper, at::REQUIREMENT, baseline(line), says, Face::Sans, Ink::Soft);
                if let Some(fault) = refused {
                    let (judged, note) = (Verdict::CannotBeJudged, fault_words(fault));
                    verdict(paper, columns, baseline(line), judged, &note);
                }
            }
            columns.cell(paper, at::INSTRUMENT, baseline(line), instruments, Face::Sans, Ink::Ink);
            line += 1.0;
        }
        for p in &self.finding.further {
            self.deviations(paper, columns, p, baseline(line));
            self.position(paper, columns, p, top + line * LINE, baseline(line));
            columns.cell(paper, at::INSTRUMENT, baseline(line), instruments, Face::Sans, Ink::Ink);
            line += 1.0;
        }
        if self.size {
            self.size(paper, columns, baseline(line));
            columns.cell(paper, at::INSTRUMENT, baseline(line), instruments, Face::Sans, Ink::Ink);
        }
    }

    fn figures(&self) -> Figures {
        Figures::of_results(self.drawing)
    }

    fn coordinates(&self, paper: &mut Paper<'_>, columns: &Columns, y: f64) {
        let f = self.figures();
        let unit = self.drawing.unit;
        // Shifted with its pattern, it is the deviation after the shift that is judged.
        let shifted = self.finding.position.as_ref().filter(|p| p.shifted.is_some());
        if let Some(p) = shifted {
            self.deviations(paper, columns, p, y);
        }
        for (basic, found, nominal_at, at, d_at) in [
            (self.feature.x, self.finding.x, at::NOMINAL_X, at::X, at::DX),
            (self.feature.y, self.finding.y, at::NOMINAL_Y, at::Y, at::DY),
        ] {
            if let Some(basic) = basic.filter(|_| found != Coordinate::NotRequired) {
                let length = basic.length(unit);
                columns.cell(
                    paper,
                    nominal_at,
                    y,
                    &Figures::of_drawing(self.drawing).exact(length).plain(length),
                    Face::Sans,
                    Ink::Ink,
                );
            }
            match found {
                Coordinate::Measured { at: coordinate, deviation } => {
                    columns.cell(paper, at, y, &f.plain(coordinate), Face::Sans, Ink::Ink);
                    let deviation = if shifted.is_some() { None } else { deviation };
                    let text = deviation.map(|d| f.signed(d)).unwrap_or_default();
                    columns.cell(paper, d_at, y, &text, Face::Sans, Ink::Ink);
                }
                Coordinate::NotMeasured => {
                    let left = columns.left(at);
                    paper
                        .put(Text::new((left + 1.0, y), "not measured", size::SMALL).ink(Ink::Ink));
                }
                Coordinate::NotRequired => {}
            }
        }
    }

    /// The deviations of a segment in its own frame, after the shift of its pattern.
    fn deviations(&self, paper: &mut Paper<'_>, columns: &Columns, p: &PositionFinding, y: f64) {
        let f = self.figures();
        for (found, at) in p.deviation.iter().zip([at::DX, at::DY]) {
            let text = found.map(|d| f.signed(d)).unwrap_or_default();
            columns.cell(paper, at, y, &text, Face::Sans, Ink::Ink);
        }
    }

    fn position(
        &self,
        paper: &mut Paper<'_>,
        columns: &Columns,
        p: &PositionFinding,
        top: f64,
        y: f64,
    ) {
        let f = self.figures();
        let cells = frame_cells(self.feature, self.drawing, p.segment);
        let room = columns.columns[at::REQUIREMENT].width - 1.5;
        let mut height = LINE - 0.5;
        let wide = control_frame_width(height, &cells);
        if wide > room {
            height *= room / wide;
        }
        let (marks, _) =
            control_frame((columns.left(at::REQUIREMENT) + 0.8, top + 0.2), height, &cells);
        for mark in marks {
            paper.put(mark);
        }
        if let Bonus::Earned { size, .. } = p.bonus {
            columns.cell(paper, at::SIZE, y, &f.plain(size), Face::Sans, Ink::Ink);
        }
        put_row(paper, columns, y, &RequirementRow::of_position(self.finding, p, self.drawing));
    }

    fn size(&self, paper: &mut Paper<'_>, columns: &Columns, y: f64) {
        let f = self.figures();
        let found = &self.finding.size;
        let Some(limits) = found.limits else { return };
        let sign = if self.feature.kind.is_round() { "⌀ " } else { "width " };
        let text = format!("{sign}{}", limits_text(limits, Figures::of_drawing(self.drawing)));
        columns.cell(paper, at::REQUIREMENT, y, &text, Face::Sans, Ink::Ink);
        // Every size as it was seen, under the coordinate of the orientation that saw it.
        // Against the limit it is nearest to: a size that fails by a hair must not look like it.
        let nearest = |size: Length| {
            if (limits.upper - size) < (size - limits.lower) { limits.upper } else { limits.lower }
        };
        let f = f.exact(limits.lower).exact(limits.upper);
        let seen: Vec<String> = found
            .seen
            .iter()
            .map(|s| format!("{} ({})", against(s.size, nearest(s.size), f).0, s.orientation))
            .collect();
        if !seen.is_empty() {
            let left = columns.left(at::NOMINAL_X) + 1.0;
            let label =
                if seen.len() > 1 { "sizes by orientation: " } else { "size by orientation: " };
            paper.put(
                Text::new((left, y), format!("{label}{}", seen.join("   ")), size::SMALL + 0.2)
                    .ink(Ink::Soft),
            );
        }
        put_row(paper, columns, y, &RequirementRow::of_size(self.finding, self.drawing));
    }
}

/// The figures and the verdict of a requirement of any kind.
pub(super) fn put_row(paper: &mut Paper<'_>, columns: &Columns, y: f64, row: &RequirementRow) {
    columns.cell(paper, at::POSITION, y, &row.measured, Face::SansBold, Ink::Ink);
    match &row.bonus {
        BonusText::Empty => {}
        BonusText::Figure(bonus) => {
            columns.cell(paper, at::BONUS, y, bonus, Face::Sans, Ink::Ink);
        }
        BonusText::None => {
            let right = columns.left(at::BONUS) + columns.columns[at::BONUS].width - 1.1;
            paper.put(Text::new((right, y), "none", size::SMALL).end());
        }
    }
    columns.cell(paper, at::ALLOWED, y, &row.allowed, Face::Sans, Ink::Ink);
    columns.cell(paper, at::MARGIN, y, &row.margin, Face::Sans, Ink::Ink);
    verdict(paper, columns, y, row.verdict, &row.note);
}

pub(super) fn verdict(
    paper: &mut Paper<'_>,
    columns: &Columns,
    y: f64,
    verdict: Verdict,
    note: &str,
) {
    let sign = match verdict {
        Verdict::Conforms => VerdictSign::Conforms,
        Verdict::DoesNotConform => VerdictSign::DoesNotConform,
        Verdict::NotMeasured => VerdictSign::NotMeasured,
        Verdict::NotProven => VerdictSign::NotProven,
        Verdict::CannotBeJudged => VerdictSign::CannotBeJudged,
        Verdict::NothingAsked => return,
    };
    let left = columns.left(at::VERDICT) + 2.4;
    paper.put(sign.draw((left, y - 0.85), 2.3));
    let bad = verdict == Verdict::DoesNotConform;
    let face = if bad { Face::SansBold } else { Face::Sans };
    let ink = if bad { Ink::Fault } else { Ink::Ink };
    let words = verdict.words();
    let em = size::TEXT;
    let x = left + 2.4;
    paper.put(Text::new((x, y), words, em).face(face).ink(ink));
    if !note.is_empty() {
        let after = x + width(face, words, em) + 1.2;
        let room = columns.left(at::VERDICT) + columns.columns[at::VERDICT].width - after;
        paper.put(
            Text::new((after, y), fit(Face::Sans, note, size::SMALL, room), size::SMALL)
                .ink(Ink::Ink),
        );
    }
}
