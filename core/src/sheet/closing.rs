//! The last page: what was left unmeasured, what is in question, what was corrected, and notes.

use super::paper::{Paper, STEP, size};
use crate::callout::{Bonus, NoBonus, PositionFinding, Verdict};
use crate::findings::{Coordinate, FeatureFinding, PieceFinding, Ready};
use crate::job::fingerprint;
use crate::mark::{Face, Text, missing, width};
use crate::show::{
    corrections, datum_words, datums_behind_a_boundary, document_changes, feature_name, question,
    relation_reason, relation_word,
};

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>, index: usize, finding: &PieceFinding) {
    let mut sections: Vec<(&str, Vec<String>)> = Vec::new();
    sections.push(("Not measured", unmeasured(paper, finding)));
    let remarks: Vec<String> =
        ready.problems.iter().chain(&finding.problems).map(|p| p.says()).collect();
    if !remarks.is_empty() {
        sections.push(("Remarks on drawing and set-up", remarks));
    }
    let asked: Vec<String> =
        finding.questions.iter().map(|q| question(q, paper.job, &ready.orientations)).collect();
    if !asked.is_empty() {
        sections.push(("Readings in question, kept as read", asked));
    }
    let corrections = corrections(paper.job, index);
    let changes = document_changes(paper.job, &finding.serial);
    if corrections.is_empty() && changes.is_empty() {
        sections.push(("Corrected readings, changes of drawing and plan", vec![NONE.to_owned()]));
    } else {
        let or_none = |list: Vec<String>| match list.is_empty() {
            true => vec![NONE.to_owned()],
            false => list,
        };
        sections.push(("Corrected readings", or_none(corrections)));
        sections.push((CHANGES, or_none(changes)));
    }
    let mut notes: Vec<String> = Vec::new();
    if !paper.job.shipment.notes.is_empty() {
        notes.push(paper.job.shipment.notes.clone());
    }
    if let Some(piece) = paper.piece.filter(|p| !p.notes.is_empty()) {
        notes.push(piece.notes.clone());
    }
    notes.extend(
        paper
            .job
            .drawing
            .features
            .iter()
            .filter(|f| !f.note.is_empty())
            .map(|f| format!("{}: {}", feature_name(f), f.note)),
    );
    let datums: Vec<String> = paper
        .job
        .drawing
        .datums
        .iter()
        .map(|d| {
            // What a pattern is made of belongs to the result, whatever it is called.
            let on = datum_words(d);
            let what = match (d.what.as_str(), &d.pattern) {
                ("", _) => on,
                (words, None) => words.to_owned(),
                (words, Some(_)) => format!("{words}, {on}"),
            };
            format!("{}: {what}", d.letter)
        })
        .collect();
    if !datums.is_empty() {
        notes.push(format!("Datums: {}.", datums.join("; ")));
    }
    notes.extend(datums_behind_a_boundary(&paper.job.drawing));
    notes.push(format!("Fingerprint of the job (SHA-256): {}", fingerprint(paper.job)));
    sections.push(("Notes", notes));
    let header = super::title_block::in_full(paper);
    if !header.is_empty() {
        sections.push((super::title_block::IN_FULL, header));
    }
    let mut unknown = paper.undrawable();
    unknown.extend(missing(&super::title_block::says(paper)));
    unknown.extend(sections.iter().flat_map(|(_, lines)| lines).flat_map(|l| missing(l)));
    unknown.sort_unstable();
    unknown.dedup();
    if !unknown.is_empty() {
        let codes: Vec<String> =
            unknown.iter().map(|c| format!("U+{:04X}", u32::from(*c))).collect();
        let says = format!(
            "A hollow square stands for characters that the fonts of this sheet do not have, by their \
             Unicode numbers: {}.",
            codes.join(", ")
        );
        sections.push(("Characters that cannot be drawn", vec![says]));
    }
    paper.section("Remarks and records", 2.0 * STEP);
    for (heading, lines) in sections {
        section(paper, heading, &lines);
    }
}

fn section(paper: &mut Paper<'_>, heading: &str, lines: &[String]) {
    paper.make_room(3.0 * STEP + 2.0);
    paper.y += STEP + 0.6;
    let (x, y) = (paper.left(), paper.y);
    paper.put(Text::new((x, y), heading, size::TEXT).bold());
    if let [none] = lines
        && none == NONE
    {
        let after = x + width(Face::SansBold, heading, size::TEXT) + 2.0;
        paper.put(Text::new((after, y), NONE, size::TEXT));
        paper.y += 1.0;
        return;
    }
    paper.y += 0.4;
    paper.columns(lines);
}

/// What stands beside a heading of which there is nothing to say.
const NONE: &str = "None.";

/// Heading of the changes of drawing and plan.
pub(super) const CHANGES: &str = "Drawing and plan changed after the first reading";

/// What is asked and not measured: of features their coordinates, sizes and positions, and lines.
fn unmeasured(paper: &Paper<'_>, finding: &PieceFinding) -> Vec<String> {
    let drawing = &paper.job.drawing;
    let features = finding.features.iter().zip(&drawing.features);
    let features = features.filter(|(f, _)| f.verdict != Verdict::NothingAsked);
    let mut list: Vec<String> = features
        .filter_map(|(f, feature)| {
            let missing = missing_of(f);
            (!missing.is_empty())
                .then(|| format!("{}: {}", feature_name(feature), missing.join(", ")))
        })
        .collect();
    let relations = finding.relations.iter().zip(&drawing.relations);
    let open = relations.filter(|(r, _)| r.verdict == Verdict::NotMeasured);
    list.extend(open.map(|(r, relation)| {
        let word = relation_word(&relation.kind, drawing);
        let why = relation_reason(r, drawing);
        format!("line {}, {word} of {}: {why}", relation.number, r.name)
    }));
    if list.is_empty() {
        return vec![NONE.to_owned()];
    }
    vec![format!("{}.", list.join("; "))]
}

fn missing_of(f: &FeatureFinding) -> Vec<&'static str> {
    let mut missing = Vec::new();
    if f.x == Coordinate::NotMeasured {
        missing.push("x");
    }
    if f.y == Coordinate::NotMeasured {
        missing.push("y");
    }
    let bonus = |p: &PositionFinding| p.bonus == Bonus::None(NoBonus::SizeNotMeasured);
    let open = || f.positions().filter(|p| p.verdict == Verdict::NotMeasured);
    if f.size.verdict == Verdict::NotMeasured || open().any(bonus) {
        missing.push("size");
    }
    // Its own figures are there, but not those of a datum or of the others of its pattern.
    if open().next().is_some() {
        missing.push("position");
    }
    missing
}
