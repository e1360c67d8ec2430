//! Zeros in chains: every reading counts from the plate or from another feature, and in the end
//! from something that stands still.

use super::{Setup, Unusable, lacking, touches};
use crate::job::{Feature, Job, Orientation, Piece, Reading, Touch, Zero};
use rustc_hash::{FxHashMap, FxHashSet};

/// What is wrong with the zeros of a piece: the number of the orientation and a sentence that names the
/// readings; and the readings that tell no height for it.
#[must_use]
pub fn chain_faults<'j>(job: &'j Job, piece: &'j Piece) -> (Vec<(u32, String)>, Unusable<'j>) {
    let (mut says, mut unusable) = (Vec::new(), Unusable::default());
    for orientation in &job.plan.orientations {
        let (faults, features) = faults_of(job, piece, orientation);
        says.extend(faults.into_iter().map(|says| (orientation.number, says)));
        unusable.extend(features.into_iter().map(|feature| (orientation.number, feature)));
    }
    (says, unusable)
}

/// What is wrong with the zeros of one orientation: sentences that name the readings, and the
/// numbers of the features whose readings say nothing for it.
fn faults_of<'j>(
    job: &'j Job,
    piece: &'j Piece,
    orientation: &'j Orientation,
) -> (Vec<String>, FxHashSet<&'j str>) {
    let own = |r: &&Reading| r.orientation == orientation.number && !r.is_empty();
    let (mut says, mut lost) = (Vec::new(), FxHashSet::default());
    // Without a zero of its own no reading can make a chain.
    if piece.readings.iter().filter(own).all(|r| r.zero.is_none()) {
        return (says, lost);
    }
    let readings: FxHashMap<&str, &Reading> =
        piece.readings.iter().filter(own).map(|r| (r.feature.as_str(), r)).collect();
    let features: FxHashMap<&str, &Feature> =
        job.drawing.features.iter().rev().map(|f| (f.number.as_str(), f)).collect();
    let mut told: FxHashSet<&str> = FxHashSet::default();
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
                lost.extend(&path);
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
            let next = readings.get(zero.as_str()).copied();
            let zeroed = features.get(zero.as_str()).copied();
            if let Some(end) = missing_end(job, orientation, zero, zeroed, next) {
                lost.extend(&path);
                let last = path.last().copied().unwrap_or(start);
                if told.insert(last) {
                    let number = orientation.number;
                    says.push(format!("In orientation {number} {last} counts from {end}"));
                }
                break;
            }
            let Some(next) = next else { break };
            path.push(zero);
            reading = next;
        }
    }
    (says, lost)
}

/// Why a chain cannot go on at `zero`, in the words that end the sentence; `None` if it can.
fn missing_end(
    job: &Job,
    orientation: &Orientation,
    zero: &str,
    feature: Option<&Feature>,
    reading: Option<&Reading>,
) -> Option<String> {
    let Some(reading) = reading else {
        return Some(format!(
            "{zero}, which has no reading there. Read {zero} first, or choose another zero for it."
        ));
    };
    let feature = feature?;
    let lacks = lacking(feature, orientation, reading);
    if !lacks.is_empty() {
        let named = |list: &[Touch]| {
            list.iter().map(|t| format!("the {}", t.word())).collect::<Vec<_>>().join(" and ")
        };
        let read: Vec<Touch> = touches(feature, orientation)
            .iter()
            .map(|(touch, _)| *touch)
            .filter(|t| !reading.values(*t).is_empty())
            .collect();
        let what = match read.is_empty() {
            true => format!("of which {} was not read. Take it first", named(&lacks)),
            false => format!("of which only {} was read. Take {} too", named(&read), named(&lacks)),
        };
        return Some(format!("{zero}, {what}, or choose another zero for it."));
    }
    // What stops the reading of the zero is said with that.
    let own = reading.own_zero(orientation)?;
    Setup::with_zero(job, orientation, own).is_err().then(|| {
        format!("{zero}, whose own zero cannot be used. Choose another zero for one of them.")
    })
}
