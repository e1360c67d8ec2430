//! The record of whole pieces: removed ones with all that was read on them, and serial numbers that
//! were changed.

use super::record::take_over;
use super::{DocumentChange, Job, Piece};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A change to a piece as a whole that the record keeps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceEntry {
    /// What was changed.
    pub change: PieceChange,
    /// When, UTC, as `2026-11-25 07:10:42`.
    pub when: String,
    /// Who.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    /// Why, where it was said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

/// What was changed about a piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PieceChange {
    /// The piece was removed. It is kept here as it was, with every original observation.
    Removed(Box<Piece>),
    /// The piece that was removed under this serial number was put back.
    PutBack(String),
    /// The piece was given another serial number.
    #[serde(rename = "serial")]
    SerialNumber {
        /// The serial number it had.
        was: String,
        /// The serial number it was given.
        now: String,
    },
}

impl Job {
    /// Returns the pieces that were removed, as they were, whether they were put back or not.
    pub(super) fn removed_pieces(&self) -> impl Iterator<Item = &Piece> {
        self.piece_record.iter().filter_map(|entry| match &entry.change {
            PieceChange::Removed(piece) => Some(&**piece),
            PieceChange::PutBack(_) | PieceChange::SerialNumber { .. } => None,
        })
    }
}

/// Returns for each piece of `old` its index in `new`, `None` where it was removed.
///
/// Among as many pieces as before, a piece keeps its place. Otherwise equal pieces at the beginning
/// and at the end are the same, and between them those with the same serial number.
#[must_use]
pub fn match_pieces(old: &[Piece], new: &[Piece]) -> Vec<Option<usize>> {
    if old.len() == new.len() {
        return (0..old.len()).map(Some).collect();
    }
    let front = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let rest = old.iter().skip(front).rev().zip(new.iter().skip(front).rev());
    let back = rest.take_while(|(a, b)| a == b).count();
    let mut between: Vec<usize> = (front..new.len() - back).collect();
    let index_of = |(i, piece): (usize, &Piece)| {
        if i < front {
            return Some(i);
        }
        if i >= old.len() - back {
            return Some(i + new.len() - old.len());
        }
        let at = between.iter().position(|n| new[*n].serial == piece.serial)?;
        Some(between.remove(at))
    };
    old.iter().enumerate().map(index_of).collect()
}

