//! The cover of a lot: its verdict, and a row for each piece with the reason.

use super::first_page::{LIMITS_OF_THIS_SHEET, exceptions, put_verdict};
use super::paper::{Paper, STEP};
use super::table::{Align, Cell, Head, Table};
use super::title_block::{self, Purpose};
use crate::callout::Verdict;
use crate::findings::PieceFinding;
use crate::job::{Job, Piece};
use crate::mark::{Face, Ink};
use crate::show::{Lot, piece_verdict_words, tally_says};

/// So many reasons are said of one piece; all are on its sheet.
const MOST: usize = 3;
/// Room between the notes and the title block.
const BESIDE: f64 = 5.0;

/// What the cover says of one piece.
pub(super) struct Line<'a> {
    piece: &'a Piece,
    verdict: Verdict,
    /// How many features and lines conform, and how many do not.
    tally: String,
    reason: String,
    /// How many pages there are before its sheet, without those of the cover.
    before: usize,
}

impl<'a> Line<'a> {
    /// Of a piece, with so many pages before its sheet.
    pub(super) fn of(job: &Job, piece: &'a Piece, finding: &PieceFinding, before: usize) -> Self {
        let mut reasons = exceptions(job, finding);
        let more = reasons.len().saturating_sub(MOST);
        reasons.truncate(MOST);
        if more > 0 {
            reasons.push(format!("And {more} more."));
        }
        Self {
            piece,
            verdict: finding.verdict,
            tally: tally_says(&finding.tally),
            reason: reasons.join(" "),
            before,
        }
    }
}

/// The cover of all pieces of a job.
pub(super) fn put<'a>(job: &'a Job, lines: &[Line<'_>]) -> Paper<'a> {
    // How many pages it takes does not depend on the numbers that it gives, unless a digit more makes a
    // line longer; then the next time is right.
    let mut pages = 1;
    for _ in 0..3 {
        let paper = laid_out(job, lines, pages);
        if paper.count() == pages {
            return paper;
        }
        pages = paper.count();
    }
    laid_out(job, lines, pages)
}

/// The cover if it takes so many pages itself.
fn laid_out<'a>(job: &'a Job, lines: &[Line<'_>], pages: usize) -> Paper<'a> {
    let lot = Lot::of(job, lines.iter().map(|l| (l.piece.serial.as_str(), l.verdict)));
    let mut paper = Paper::new(job, None, Purpose::Cover);
    paper.begin(Purpose::Cover.words());
    paper.bookmark_first(Purpose::Cover.words());
    put_verdict(&mut paper, lot.verdict(), &lot.headline());
    paper.columns(&lot.lists());

    let notes = [
        lot.scope(),
        format!("Decision rule: {}", job.plan.decision_rule.sentence(job.plan.coverage)),
        LIMITS_OF_THIS_SHEET.to_owned(),
    ];
    let room = paper.border_right() - title_block::WIDTH - BESIDE - paper.left();
    let high: f64 = notes.iter().map(|n| paper.height_of(n, room)).sum();
    let foot = title_block::height(&paper).max(high) + 2.0;
    let top = paper.border_bottom() - foot;
    paper.keep_from(top - 1.0);
    let (x, mut y) = (paper.left(), top);
    for note in &notes {
        y = paper.paragraph(x, y, room, note, Ink::Ink);
    }

    let room = paper.room();
    table(lines, pages).put(&mut paper, x, room);
    let in_full = title_block::in_full(&paper);
    if !in_full.is_empty() {
        paper.section(title_block::IN_FULL, 3.0 * STEP);
        paper.columns(&in_full);
    }
    paper
}

fn table(lines: &[Line<'_>], pages: usize) -> Table {
    let text = |t: &str| Head::new(t, Align::Left);
    // Where all pieces had one temperature the title block says it.
    let temperatures = lines.windows(2).any(|w| w[0].piece.temperature != w[1].piece.temperature);
    let mut heads = vec![
        text("serial"),
        text("verdict").unbroken(),
        text("features and lines"),
        text("reason").least(60.0),
        text("inspected by"),
        text("date"),
    ];
    if temperatures {
        heads.push(text("temperature"));
    }
    heads.push(Head::new("page", Align::Right));
    let mut table = Table::new(heads);
    for line in lines {
        let words = piece_verdict_words(line.verdict);
        let fails = line.verdict == Verdict::DoesNotConform;
        let face = if fails { Face::SansBold } else { Face::Sans };
        let verdict = line.verdict.sign().map_or_else(
            || Cell::from("nothing asked"),
            |sign| Cell::signed(sign, words, "", face, Ink::Ink),
        );
        let mut row = vec![
            Cell::from(line.piece.serial.as_str()).bold(),
            verdict,
            line.tally.as_str().into(),
            line.reason.as_str().into(),
            line.piece.inspector.as_str().into(),
            line.piece.date.as_str().into(),
        ];
        if temperatures {
            row.push(line.piece.temperature.as_str().into());
        }
        row.push((pages + line.before + 1).to_string().into());
        table.row(row);
    }
    table
}
