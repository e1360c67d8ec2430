//! The sums that led to the verdicts, for a reader with a calculator: of every position with its zone,
//! and of every line. They fill the page column by column.

use super::paper::{Paper, STEP, size};
use crate::callout::Verdict;
use crate::findings::{FeatureFinding, PieceFinding};
use crate::mark::{Face, Ink, Line, Stroke, Text, width, wrap};
use crate::picture::{names_segment, zone_lettered};
use crate::show::{
    SumLine, feature_name, relation_sentence, relation_sum, relation_text, requirement,
    segment_name, sentence, sum,
};

/// Up to this many features, and lines, are all shown; of larger jobs only those that do not conform,
/// or conform by their bonus or by the shift of their pattern.
const ALL_UP_TO: usize = 24;
/// A column is at least so wide.
const NARROWEST: f64 = 86.0;
/// Room between columns.
const GUTTER: f64 = 4.5;
/// Side of a zone's picture, and the letters in it.
const ZONE: f64 = 29.0;
const LETTERS: f64 = size::SMALL;
/// From one line of a sum to the next.
const LINE: f64 = size::TEXT * 1.14;
/// Lines of a sum in one block; what is longer goes on in the next one.
const MOST: usize = 40;
/// Height of the rule under the name.
const HEAD: f64 = 1.4;
/// Room under a block.
const BELOW: f64 = 2.6;

pub(super) fn put(paper: &mut Paper<'_>, finding: &PieceFinding) {
    let columns = if paper.room() / 3.0 >= NARROWEST { 3 } else { 2 };
    #[expect(clippy::cast_precision_loss, reason = "a few columns")]
    let wide = (paper.room() + GUTTER) / columns as f64 - GUTTER;
    let (mut blocks, all) = of_features(paper, finding, wide);
    let (lines, all_lines) = of_relations(paper, finding, wide);
    blocks.extend(lines);
    let heading = match (all && all_lines, finding.patterns.is_empty()) {
        (true, _) => "Calculations by feature",
        (false, true) => "Calculations: does not conform, or only with bonus",
        (false, false) => "Calculations: does not conform, or only with bonus or datum shift",
    };
    let Some(first) = blocks.first() else { return };
    paper.section(heading, first.height());
    let mut rest = blocks.as_slice();
    while !rest.is_empty() {
        let room = paper.bottom() - paper.y;
        let (count, high) = filled(rest, columns, room);
        let (here, later) = rest.split_at(count);
        let top = paper.y;
        let (mut column, mut y) = (0.0, 0.0);
        for block in here {
            if y > 0.0 && y + block.height() > high + 1e-9 {
                (column, y) = (column + 1.0, 0.0);
            }
            block.put(paper, paper.left() + column * (wide + GUTTER), top + y);
            y += block.height();
        }
        paper.y = top + high;
        rest = later;
        if !rest.is_empty() {
            paper.resume();
        }
    }
}

/// How many blocks go into columns of this height, and how high the columns need to be for them; one
/// block at least.
fn filled(blocks: &[Block<'_>], columns: usize, room: f64) -> (usize, f64) {
    let pack = |high: f64| {
        let (mut column, mut y) = (0, 0.0);
        for (i, block) in blocks.iter().enumerate() {
            if y > 0.0 && y + block.height() > high + 1e-9 {
                (column, y) = (column + 1, 0.0);
            }
            if column == columns || i > 0 && block.height() > high + 1e-9 {
                return i;
            }
            y += block.height();
        }
        blocks.len()
    };
    let tallest = |n: usize| blocks.iter().take(n).map(Block::height).fold(0.0, f64::max);
    let count = pack(room).max(1);
    if count < blocks.len() {
        return (count, room.max(tallest(count)));
    }
    // The last ones: as low as they go, so that more has room below them.
    let mut high = tallest(count);
    while pack(high) < count && high < room {
        high += 1.0;
    }
    (count, high.min(room.max(tallest(count))))
}

fn of_features<'a>(
    paper: &Paper<'a>,
    finding: &'a PieceFinding,
    wide: f64,
) -> (Vec<Block<'a>>, bool) {
    let job = paper.job;
    let features = finding.features.iter().zip(&job.drawing.features).enumerate();
    let judged: Vec<_> = features.filter(|(_, (f, _))| f.position.is_some()).collect();
    let all = judged.len() <= ALL_UP_TO;
    let told = |f: &FeatureFinding| {
        f.verdict == Verdict::DoesNotConform || f.positions().any(|p| p.by_bonus || p.by_shift())
    };
    let blocks = judged.into_iter().filter(|(_, (f, _))| all || told(f));
    let blocks = blocks.flat_map(|(index, (found, feature))| {
        Block::parts(
            Some((index, found)),
            [feature_name(feature), requirement(feature, &job.drawing)],
            condensed(sum(found, feature, job, &finding.patterns)),
            &sentence(found, feature, job),
            wide,
        )
    });
    (blocks.collect(), all)
}

