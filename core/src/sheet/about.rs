//! What the PDF says of itself.

use super::{Extent, Which, document_title};
use crate::job::{Job, write_compact};
use crate::mark::{About, Moment};

/// Title, author and so on of this document of the job, made `seconds` after the beginning of 1970 (UTC).
///
/// The identifier is a fingerprint of the job and the time (FNV-1a, twice over 64 bits): two
/// documents with the same identifier hold the same job made in the same second. It proves
/// nothing against a forger.
#[must_use]
pub fn about(job: &Job, which: Which, extent: Extent, seconds: u64) -> About {
    let of_one = match which {
        Which::Piece(index) | Which::Blank(index) => Some(index),
        Which::EveryPiece => None,
    };
    let pieces = || {
        let wanted = |(i, _): &(usize, _)| of_one.is_none_or(|one| one == *i);
        job.pieces.iter().enumerate().filter(wanted).map(|(_, p)| p)
    };
    let serials: Vec<&str> = pieces().map(|p| p.serial.as_str()).collect();
    let report = match job.shipment.report_number.trim() {
        "" => String::new(),
        number => format!("; report {number}"),
    };
    let inspector = pieces().map(|p| p.inspector.as_str()).find(|i| !i.is_empty());
    let text = write_compact(job);
    let mut id = [0; 16];
    for (half, seed) in id.chunks_mut(8).zip([0xcbf2_9ce4_8422_2325_u64, 0x9e37_79b9_7f4a_7c15]) {
        let bytes = text.bytes().chain(seconds.to_le_bytes());
        let hash = bytes.fold(seed, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3));
        half.copy_from_slice(&hash.to_be_bytes());
    }
    About {
        title: document_title(job, which, extent),
        author: inspector.unwrap_or_default().to_owned(),
        subject: format!("Positions, sizes and verdicts; piece {}{report}", serials.join(", ")),
        keywords: ["true position", "height gauge", "layout inspection"]
            .map(str::to_owned)
            .to_vec(),
        creator: format!("Quarterturn {}", env!("CARGO_PKG_VERSION")),
        created: Moment::from_unix(seconds),
        id,
        attachments: super::carried(job, which, extent, seconds),
    }
}
