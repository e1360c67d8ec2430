//! Pieces of the job: added, removed, given another serial number.

use super::{Action, Desk, Tone};
use leptos::prelude::*;
use quarterturn_core::entry::EntryError;
use quarterturn_core::job::{BOUNDS, Piece, match_pieces};

impl Desk {
    /// Adds a piece behind the others and goes to it.
    pub(crate) fn add_piece(self) {
        if self.job_untracked().pieces.len() >= BOUNDS.pieces {
            let most = BOUNDS.pieces;
            self.say(Tone::Wrong, format!("A job holds at most {most} pieces."), vec![]);
            return;
        }
        self.change("piece added", |job| {
            let serial = job.free_serial();
            let piece = match job.pieces.last() {
                Some(last) => last.next(serial),
                None => Piece { serial, ..Piece::default() },
            };
            job.pieces.push(piece);
        });
    }

    /// Gives the piece at hand another serial number.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    pub(crate) fn set_serial(self, typed: &str) -> Result<(), EntryError> {
        let serial = typed.trim();
        let (index, job) = (self.piece.get_untracked(), self.job_untracked());
        if serial.is_empty() {
            return Err(EntryError("Type the serial number of the piece.".to_owned()));
        }
        if serial.chars().count() > BOUNDS.name_chars {
            return Err(EntryError(format!(
                "A serial number may have {} characters.",
                BOUNDS.name_chars
            )));
        }
        if let Some(other) = job.other_piece(index, serial) {
            return Err(EntryError(format!(
                "Piece {} of {} already has serial number {serial}.",
                other + 1,
                job.pieces.len()
            )));
        }
        self.change(format!("serial number {serial}"), |job| {
            if let Some(piece) = job.pieces.get_mut(index) {
                serial.clone_into(&mut piece.serial);
            }
        });
        Ok(())
    }

    /// Removes the piece at hand. The record keeps what was read on it, and why it was removed.
    pub(crate) fn remove_piece(self, why: &str) {
        let (index, job) = (self.piece.get_untracked(), self.job_untracked());
        let Some(piece) = job.pieces.get(index) else { return };
        let serial = &piece.serial;
        let kept = if piece.is_blank() { "" } else { " The record keeps its readings." };
        self.change_because(format!("piece {serial} removed"), why, |job| {
            job.pieces.remove(index);
        });
        let back = Action::new("Put it back", move || self.undo());
        self.say(Tone::Plain, format!("Piece {serial} was removed.{kept}"), vec![back]);
    }
}

/// Returns the index of the piece to be at hand when `new` takes the place of `old`: a piece that was
/// added or put back, else the one that was at hand at `at`, else the one now in its place.
pub(super) fn piece_after(old: &[Piece], new: &[Piece], at: usize) -> usize {
    if old.len() == new.len() {
        return at;
    }
    let matched = match_pieces(old, new);
    let came = (0..new.len()).find(|index| !matched.contains(&Some(*index)));
    came.filter(|_| new.len() > old.len())
        .or_else(|| matched.get(at).copied().flatten())
        .unwrap_or_else(|| at.min(new.len().saturating_sub(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(serials: &str) -> Vec<Piece> {
        serials.chars().map(|c| Piece { serial: c.to_string(), ..Piece::default() }).collect()
    }

    #[test]
    fn the_piece_at_hand_is_followed() {
        for (old, new, at, then) in [
            ("abc", "abc", 1, 1),
            ("abc", "axc", 1, 1),
            ("abc", "ac", 1, 1),
            ("abc", "ab", 2, 1),
            ("abc", "bc", 2, 1),
            ("abc", "bc", 1, 0),
            ("ac", "abc", 0, 1),
            ("ab", "abc", 0, 2),
            ("a", "", 0, 0),
            ("", "a", 0, 0),
        ] {
            let found = piece_after(&pieces(old), &pieces(new), at);
            assert_eq!(found, then, "{old} to {new} at {at}");
        }
    }
}
