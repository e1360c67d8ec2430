//! A job in parts: the document and each piece by itself.
//!
//! A store that keeps the parts writes one piece for a reading and not the whole job, however many
//! pieces there are.

use super::{Job, Piece, ReadError, read::refuse};
use serde_json::Value;

/// The job without its pieces, as text.
#[must_use]
pub fn document_text(job: &Job) -> String {
    let document = Job { pieces: Vec::new(), ..job.clone() };
    // Plain structs, strings and finite numbers always serialise.
    serde_json::to_string(&document).unwrap_or_default()
}

/// A piece as text.
#[must_use]
pub fn piece_text(piece: &Piece) -> String {
    serde_json::to_string(piece).unwrap_or_default()
}

/// Whether two jobs differ in their pieces at most.
#[must_use]
pub fn same_document(a: &Job, b: &Job) -> bool {
    let Job {
        format,
        version,
        demo,
        drawing,
        plan,
        shipment,
        pieces: _,
        record,
        piece_record,
        document_record,
    } = a;
    // What is short, and what grows with the readings, is looked at first.
    *format == b.format
        && *version == b.version
        && *demo == b.demo
        && *record == b.record
        && *piece_record == b.piece_record
        && *document_record == b.document_record
        && *shipment == b.shipment
        && *plan == b.plan
        && *drawing == b.drawing
}

/// The text of the job file that the parts make.
///
/// # Errors
/// A part that is not JSON text, by its place.
pub fn join_parts<S: AsRef<str>>(document: &str, pieces: &[S]) -> Result<String, ReadError> {
    const HINT: &str = "What this browser kept of the job is damaged. Open the copy that was last saved \
                        to a file.";
    let Ok(Value::Object(mut job)) = serde_json::from_str::<Value>(document) else {
        return refuse("the top of the job", "what stands there is not the text of a job.", HINT);
    };
    let mut joined = Vec::with_capacity(pieces.len());
    for (i, piece) in pieces.iter().enumerate() {
        match serde_json::from_str::<Value>(piece.as_ref()) {
            Ok(piece) => joined.push(piece),
            Err(_) => {
                let what = "what stands there is not the text of a piece.";
                return refuse(format!("pieces[{i}]"), what, HINT);
            }
        }
    }
    job.insert("pieces".to_owned(), Value::Array(joined));
    Ok(Value::Object(job).to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Touch, read};
    use crate::quantity::{Figure, Unit};

    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        job.drawing.part_name = "\"pieces\":[] \\ Łódź".to_owned();
        job.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(0.1 + 0.2)]);
        job.pieces.push(Piece { serial: "2".to_owned(), ..Piece::default() });
        job
    }

    #[test]
    fn the_parts_of_a_job_make_the_same_job_again() {
        let job = job();
        let pieces: Vec<String> = job.pieces.iter().map(piece_text).collect();
        let text = join_parts(&document_text(&job), &pieces).unwrap();
        assert_eq!(read(&text).unwrap(), job);
    }

    #[test]
    fn a_damaged_part_is_named() {
        let job = job();
        let document = document_text(&job);
        let pieces = [piece_text(&job.pieces[0]), "{\"serial\": ".to_owned()];
        assert_eq!(join_parts(&document, &pieces).unwrap_err().place, "pieces[1]");
        let cut = &document[..document.len() / 2];
        assert_eq!(join_parts(cut, &pieces).unwrap_err().place, "the top of the job");
        assert!(join_parts::<&str>("[]", &[]).is_err());
    }

    #[test]
    fn a_reading_changes_no_document() {
        let before = job();
        let mut after = before.clone();
        after.pieces[1].set_values(1, "C", Touch::Face, vec![Figure(1.0)]);
        assert!(same_document(&before, &after));
        after.drawing.revision = "B".to_owned();
        assert!(!same_document(&before, &after));
    }
}
