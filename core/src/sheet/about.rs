//! What the PDF says of itself.

use crate::job::{Job, write_compact};
use crate::mark::{About, Moment};

/// Title, author and so on from the job, made `seconds` after the beginning of 1970 (UTC).
///
/// The identifier is a fingerprint of the job and the time (FNV-1a, twice over 64 bits): two
/// documents with the same identifier hold the same job made in the same second. It proves
/// nothing against a forger.
#[must_use]
pub fn about(job: &Job, seconds: u64) -> About {
    let d = &job.drawing;
    let serials: Vec<&str> = job.pieces.iter().map(|p| p.serial.as_str()).collect();
    let demo = if job.demo { " (example)" } else { "" };
    let inspector = job.pieces.iter().map(|p| p.inspector.as_str()).find(|i| !i.is_empty());
    let text = write_compact(job);
    let mut id = [0; 16];
    for (half, seed) in id.chunks_mut(8).zip([0xcbf2_9ce4_8422_2325_u64, 0x9e37_79b9_7f4a_7c15]) {
        let bytes = text.bytes().chain(seconds.to_le_bytes());
        let hash = bytes.fold(seed, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3));
        half.copy_from_slice(&hash.to_be_bytes());
    }
    About {
        title: format!(
            "Layout inspection sheet {} {} rev {}{demo}",
            d.part_number, d.part_name, d.revision
        ),
        author: inspector.unwrap_or_default().to_owned(),
        subject: format!("Positions, sizes and verdicts; piece {}", serials.join(", ")),
        keywords: ["true position", "height gauge", "layout inspection"]
            .map(str::to_owned)
            .to_vec(),
        creator: format!("Quarterturn {}", env!("CARGO_PKG_VERSION")),
        created: Moment::from_unix(seconds),
        id,
    }
}