fn of_relations<'a>(
    paper: &Paper<'a>,
    finding: &'a PieceFinding,
    wide: f64,
) -> (Vec<Block<'a>>, bool) {
    let job = paper.job;
    let all = finding.relations.len() <= ALL_UP_TO;
    let relations = finding.relations.iter().zip(&job.drawing.relations);
    let shown = relations.filter(|(found, _)| {
        found.measured.is_some() && (all || found.verdict == Verdict::DoesNotConform)
    });
    let blocks = shown.flat_map(|(found, relation)| {
        Block::parts(
            None,
            [format!("line {}", relation.number), relation_text(&relation.kind, &job.drawing)],
            relation_sum(found, job),
            &relation_sentence(found, relation, job),
            wide,
        )
    });
    (blocks.collect(), all)
}

/// The sum without lines that repeat what the next one, the requirement or the page of readings says.
fn condensed(lines: Vec<SumLine>) -> Vec<SumLine> {
    // Of several segments each has its own tolerance.
    let one = !lines.iter().any(SumLine::is_head);
    let counts = lines.iter().any(|l| l.label == "size used");
    let mut kept = Vec::with_capacity(lines.len());
    let allowed = lines.iter().find(|l| l.label == "allowed").map(|l| l.how.clone());
    let mut lines = lines.into_iter().peekable();
    while let Some(line) = lines.next() {
        let said = |next: &SumLine| next.how.starts_with(&format!("{} − ", line.value));
        let repeated = match line.label.as_str() {
            "x" | "y" => lines.peek().is_some_and(said),
            "size" => counts,
            "limits" => true,
            "tolerance" => {
                let sum = format!("{} + ", line.value);
                one && allowed.as_ref().is_some_and(|how| how.starts_with(&sum))
            }
            _ => false,
        };
        if !repeated {
            kept.push(line);
        }
    }
    kept
}

/// One sum, or as much of it as one column holds.
struct Block<'a> {
    zone: Option<(usize, &'a FeatureFinding)>,
    name: String,
    /// What is asked: beside the name as far as it goes, and below it.
    asked: Vec<String>,
    rows: Vec<Row>,
    says: Vec<String>,
    /// Under the zone: which segment it is of.
    caption: Vec<String>,
    /// Width of the labels and of the figures.
    labels: f64,
    figures: f64,
    wide: f64,
}

/// A line of the sum, broken into lines of text.
#[derive(Clone)]
struct Row {
    label: Vec<String>,
    value: String,
    how: Vec<String>,
    head: bool,
}

impl Row {
    fn lines(&self) -> usize {
        self.label.len().max(self.how.len()).max(1)
    }
}

