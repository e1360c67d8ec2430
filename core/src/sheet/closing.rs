//! The last page: what was left unmeasured, what is in question, what was corrected, and notes.

use super::paper::{Paper, size};
use crate::callout::Verdict;
use crate::findings::{Coordinate, PieceFinding, Ready};
use crate::mark::{Ink, Text};
use crate::show::{corrections, datum_words, datums_behind_a_boundary, feature_name, question};

pub(super) fn put(paper: &mut Paper<'_>, ready: &Ready<'_>, index: usize, finding: &PieceFinding) {
    let mut sections: Vec<(&str, Vec<String>)> = Vec::new();
    sections.push(("Left unmeasured", unmeasured(paper, finding)));
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
    sections.push((
        "Corrections of what was observed",
        if corrections.is_empty() { vec!["None.".to_owned()] } else { corrections },
    ));
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
    if !notes.is_empty() {
        sections.push(("Notes", notes));
    }
    sections.push((
        "What this sheet does not decide",
        vec![super::first_page::LIMITS_OF_THIS_SHEET.to_owned()],
    ));
    paper.begin("What else belongs to this sheet");
    for (heading, lines) in sections {
        section(paper, heading, &lines);
    }
}

fn section(paper: &mut Paper<'_>, heading: &str, lines: &[String]) {
    if paper.y + 14.0 > paper.bottom() {
        paper.begin("What else belongs to this sheet, continued");
    }
    paper.y += 4.5;
    let (x, y) = (paper.left(), paper.y);
    paper.put(Text::new((x, y), heading, size::TEXT + 0.3).bold());
    paper.y += 0.8;
    for line in lines {
        if paper.y + 5.0 > paper.bottom() {
            paper.begin("What else belongs to this sheet, continued");
        }
        let room = paper.room().min(200.0);
        paper.y = paper.paragraph(paper.left(), paper.y, room, line, Ink::Ink) - 0.4;
    }
}

fn unmeasured(paper: &Paper<'_>, finding: &PieceFinding) -> Vec<String> {
    let mut lines: Vec<String> = finding
        .features
        .iter()
        .zip(&paper.job.drawing.features)
        .filter(|(f, _)| f.verdict != Verdict::NothingAsked)
        .filter_map(|(f, feature)| {
            let mut missing = Vec::new();
            if f.x == Coordinate::NotMeasured {
                missing.push("x");
            }
            if f.y == Coordinate::NotMeasured {
                missing.push("y");
            }
            if f.size.verdict == Verdict::NotMeasured {
                missing.push("size");
            }
            (!missing.is_empty())
                .then(|| format!("{}: {}", feature_name(feature), missing.join(", ")))
        })
        .collect();
    if lines.is_empty() {
        lines.push("Nothing that the requirements listed here ask for.".to_owned());
    }
    lines
}