/// Appends to `new.piece_record` the pieces of `old` that `new` no longer has, those that were put
/// back, and the serial numbers that differ. `matched` is [`match_pieces`] of the two.
///
/// The corrections of a piece follow its serial number, so that they stay with it whatever it is
/// called; where several pieces of `old` share a serial number they stay under the old one. A piece
/// without observations leaves no entry.
pub(super) fn record_pieces(
    old: &Job,
    new: &mut Job,
    matched: &[Option<usize>],
    when: &str,
    who: &str,
) {
    take_over(&old.piece_record, &mut new.piece_record);
    let mut changes = Vec::new();
    let mut renamed: Vec<(&str, String)> = Vec::new();
    for (was, is) in old.pieces.iter().zip(matched) {
        match is.and_then(|index| new.pieces.get(index)) {
            None if was.is_blank() => {}
            None => changes.push(PieceChange::Removed(Box::new(was.clone()))),
            Some(is) if is.serial == was.serial => {}
            Some(is) => {
                let corrected = new.record.iter().any(|c| c.is_of(&was.serial));
                if corrected || !was.is_blank() {
                    let (was, now) = (was.serial.clone(), is.serial.clone());
                    changes.push(PieceChange::SerialNumber { was, now });
                }
                if old.pieces.iter().filter(|p| p.serial == was.serial).count() == 1 {
                    renamed.push((&was.serial, is.serial.clone()));
                }
            }
        }
    }
    let added = new.pieces.iter().enumerate().filter(|(index, _)| {
        // Most edits add no piece.
        new.pieces.len() > old.pieces.len() && !matched.contains(&Some(*index))
    });
    let back = added.filter(|(_, piece)| old.removed_pieces().any(|p| p == *piece));
    changes.extend(back.map(|(_, piece)| PieceChange::PutBack(piece.serial.clone())));
    for correction in &mut new.record {
        if let Some((_, now)) = renamed.iter().find(|(was, _)| correction.is_of(was)) {
            correction.piece.clone_from(now);
        }
    }
    for entry in &mut new.document_record {
        if let DocumentChange::Piece { serial, .. } = &mut entry.change
            && let Some((_, now)) = renamed.iter().find(|(was, _)| serial == was)
        {
            serial.clone_from(now);
        }
    }
    new.piece_record.extend(changes.into_iter().map(|change| PieceEntry {
        change,
        when: when.to_owned(),
        who: who.to_owned(),
        why: String::new(),
    }));
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::job::{Touch, record_changes};
    use crate::quantity::{Figure, Unit};

    /// A job with a piece for each serial number, on each of which one point was read.
    fn measured(serials: &[&str]) -> Job {
        let mut job = Job::empty(Unit::Mm);
        job.pieces.clear();
        for (serial, height) in serials.iter().zip(1_u8..) {
            let mut piece = Piece { serial: (*serial).to_owned(), ..Piece::default() };
            piece.set_values(1, "C", Touch::Face, vec![Figure(f64::from(height))]);
            job.pieces.push(piece);
        }
        job
    }

    fn changes(job: &Job) -> Vec<&PieceChange> {
        job.piece_record.iter().map(|e| &e.change).collect()
    }

    #[test]
    fn a_removed_piece_is_kept_whole_wherever_it_stood_and_the_others_lose_nothing() {
        let old = measured(&["1", "2", "3"]);
        for index in 0..3 {
            let mut new = old.clone();
            let piece = new.pieces.remove(index);
            record_changes(&old, &mut new, "t1", "A");
            assert_eq!(new.record, vec![], "the other pieces have all their readings");
            let entry = PieceEntry {
                change: PieceChange::Removed(Box::new(piece.clone())),
                when: "t1".to_owned(),
                who: "A".to_owned(),
                why: String::new(),
            };
            assert_eq!(new.piece_record, [entry]);
            // The step is taken back: the state before knows nothing of the record.
            let mut back = old.clone();
            record_changes(&new, &mut back, "t2", "B");
            assert_eq!(back.pieces, old.pieces);
            let put_back = PieceChange::PutBack(piece.serial.clone());
            assert_eq!(changes(&back), [&PieceChange::Removed(Box::new(piece)), &put_back]);
        }
    }

    #[test]
    fn a_piece_without_observations_leaves_no_entry() {
        let old = measured(&["1"]);
        let mut new = old.clone();
        new.pieces.push(old.pieces[0].next("2".to_owned()));
        record_changes(&old, &mut new, "t1", "A");
        let mut renamed = new.clone();
        renamed.pieces[1].serial = "0007".to_owned();
        record_changes(&new, &mut renamed, "t2", "A");
        let mut gone = renamed.clone();
        gone.pieces.pop();
        record_changes(&renamed, &mut gone, "t3", "A");
        assert_eq!((gone.piece_record, gone.record), (vec![], vec![]));
    }

    #[test]
    fn corrections_follow_the_serial_number_of_their_piece_forth_and_back() {
        let first = measured(&["1", "2"]);
        let mut corrected = first.clone();
        corrected.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(5.0)]);
        record_changes(&first, &mut corrected, "t1", "A");
        let mut renamed = corrected.clone();
        renamed.pieces[0].serial = "0007".to_owned();
        record_changes(&corrected, &mut renamed, "t2", "A");
        assert_eq!(renamed.record.len(), 1);
        assert_eq!((renamed.record[0].piece.as_str(), &*renamed.record[0].when), ("0007", "t1"));
        let forth = PieceChange::SerialNumber { was: "1".to_owned(), now: "0007".to_owned() };
        assert_eq!(changes(&renamed), [&forth]);
        let mut back = corrected.clone();
        record_changes(&renamed, &mut back, "t3", "A");
        assert_eq!(back.record, corrected.record);
        let again = PieceChange::SerialNumber { was: "0007".to_owned(), now: "1".to_owned() };
        assert_eq!(changes(&back), [&forth, &again]);
    }

    #[test]
    fn corrections_under_a_serial_number_that_two_pieces_share_stay_under_it() {
        let first = measured(&["1", "1"]);
        let mut corrected = first.clone();
        corrected.pieces[0].set_values(1, "C", Touch::Face, vec![]);
        record_changes(&first, &mut corrected, "t1", "A");
        let mut renamed = corrected.clone();
        renamed.pieces[0].serial = "2".to_owned();
        record_changes(&corrected, &mut renamed, "t2", "A");
        assert_eq!(renamed.record, corrected.record);
    }

    #[test]
    fn an_entry_comes_back_from_the_file_as_it_was() {
        let old = measured(&["1", "2"]);
        let mut new = old.clone();
        new.pieces.remove(0);
        new.pieces[0].serial = "0002".to_owned();
        new.pieces[0].set_values(1, "C", Touch::Face, vec![]);
        record_changes(&old, &mut new, "t1", "A");
        new.piece_record[0].why = "another drawing".to_owned();
        let text = crate::job::write(&new);
        assert_eq!(crate::job::read(&text).unwrap(), new, "{text}");
    }
}