impl<'a> Block<'a> {
    fn parts(
        zone: Option<(usize, &'a FeatureFinding)>,
        [name, asked]: [String; 2],
        lines: Vec<SumLine>,
        says: &str,
        wide: f64,
    ) -> Vec<Self> {
        let room = wide - if zone.is_some() { ZONE + 2.0 } else { 0.0 };
        let widest = |face, size, of: &dyn Fn(&SumLine) -> String| {
            let plain = lines.iter().filter(|l| !l.is_head());
            plain.map(|l| width(face, &of(l), size)).fold(0.0, f64::max)
        };
        let figures = widest(Face::Sans, size::TEXT, &|l| l.value.clone());
        let labels = widest(Face::Sans, size::SMALL, &|l| l.label.clone()).min(room * 0.42);
        let how = room - labels - figures - 3.0;
        let caption = zone.map_or_else(Vec::new, |(_, found)| caption(found));
        let rows: Vec<Row> = lines.iter().map(|l| row(l, labels, how, room)).collect();
        let says = wrap(Face::Sans, says, size::TEXT, wide);
        let mut parts: Vec<Vec<Row>> = vec![Vec::new()];
        let mut count = 0;
        for row in rows {
            if count + row.lines() > MOST {
                parts.push(Vec::new());
                count = 0;
            }
            count += row.lines();
            parts.last_mut().into_iter().for_each(|p| p.push(row.clone()));
        }
        let last = parts.len() - 1;
        let part = |(n, rows): (usize, Vec<Row>)| {
            let name = if n > 0 { format!("{name}, continued") } else { name.clone() };
            let asked = if n > 0 { String::new() } else { asked.clone() };
            Self {
                zone: zone.filter(|_| n == 0),
                asked: beside(&name, &asked, wide),
                name,
                rows,
                says: if n == last { says.clone() } else { Vec::new() },
                caption: if n == 0 { caption.clone() } else { Vec::new() },
                labels,
                figures,
                wide,
            }
        };
        parts.into_iter().enumerate().map(part).collect()
    }

    /// Where lines begin, from the top of the block.
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn head(&self) -> f64 {
        STEP * self.asked.len().max(1) as f64 + HEAD
    }

    #[expect(clippy::cast_precision_loss, reason = "a page of lines")]
    fn body(&self) -> f64 {
        let lines: usize = self.rows.iter().map(Row::lines).sum();
        let under = self.caption.len() as f64 * CAPTION;
        let zone = if self.zone.is_some() { ZONE + 0.5 + under } else { 0.0 };
        (lines as f64 * LINE + 0.8).max(zone)
    }

    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn height(&self) -> f64 {
        self.head() + self.body() + self.says.len() as f64 * STEP + BELOW
    }

    fn put(&self, paper: &mut Paper<'_>, x: f64, top: f64) {
        let mut y = top + STEP - 0.8;
        paper.put(Text::new((x, y), &self.name, size::TEXT).bold());
        let after = x + width(Face::SansBold, &self.name, size::TEXT) + 2.0;
        for (n, line) in self.asked.iter().enumerate() {
            let from = if n == 0 { after } else { x };
            paper.put(Text::new((from, y), line, size::TEXT));
            y += STEP;
        }
        let rule = top + self.head() - 0.9;
        paper.put(Line::new((x, rule), (x + self.wide, rule), Stroke::HAIR));
        let top = top + self.head();
        let mut left = x;
        if let Some((index, found)) = self.zone {
            paper.put_at(x, top, zone_lettered(paper.job, index, found, ZONE, LETTERS));
            left += ZONE + 2.0;
            let mut y = top + ZONE;
            for line in &self.caption {
                y += CAPTION;
                paper.put(Text::new((x, y - 0.3), line, size::SMALL).ink(Ink::Soft));
            }
        }
        let mut y = top + LINE - 0.6;
        for row in &self.rows {
            self.row(paper, row, left, y);
            #[expect(clippy::cast_precision_loss, reason = "a few lines")]
            let lines = row.lines() as f64;
            y += lines * LINE;
        }
        let mut y = top + self.body();
        for line in &self.says {
            y += STEP;
            paper.put(Text::new((x, y - 0.8), line, size::TEXT));
        }
    }

    fn row(&self, paper: &mut Paper<'_>, row: &Row, x: f64, y: f64) {
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let down = |n: usize| y + n as f64 * LINE;
        for (n, line) in row.label.iter().enumerate() {
            let text =
                Text::new((x, down(n)), line, if row.head { size::TEXT } else { size::SMALL });
            paper.put(if row.head { text.bold() } else { text.ink(Ink::Soft) });
        }
        let end = x + self.labels + 1.5 + self.figures;
        if !row.value.is_empty() {
            paper.put(Text::new((end, y), &row.value, size::TEXT).end());
        }
        for (n, line) in row.how.iter().enumerate() {
            paper.put(Text::new((end + 1.5, down(n)), line, size::SMALL).ink(Ink::Soft));
        }
    }
}

/// From one line under a zone to the next.
const CAPTION: f64 = size::SMALL * 1.2;

/// What has no room in the picture: of which segment it is.
fn caption(found: &FeatureFinding) -> Vec<String> {
    let name = found.deciding().map(|p| segment_name(found, p)).unwrap_or_default();
    if name.is_empty() || names_segment(&name, ZONE, LETTERS) {
        return Vec::new();
    }
    wrap(Face::Sans, &format!("drawn: {name}"), size::SMALL, ZONE)
}

fn row(line: &SumLine, labels: f64, how: f64, room: f64) -> Row {
    let broken = |face, text: &str, size, room| {
        if text.is_empty() { Vec::new() } else { wrap(face, text, size, room + 1e-9) }
    };
    let head = line.is_head();
    Row {
        label: if head {
            broken(Face::SansBold, &line.label, size::TEXT, room)
        } else {
            broken(Face::Sans, &line.label, size::SMALL, labels)
        },
        value: line.value.clone(),
        how: broken(Face::Sans, &line.how, size::SMALL, how),
        head,
    }
}

/// What is asked, broken so that its first line stands beside the name.
fn beside(name: &str, asked: &str, wide: f64) -> Vec<String> {
    let room = wide - width(Face::SansBold, name, size::TEXT) - 2.0;
    let mut first = String::new();
    let mut rest = asked;
    while let Some((word, tail)) = rest.split_once(' ').or((!rest.is_empty()).then_some((rest, "")))
    {
        let longer = if first.is_empty() { word.to_owned() } else { format!("{first} {word}") };
        if width(Face::Sans, &longer, size::TEXT) > room {
            break;
        }
        (first, rest) = (longer, tail);
    }
    let mut lines = vec![first];
    if !rest.is_empty() {
        lines.extend(wrap(Face::Sans, rest, size::TEXT, wide));
    }
    lines
}
