//! What a document is called: in the window of a reader, and as a file.

use super::{Extent, Which};
use crate::job::Job;
use crate::show::count_of_pieces;

/// `Layout inspection sheet BY-114 Bearing yoke, rev C, piece 0021`.
#[must_use]
pub fn document_title(job: &Job, which: Which, extent: Extent) -> String {
    let d = &job.drawing;
    let kind = match (which, extent) {
        (Which::Blank(_), _) => "Bench sheet",
        (Which::EveryPiece, _) => "Lot inspection report",
        (Which::Piece(_), Extent::Full) => "Layout inspection sheet",
        (Which::Piece(_), Extent::Short) => "Layout inspection sheet, short form,",
    };
    let part = [kind, d.part_number.trim(), d.part_name.trim()];
    let part: Vec<&str> = part.into_iter().filter(|t| !t.is_empty()).collect();
    let mut title = part.join(" ");
    if !d.revision.trim().is_empty() {
        title.push_str(&format!(", rev {}", d.revision.trim()));
    }
    match which {
        Which::Piece(_) | Which::Blank(_) => {
            if let Some(serial) = serial(job, which) {
                title.push_str(&format!(", piece {serial}"));
            }
        }
        Which::EveryPiece => title.push_str(&format!(", {}", count_of_pieces(job.pieces.len()))),
    }
    if job.demo {
        title.push_str(" (example)");
    }
    title
}

/// The words that a file of it is named by: part, revision, serial number and form. Without an ending;
/// what a disk does not take is left to who saves it.
#[must_use]
pub fn document_name(job: &Job, which: Which, extent: Extent) -> String {
    let d = &job.drawing;
    let last = match which {
        Which::Piece(_) => serial(job, which).unwrap_or_default().to_owned(),
        Which::EveryPiece => count_of_pieces(job.pieces.len()),
        Which::Blank(_) => format!("{} blank", serial(job, which).unwrap_or_default()),
    };
    let revision = match d.revision.trim() {
        "" => String::new(),
        revision => format!("rev {revision}"),
    };
    let form = match (which, extent) {
        (Which::Piece(_) | Which::EveryPiece, Extent::Short) => "short",
        _ => "",
    };
    let words = [d.part_number.trim(), &revision, last.trim(), form];
    words.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The serial number of the piece that the sheet is of, if it has one.
fn serial(job: &Job, which: Which) -> Option<&str> {
    let (Which::Piece(index) | Which::Blank(index)) = which else { return None };
    let serial = job.pieces.get(index)?.serial.trim();
    (!serial.is_empty()).then_some(serial)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Piece;
    use crate::quantity::Unit;

    #[test]
    fn a_document_is_called_by_part_revision_and_serial() {
        let mut job = Job::empty(Unit::Mm);
        job.drawing.part_number = "WX-1140".to_owned();
        job.drawing.part_name = "Yoke".to_owned();
        job.drawing.revision = "C".to_owned();
        job.pieces =
            ["0007", "0008"].map(|s| Piece { serial: s.to_owned(), ..Piece::default() }).to_vec();
        let both = |job: &Job, which, extent| {
            (document_title(job, which, extent), document_name(job, which, extent))
        };
        let said = |title: &str, name: &str| (title.to_owned(), name.to_owned());
        assert_eq!(
            both(&job, Which::Piece(1), Extent::Full),
            said("Layout inspection sheet WX-1140 Yoke, rev C, piece 0008", "WX-1140 rev C 0008")
        );
        assert_eq!(
            both(&job, Which::EveryPiece, Extent::Short),
            said(
                "Lot inspection report WX-1140 Yoke, rev C, 2 pieces",
                "WX-1140 rev C 2 pieces short"
            )
        );
        assert_eq!(
            both(&job, Which::Blank(0), Extent::Short),
            said("Bench sheet WX-1140 Yoke, rev C, piece 0007", "WX-1140 rev C 0007 blank")
        );
        job.drawing.revision = String::new();
        job.pieces.clear();
        assert_eq!(
            both(&job, Which::Piece(0), Extent::Full),
            said("Layout inspection sheet WX-1140 Yoke", "WX-1140")
        );
    }
}
