//! Zeros in chains: every reading counts from the plate or from another feature, and in the end
//! from something that stands still.

use crate::job::{Job, Orientation, Piece, Reading, Zero};
use std::collections::{HashMap, HashSet};

/// What is wrong with the zeros of one orientation: sentences that name the readings, and the
/// numbers of the features whose readings say nothing for it.
#[must_use]
pub fn chain_problems(
    job: &Job,
    piece: &Piece,
    orientation: &Orientation,
) -> (Vec<String>, HashSet<String>) {
    let readings: HashMap<&str, &Reading> = piece
        .readings
        .iter()
        .filter(|r| r.orientation == orientation.number && !r.is_empty())
        .map(|r| (r.feature.as_str(), r))
        .collect();
    let (mut says, mut lost) = (Vec::new(), HashSet::new());
    // Without a zero of its own no reading can make a chain.
    if readings.values().all(|r| r.zero.is_none()) {
        return (says, lost);
    }
    let mut told: HashSet<&str> = HashSet::new();
    for feature in &job.drawing.features {
        let start = feature.number.as_str();
        let Some(mut reading) = readings.get(start).copied() else { continue };
        let mut path = vec![start];
        while let Zero::Feature(zero) = reading.zero_in(orientation) {
            // It was set to zero there; a reading of it from before says nothing.
            if matches!(&orientation.zero, Zero::Feature(own) if own == zero) {
                break;
            }
            if let Some(at) = path.iter().position(|p| p == zero) {
                let ring = &path[at..];
                lost.extend(path.iter().map(|p| (*p).to_owned()));
                if !ring.iter().any(|p| told.contains(p)) {
                    says.push(format!(
                        "In orientation {} the zeros run in a circle: {} counts from {}. Let one \
                         of them count from the plate or from a feature outside the circle.",
                        orientation.number,
                        ring.join(" counts from "),
                        zero
                    ));
                }
                told.extend(ring);
                break;
            }
            let own = reading.zero.is_some();
            match readings.get(zero.as_str()).copied() {
                Some(next) => {
                    path.push(zero);
                    reading = next;
                }
                // The zero of the orientation itself is set, not read.
                None if !own || orientation.zero == Zero::Feature(zero.clone()) => break,
                None => {
                    lost.extend(path.iter().map(|p| (*p).to_owned()));
                    if told.insert(path.last().copied().unwrap_or(start)) {
                        says.push(format!(
                            "In orientation {} {} counts from {zero}, which has no reading there. \
                             Read {zero} first, or choose another zero for it.",
                            orientation.number,
                            path.last().copied().unwrap_or(start)
                        ));
                    }
                    break;
                }
            }
        }
    }
    (says, lost)
}
