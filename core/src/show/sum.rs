//! The sum as one would write it on paper: every figure that led to a verdict, one under another.

use super::chain::{Chain, Steps, wanted};
use super::pattern::members_text;
use super::requirement::limits_text;
use super::{Figures, segment_text};
use crate::callout::{Bonus, NoBonus, PositionFinding, Zone};
use crate::findings::{Coordinate, FeatureFinding, PatternFinding};
use crate::job::{Drawing, Feature, Job, Modifier};
use crate::quantity::{Length, NOISE, Point};

/// One line of the sum.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SumLine {
    /// What it is: `position`.
    pub label: String,
    /// The figure: `.01146`.
    pub value: String,
    /// How it comes about: `2 × .00573`.
    pub how: String,
}

fn line(label: impl Into<String>, value: String, how: impl Into<String>) -> SumLine {
    SumLine { label: label.into(), value, how: how.into() }
}

impl SumLine {
    /// It heads the lines that follow: they are those of another segment.
    #[must_use]
    pub const fn is_head(&self) -> bool {
        self.value.is_empty() && self.how.is_empty()
    }
}

/// The decimals of a sum: one more than the table, and a second one where that writes the
/// measured figures as they are (the mean of two touches ends in half a step of the gauge), so
/// that a calculator gives the same.
fn decimals(finding: &FeatureFinding, drawing: &Drawing) -> Figures {
    let f = Figures::of_results(drawing).finer(1);
    let measured = [finding.x.at(), finding.y.at()];
    let sizes = finding.size.seen.iter().map(|s| s.size);
    let exact = |f: Figures| {
        measured.iter().flatten().copied().chain(sizes.clone()).all(|l| f.exact(l) == f)
    };
    let mut f = if !exact(f) && exact(f.finer(1)) { f.finer(1) } else { f };
    // And as many as it takes for a position not to look equal to what is allowed.
    for (position, allowed) in finding.positions().filter_map(|p| Some((p.position?, p.allowed))) {
        while (position - allowed).abs() > NOISE && f.plain(position) == f.plain(allowed) {
            let finer = f.finer(1);
            if finer == f {
                break;
            }
            f = finer;
        }
    }
    f
}

/// The sum of one feature, with more decimals than the table: of its first callout, and of every
/// further segment a block of its own under a head ([`SumLine::is_head`]). `patterns` are those of
/// its piece.
#[must_use]
pub fn sum(
    finding: &FeatureFinding,
    feature: &Feature,
    job: &Job,
    patterns: &[PatternFinding],
) -> Vec<SumLine> {
    let drawing = &job.drawing;
    let f = decimals(finding, drawing);
    let mut lines = Vec::new();
    let blocks: Vec<Block<'_>> = finding
        .positions()
        .map(|p| Block::of(p, f, feature.basic_point(drawing.unit), patterns))
        .collect();
    coordinates(finding, feature, drawing, (f, blocks.first()), &mut lines);
    sizes(finding, drawing, f, &mut lines);
    for (index, block) in blocks.iter().enumerate() {
        if blocks.len() > 1 {
            let head = segment_text(feature, block.p.segment, drawing);
            lines.push(line(head, String::new(), ""));
        }
        if index > 0 {
            block.deviations(&mut lines);
        }
        block.shift(drawing, &mut lines);
        block.position(&mut lines);
        block.allowed(&mut lines);
    }
    lines
}

/// A probability as it is worth saying: never certain, never nothing.
#[must_use]
pub fn percent(p: f64) -> String {
    match p * 100.0 {
        p if p > 99.9 => "> 99.9 %".to_owned(),
        p if p < 0.1 => "< 0.1 %".to_owned(),
        p => format!("{p:.1} %"),
    }
}

