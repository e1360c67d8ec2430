//! The record of corrections in sentences.

use super::{Figures, feature_name};
use crate::job::{Correction, Job, Observed, Piece, PieceChange, PieceEntry, Reading, Touch, Zero};
use crate::quantity::Figure;

/// Returns the corrections of a piece, oldest first, each in a sentence, and behind them the changes
/// of its serial number.
///
/// Corrections under a serial number that no piece has or had are listed with every piece, under the
/// number they were made under. Those of an instrument's trial are, too. Those of removed pieces are
/// listed by [`removed_pieces`].
#[must_use]
pub fn corrections(job: &Job, piece: usize) -> Vec<String> {
    let Some(piece) = job.pieces.get(piece) else { return Vec::new() };
    let removed = removed(job);
    let other = |name: &str| {
        !job.pieces.iter().any(|p| p.serial == name)
            && !removed.iter().any(|(p, _)| p.serial == name)
    };
    let of_readings = job
        .record
        .iter()
        .filter(|c| c.piece == piece.serial || !c.instrument.is_empty() || other(&c.piece))
        .map(|c| {
            let text = correction(job, c);
            if c.piece == piece.serial || !c.instrument.is_empty() {
                text
            } else {
                format!("then piece {}: {text}", c.piece)
            }
        });
    of_readings.chain(serial_numbers(job, &piece.serial)).collect()
}

/// The changes of serial numbers that led to the one of a piece, oldest first.
fn serial_numbers(job: &Job, serial: &str) -> Vec<String> {
    let mut name = serial;
    let mut found = Vec::new();
    for entry in job.piece_record.iter().rev() {
        match &entry.change {
            PieceChange::SerialNumber { was, now } if now == name => {
                found.push(format!("serial number: was {was}, now {now}; {}", noted(entry)));
                name = was;
            }
            // What is farther back is of the piece that had the number before.
            PieceChange::Removed(_)
                if removed(job)
                    .iter()
                    .any(|(p, e)| p.serial == name && std::ptr::eq(*e, entry)) =>
            {
                break;
            }
            _ => {}
        }
    }
    found.reverse();
    found
}

/// Returns the pieces that were removed from the job and not put back, each in a sentence, with the
/// corrections of its readings behind it.
#[must_use]
pub fn removed_pieces(job: &Job) -> Vec<String> {
    let mut list = Vec::new();
    for (piece, entry) in removed(job) {
        let readings = match count(piece) {
            1 => "1 reading".to_owned(),
            n => format!("{n} readings, repeats counted"),
        };
        list.push(format!(
            "piece {} removed, kept in the record with {readings}; {}",
            piece.serial,
            noted(entry)
        ));
        // A piece at hand under the same number lists them itself.
        if job.pieces.iter().all(|p| p.serial != piece.serial) {
            let own = job.record.iter().filter(|c| c.is_of(&piece.serial));
            list.extend(own.map(|c| format!("piece {}: {}", piece.serial, correction(job, c))));
        }
    }
    list
}

/// Pieces that were removed and not put back, oldest first. What is put back is the last piece that
/// was removed under that serial number.
fn removed(job: &Job) -> Vec<(&Piece, &PieceEntry)> {
    let mut list: Vec<(&Piece, &PieceEntry)> = Vec::new();
    for entry in &job.piece_record {
        match &entry.change {
            PieceChange::Removed(piece) => list.push((piece, entry)),
            PieceChange::PutBack(serial) => {
                if let Some(at) = list.iter().rposition(|(piece, _)| piece.serial == *serial) {
                    list.remove(at);
                }
            }
            PieceChange::SerialNumber { .. } => {}
        }
    }
    list
}

/// How many readings a piece has: touches, sweeps, zeros at the end and points of grids.
fn count(piece: &Piece) -> usize {
    let touches = |r: &Reading| Touch::ALL.iter().map(|t| r.values(*t).len()).sum::<usize>();
    piece.readings.iter().map(touches).sum::<usize>()
        + piece.sweeps.len()
        + piece.zero_checks.len()
        + piece.grids.iter().map(|g| g.points.len()).sum::<usize>()
}

/// When, by whom and why.
fn noted(entry: &PieceEntry) -> String {
    format!("{} UTC{}", entry.when, by_whom(&entry.who, &entry.why))
}

/// By whom and why, behind what was done; what was not said is left out.
pub(super) fn by_whom(who: &str, why: &str) -> String {
    let who = if who.is_empty() { String::new() } else { format!(", {who}") };
    let why = if why.is_empty() { String::new() } else { format!(": {why}") };
    who + &why
}

