//! The fingerprint of a job: two jobs have the same only if they are the same.

use super::{Job, write_compact};
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// SHA-256 (FIPS 180-4) of the job's canonical text, as 64 hexadecimal digits.
///
/// The canonical text is what [`write_compact`] writes: the fields in the order of the schema, no white
/// space, numbers by the shortest text that reads back as the same number.
#[must_use]
pub fn fingerprint(job: &Job) -> String {
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(write_compact(job)) {
        // Writing to a text cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Touch, read, write};
    use crate::quantity::{Figure, Unit};

    #[test]
    fn it_survives_a_file_and_changes_with_the_last_digit() {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(12.345)]);
        let before = fingerprint(&job);
        assert_eq!(before.len(), 64);
        assert_eq!(fingerprint(&read(&write(&job)).unwrap()), before);
        job.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(12.345_000_000_000_002)]);
        assert_ne!(fingerprint(&job), before);
    }

    #[test]
    fn it_is_the_sum_that_the_standard_gives() {
        // FIPS 180-4's example, SHA-256 of "abc": NIST, Cryptographic Standards and Guidelines.
        let sum = Sha256::digest("abc");
        assert_eq!(sum[..4], [0xba, 0x78, 0x16, 0xbf]);
        assert_eq!(sum[28..], [0xf2, 0x00, 0x15, 0xad]);
    }
}