fn coordinates(
    finding: &FeatureFinding,
    feature: &Feature,
    drawing: &Drawing,
    (f, first): (Figures, Option<&Block<'_>>),
    lines: &mut Vec<SumLine>,
) {
    let f = first.map_or(f, Block::before);
    let shifted = first.is_some_and(|b| b.steps.is_some());
    for (name, found, basic) in [("x", finding.x, feature.x), ("y", finding.y, feature.y)] {
        match (found, basic) {
            (Coordinate::Measured { at, deviation: Some(d) }, Some(basic)) => {
                let basic = basic.length(drawing.unit);
                // As many decimals as it takes for the difference to follow.
                let follows = |fine: &Figures| {
                    f.signed(fine.rounded(at) - fine.rounded(basic)) == f.signed(d)
                };
                let fine = (0..=4).map(|more| f.finer(more)).find(follows).unwrap_or(f);
                lines.push(line(name, fine.plain(at), "measured"));
                lines.push(line(
                    format!("d{name}{}", if shifted { " before" } else { "" }),
                    f.signed(d),
                    format!("{} − {}", fine.plain(at), fine.plain(basic)),
                ));
            }
            (Coordinate::Measured { at, .. }, _) => lines.push(line(name, f.plain(at), "measured")),
            (Coordinate::NotMeasured, _) => lines.push(line(name, String::new(), "not measured")),
            (Coordinate::NotRequired, _) => {}
        }
    }
}

fn sizes(finding: &FeatureFinding, drawing: &Drawing, f: Figures, lines: &mut Vec<SumLine>) {
    let size = &finding.size;
    for seen in &size.seen {
        lines.push(line("size", f.plain(seen.size), format!("orientation {}", seen.orientation)));
    }
    let modified = finding.positions().any(|p| p.modifier != Modifier::None);
    if let Some(counts) = size.counts.filter(|_| modified) {
        let lmc = finding.position.as_ref().is_some_and(|p| p.modifier == Modifier::Lmc);
        let smaller = finding.kind.is_internal() != lmc;
        let how = match size.seen.len() {
            0 | 1 => "",
            2 if smaller => "smaller of two",
            2 => "larger of two",
            _ if smaller => "smallest",
            _ => "largest",
        };
        if !how.is_empty() {
            lines.push(line("size used", f.plain(counts), how));
        }
    }
    if let Some(limits) = size.limits {
        lines.push(line(
            "limits",
            String::new(),
            limits_text(limits, Figures::of_drawing(drawing)),
        ));
    }
}

/// The sum of one segment.
struct Block<'a> {
    p: &'a PositionFinding,
    chain: Chain,
    /// What the shift of its pattern made of it.
    steps: Option<Steps>,
    pattern: Option<&'a PatternFinding>,
}

const NAMES: [&str; 2] = ["x", "y"];

impl<'a> Block<'a> {
    fn of(
        p: &'a PositionFinding,
        f: Figures,
        basic: Point,
        patterns: &'a [PatternFinding],
    ) -> Self {
        let pattern = p.shifted.and_then(|s| patterns.get(s.pattern));
        let of = |chain: Chain| {
            let steps = pattern.and_then(|pattern| Steps::of(p, pattern, basic, chain.deviation));
            Self { p, chain, steps, pattern }
        };
        let choices = Chain::choices(p, f);
        let follows = |b: &Self| b.steps.is_none_or(|s| s.exact);
        let first = choices.first().copied();
        let found = choices.into_iter().map(of).find(follows);
        found.unwrap_or_else(|| of(first.unwrap_or_else(|| Chain::uniform(f))))
    }

    /// The figures of the deviations that the sum begins with.
    fn before(&self) -> Figures {
        self.steps.map_or(self.chain.deviation, |s| s.figures)
    }

    /// The deviations in the frame of a further segment.
    fn deviations(&self, lines: &mut Vec<SumLine>) {
        let f = self.before();
        let shifted = if self.steps.is_some() { " before" } else { "" };
        let wanted = wanted(self.p.zone);
        for (k, d) in self.p.before().into_iter().enumerate().filter(|(k, _)| wanted[*k]) {
            let label = format!("d{}{shifted}", NAMES[k]);
            lines.push(match d {
                Some(d) => line(label, f.signed(d), "in the frame of this segment"),
                None => line(label, String::new(), "not measured"),
            });
        }
    }