/// What was corrected, from what to what, when, by whom and why.
fn correction(job: &Job, c: &Correction) -> String {
    let f = figures(job, c);
    let list = |values: &[Figure]| {
        values
            .iter()
            .map(|v| {
                let length = v.length(f.unit);
                f.exact(length).signed(length)
            })
            .collect::<Vec<_>>()
            .join(", ")
    };
    let now =
        if c.now.is_empty() { "taken back".to_owned() } else { format!("now {}", list(&c.now)) };
    let of_feature = || job.feature(&c.feature).map_or_else(|| c.feature.clone(), feature_name);
    let what = match c.touch {
        Observed::ZeroAtEnd => format!("orientation {}, {}", c.orientation, c.touch.word()),
        Observed::ProbeDown | Observed::ProbeUp => format!("{}, {}", c.instrument, c.touch.word()),
        Observed::Touch(_) | Observed::Sweep => {
            format!("{}, orientation {}, {}", of_feature(), c.orientation, c.touch.word())
        }
    };
    let mut text = format!("{what}: was {}, {now}; {} UTC", list(&c.was), c.when);
    if let Some(change) = &c.zero {
        text.push_str(&format!(
            ", counted from {} and now from {}",
            zero_name(change.was.as_ref()),
            zero_name(change.now.as_ref())
        ));
    }
    text.push_str(&by_whom(&c.who, &c.why));
    text
}

/// How the figures of an entry are written. An orientation or an instrument that is no longer there
/// leaves the drawing's unit.
fn figures(job: &Job, c: &Correction) -> Figures {
    let instrument = job.plan.instruments.iter().find(|i| i.called() == c.instrument);
    match (c.instrument.is_empty(), instrument, job.orientation(c.orientation)) {
        (false, Some(instrument), _) => Figures::of_instrument(instrument),
        (true, _, Some(orientation)) => Figures::of_readings(job, orientation),
        _ => Figures::of_drawing(&job.drawing),
    }
}

/// What a reading counts from, as the record names it.
fn zero_name(zero: Option<&Zero>) -> String {
    match zero {
        None => "the zero of the orientation".to_owned(),
        Some(Zero::Plate) => "the plate".to_owned(),
        Some(Zero::Feature(number)) => number.clone(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::job::record_changes;
    use crate::quantity::Unit;

    /// `edit` done to the job, at `when`.
    fn changed(old: &Job, when: &str, edit: impl FnOnce(&mut Job)) -> Job {
        let mut new = old.clone();
        edit(&mut new);
        record_changes(old, &mut new, when, "R. V.");
        new
    }

    fn reads(job: &mut Job, piece: usize, height: f64) {
        job.pieces[piece].set_values(1, "C", Touch::Face, vec![Figure(height)]);
    }

    #[test]
    fn a_removed_piece_is_listed_with_its_corrections_and_not_with_another_piece() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces.push(job.pieces[0].next("2".to_owned()));
        reads(&mut job, 0, 1.0);
        reads(&mut job, 1, 2.0);
        let job = changed(&job, "t1", |j| reads(j, 0, 1.5));
        let mut job = changed(&job, "t2", |j| drop(j.pieces.remove(0)));
        job.piece_record[0].why = "another revision".to_owned();
        assert_eq!(corrections(&job, 0), Vec::<String>::new());
        assert_eq!(
            removed_pieces(&job),
            [
                "piece 1 removed, kept in the record with 1 reading; t2 UTC, R. V.: another revision",
                "piece 1: face C, orientation 1, face: was +1.000, now +1.500; t1 UTC, R. V.",
            ]
        );
        let removed = job.piece_record[0].change.clone();
        let PieceChange::Removed(piece) = removed else { panic!("{removed:?}") };
        // Another piece under its number comes and goes before it is put back.
        let other = changed(&job, "t3", |j| {
            j.pieces.push(j.pieces[0].next("1".to_owned()));
            reads(j, 1, 3.0);
        });
        let both = changed(&other, "t4", |j| drop(j.pieces.pop()));
        let again = changed(&both, "t5", |j| j.pieces.push(other.pieces[1].clone()));
        assert_eq!(removed_pieces(&both).iter().filter(|r| r.contains("removed")).count(), 2);
        assert_eq!(removed_pieces(&again).len(), 1, "{:?}", removed_pieces(&again));
        let back = changed(&job, "t3", |j| j.pieces.insert(0, *piece));
        assert_eq!(removed_pieces(&back), Vec::<String>::new());
        assert_eq!(corrections(&back, 0).len(), 1);
    }

    #[test]
    fn a_piece_keeps_its_corrections_when_its_serial_number_goes_to_another_one() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces.push(job.pieces[0].next("5".to_owned()));
        reads(&mut job, 0, 1.0);
        reads(&mut job, 1, 2.0);
        let job = changed(&job, "t1", |j| reads(j, 0, 1.5));
        let job = changed(&job, "t2", |j| "0007".clone_into(&mut j.pieces[0].serial));
        let job = changed(&job, "t3", |j| "1".clone_into(&mut j.pieces[1].serial));
        assert_eq!(
            corrections(&job, 0),
            [
                "face C, orientation 1, face: was +1.000, now +1.500; t1 UTC, R. V.",
                "serial number: was 1, now 0007; t2 UTC, R. V.",
            ]
        );
        assert_eq!(corrections(&job, 1), ["serial number: was 5, now 1; t3 UTC, R. V."]);
        // A further piece 0007, the first one being removed, has no past.
        let job = changed(&job, "t4", |j| drop(j.pieces.remove(0)));
        let job = changed(&job, "t5", |j| j.pieces.push(j.pieces[0].next("0007".to_owned())));
        assert!(corrections(&job, 1).iter().all(|c| !c.contains("serial number")));
    }
}
