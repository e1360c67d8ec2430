//! What is said of all pieces of a job together.

use super::capital;
use crate::callout::Verdict;
use crate::findings::{PieceFinding, Tally};
use crate::job::Job;

/// Pieces with their verdicts, and what the order says of the lot.
pub struct Lot<'a> {
    job: &'a Job,
    pieces: Vec<(&'a str, Verdict)>,
}

/// Verdicts in the order in which they are counted, with their words for one piece and for several.
const WORDS: [(Verdict, &str, &str); 6] = [
    (Verdict::Conforms, "conforms", "conform"),
    (Verdict::DoesNotConform, "does not conform", "do not conform"),
    (Verdict::NotProven, "not proven either way", "not proven either way"),
    (Verdict::NotMeasured, "not fully measured", "not fully measured"),
    (Verdict::CannotBeJudged, "cannot be judged", "cannot be judged"),
    (Verdict::NothingAsked, "without requirements", "without requirements"),
];

/// The verdict on a piece in words: of one that is measured in part it says so.
#[must_use]
pub fn piece_verdict_words(verdict: Verdict) -> &'static str {
    WORDS.iter().find(|(v, ..)| *v == verdict).map_or("", |(_, words, _)| words)
}

/// So many serial numbers are read at a glance.
const FEW: usize = 12;

impl<'a> Lot<'a> {
    /// Of pieces by their serial number, each with its verdict.
    pub fn of<'b: 'a>(job: &'a Job, pieces: impl Iterator<Item = (&'b str, Verdict)>) -> Self {
        Self { job, pieces: pieces.collect() }
    }

    /// The verdict over all pieces: the worst of them.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        self.pieces.iter().fold(Verdict::NothingAsked, |all, (_, one)| all.and(*one))
    }

    fn count(&self, verdict: Verdict) -> usize {
        self.pieces.iter().filter(|(_, v)| *v == verdict).count()
    }

    /// `20 pieces: 17 conform, 2 do not conform, 1 cannot be judged`.
    #[must_use]
    pub fn headline(&self) -> String {
        let all = count_of_pieces(self.pieces.len());
        if self.count(Verdict::Conforms) == self.pieces.len() {
            return format!("{all}: all conform to the requirements listed");
        }
        let counts = WORDS.iter().filter_map(|(verdict, one, several)| {
            let count = self.count(*verdict);
            (count > 0).then(|| format!("{count} {}", if count == 1 { one } else { several }))
        });
        format!("{all}: {}", counts.collect::<Vec<_>>().join(", "))
    }

    /// The serial numbers of the pieces that do not conform or are open, a line for each verdict, as long as
    /// they are few: many are found in their rows.
    #[must_use]
    pub fn lists(&self) -> Vec<String> {
        let open = WORDS.iter().filter(|(verdict, ..)| *verdict != Verdict::Conforms);
        open.filter_map(|(verdict, one, several)| {
            let of = self.pieces.iter().filter(|(_, v)| v == verdict);
            let serials: Vec<&str> = of.map(|(serial, _)| named(serial)).collect();
            let words = if serials.len() == 1 { one } else { several };
            (1..=FEW)
                .contains(&serials.len())
                .then(|| format!("{}: {}.", capital(words), serials.join(", ")))
        })
        .collect()
    }

    /// What the verdict is about, and what it leaves open.
    #[must_use]
    pub fn scope(&self) -> String {
        let s = &self.job.shipment;
        let number = |text: &str| text.trim().parse::<usize>().ok();
        let here = self.pieces.len();
        let mut text = format!("This report covers {}.", count_of_pieces(here));
        if !s.quantity.trim().is_empty() {
            text = format!("Lot size {}. {text}", s.quantity.trim());
        }
        match number(&s.inspected) {
            Some(stated) if stated != here => text.push_str(&format!(
                " The quantity inspected is stated as {stated}; records of the others are not part of it."
            )),
            _ => {}
        }
        if number(&s.quantity) != Some(here) {
            text.push_str(
                " Pieces that were not inspected, and acceptance of the lot, are decided by the sampling \
                 plan of the order.",
            );
        }
        text
    }
}

/// `1 piece`, `20 pieces`.
#[must_use]
pub fn count_of_pieces(count: usize) -> String {
    format!("{count} {}", if count == 1 { "piece" } else { "pieces" })
}

/// `Piece 0021: does not conform`.
#[must_use]
pub fn piece_says(piece: &PieceFinding) -> String {
    let name = format!("Piece {}", named(&piece.serial));
    match WORDS.iter().find(|(verdict, ..)| *verdict == piece.verdict) {
        Some((_, words, _)) => format!("{name}: {words}"),
        None => name,
    }
}

/// How many features and lines of a piece have which verdict: `6 of 8 conform, 2 do not`.
#[must_use]
pub fn tally_says(tally: &Tally) -> String {
    let t = tally;
    let mut text = format!("{} of {} conform", t.conform, t.asked);
    for (n, words) in [
        (t.fail, if t.fail == 1 { "does not" } else { "do not" }),
        (t.unproven, "not proven"),
        (t.missing, "not measured"),
        (t.unjudged, "cannot be judged"),
    ] {
        if n > 0 {
            text.push_str(&format!(", {n} {words}"));
        }
    }
    text
}

/// A serial number, or what stands for it.
fn named(serial: &str) -> &str {
    if serial.trim().is_empty() { "without a serial number" } else { serial }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    #[test]
    fn a_lot_is_as_good_as_its_worst_piece() {
        let job = Job::empty(Unit::Mm);
        let lot = |pieces: &[(&'static str, Verdict)]| Lot::of(&job, pieces.iter().copied());
        let all = lot(&[("1", Verdict::Conforms), ("2", Verdict::Conforms)]);
        assert_eq!(all.verdict(), Verdict::Conforms);
        assert_eq!(all.headline(), "2 pieces: all conform to the requirements listed");
        assert_eq!(all.lists(), Vec::<String>::new());
        let mixed = lot(&[
            ("1", Verdict::Conforms),
            ("2", Verdict::CannotBeJudged),
            ("3", Verdict::DoesNotConform),
            ("", Verdict::DoesNotConform),
        ]);
        assert_eq!(mixed.verdict(), Verdict::DoesNotConform);
        assert_eq!(mixed.headline(), "4 pieces: 1 conforms, 2 do not conform, 1 cannot be judged");
        assert_eq!(
            mixed.lists(),
            ["Do not conform: 3, without a serial number.", "Cannot be judged: 2."]
        );
        let open = lot(&[("1", Verdict::Conforms), ("2", Verdict::NotMeasured)]);
        assert_eq!(open.verdict(), Verdict::NotMeasured);
    }

    #[test]
    fn what_was_not_inspected_is_left_open() {
        let mut job = Job::empty(Unit::Mm);
        let pieces = [("1", Verdict::Conforms), ("2", Verdict::Conforms)];
        let scope = |job: &Job| Lot::of(job, pieces.into_iter()).scope();
        job.shipment.quantity = "120".to_owned();
        job.shipment.inspected = "3".to_owned();
        let says = scope(&job);
        assert!(says.starts_with("Lot size 120. This report covers 2 pieces."), "{says}");
        assert!(says.contains("stated as 3") && says.contains("sampling plan"), "{says}");
        job.shipment.quantity = "2".to_owned();
        job.shipment.inspected = "2".to_owned();
        assert_eq!(scope(&job), "Lot size 2. This report covers 2 pieces.");
    }
}