    /// What the common shift of the pattern made of the deviations.
    fn shift(&self, drawing: &Drawing, lines: &mut Vec<SumLine>) {
        let (Some(steps), Some(pattern)) = (&self.steps, self.pattern) else { return };
        let f = steps.figures;
        let wanted = wanted(self.p.zone);
        let axes = || (0..2).filter(|k| wanted[*k]);
        for k in axes() {
            let how = format!("common to {}", members_text(&pattern.members, drawing));
            lines.push(line(format!("shift {}", NAMES[k]), f.signed(steps.parts[k][1]), how));
        }
        if let Some(turn) = steps.turn {
            let theta = written(turn, steps.decimals);
            let degrees =
                format!("{:.*}°", steps.decimals.saturating_sub(2), turn.to_degrees().abs());
            lines.push(line("turn", degrees, format!("{}: θ = {theta}", sense(turn))));
            for k in axes() {
                let (other, sign) = if k == 0 { (1, -turn) } else { (0, turn) };
                let how = if steps.small {
                    let formula = if k == 0 { "−θ y" } else { "θ x" };
                    let factor = written(sign, steps.decimals);
                    let place = in_brackets(&f.plain(steps.at[other]));
                    format!("{formula} = {factor} × {place}")
                } else if k == 0 {
                    "x (cos θ − 1) − y sin θ".to_owned()
                } else {
                    "y (cos θ − 1) + x sin θ".to_owned()
                };
                let label = format!("turn {}", NAMES[k]);
                lines.push(line(label, f.signed(steps.parts[k][2]), how));
            }
        }
        for k in axes() {
            let [before, shift, turn, after] = steps.parts[k];
            let mut how = f.plain(before);
            for part in [Some(shift), steps.turn.map(|_| turn)].into_iter().flatten() {
                let sign = if part < Length::ZERO { '−' } else { '+' };
                how.push_str(&format!(" {sign} {}", f.plain(part.abs())));
            }
            let label = format!("d{} after", NAMES[k]);
            lines.push(line(label, self.chain.deviation.signed(after), how));
        }
    }

    fn position(&self, lines: &mut Vec<SumLine>) {
        let (Some(radius), Some(position)) = (self.p.radius, self.p.position) else { return };
        let Chain { deviation, radius: fine, result, .. } = self.chain;
        let twice = match self.p.zone {
            Zone::Round => {
                let d = self.p.deviation.map(|d| deviation.plain(d.unwrap_or_default().abs()));
                let how = format!("√({}² + {}²)", d[0], d[1]);
                lines.push(line("radius", fine.plain(radius), how));
                format!("2 × {}", fine.plain(radius))
            }
            Zone::Planes(axis) => {
                format!("2 × {} across, along {}", deviation.plain(radius), axis.letter())
            }
        };
        lines.push(line("position", result.plain(position), twice));
    }

    fn allowed(&self, lines: &mut Vec<SumLine>) {
        let (p, f) = (self.p, self.chain.result);
        let Chain { bonus: fine, size: finest, margin: last, .. } = self.chain;
        let shape = if p.zone == Zone::Round { "diameter" } else { "width" };
        lines.push(line("tolerance", f.plain(p.tolerance), shape));
        match p.bonus {
            Bonus::NotAsked => {}
            Bonus::Earned { bonus, size, from, .. } => {
                let (large, small): (Length, Length) = (size.max(from), size.min(from));
                let which = if p.modifier == Modifier::Lmc { "LMC" } else { "MMC" };
                let departure = large - small;
                let how = if (departure - bonus).abs() <= NOISE {
                    format!("{} − {} from {which}", finest.plain(large), finest.plain(small))
                } else if bonus > Length::ZERO {
                    "limited to the size tolerance".to_owned()
                } else {
                    format!("none: size beyond {which}, not proven")
                };
                lines.push(line("bonus", fine.plain(bonus), how));
            }
            Bonus::None(NoBonus::SizeOut) => {
                lines.push(line("bonus", f.plain(Length::ZERO), "none: size out of limits"));
            }
            Bonus::None(NoBonus::SizeNotMeasured) => {
                lines.push(line("bonus", String::new(), "size not measured"));
            }
        }
        if p.modifier != Modifier::None {
            let how = format!("{} + {}", fine.plain(p.tolerance), fine.plain(p.bonus.length()));
            lines.push(line("allowed", f.plain(p.allowed), how));
        }
        if let (Some(margin), Some(position)) = (p.margin, p.position) {
            // Where the size is missing, the margin is held against the most it could add.
            let most = margin + position - p.allowed;
            let how = if most.abs() <= NOISE {
                format!("{} − {}", f.plain(p.allowed), f.plain(position))
            } else {
                format!(
                    "{} + at most {} − {}",
                    f.plain(p.allowed),
                    f.plain(most),
                    f.plain(position)
                )
            };
            lines.push(line("margin", last.signed(margin), how));
        }
    }
}

/// Which way a turn goes, in words.
pub(super) const fn sense(turn: f64) -> &'static str {
    if turn < 0.0 { "clockwise" } else { "counter-clockwise" }
}

/// A number with a true minus sign.
fn written(value: f64, decimals: usize) -> String {
    let sign = if value < 0.0 { "−" } else { "" };
    format!("{sign}{:.decimals$}", value.abs())
}

/// A negative figure in brackets.
fn in_brackets(figure: &str) -> String {
    if figure.starts_with('−') { format!("({figure})") } else { figure.to_owned() }
}
