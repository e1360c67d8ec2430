//! Zeros in chains: every reading counts from the plate or from another feature, and in the end
//! from something that stands still.

use super::{Setup, Unusable, lacking, touches};
use crate::job::{Feature, Job, Orientation, Piece, Reading, Touch, Zero};
use rustc_hash::{FxHashMap, FxHashSet};

/// What is wrong with the zeros of readings in one orientation. Features by their number.
#[derive(Clone, Debug, PartialEq)]
pub enum ChainFault {
    /// Each counts from the next one, and the last from the first.
    Circle(Vec<String>),
    /// A reading counts from one that says nothing.
    NoEnd {
        /// What was read.
        reading: String,
        /// What it counts from.
        zero: String,
        /// Why that says nothing.
        why: NoEnd,
    },
}

/// Why no reading can count from another one.
#[derive(Clone, Debug, PartialEq)]
pub enum NoEnd {
    /// It was not read there.
    NotRead,
    /// Only these of its touches were read, and those are missing.
    Incomplete {
        /// What was read.
        read: Vec<Touch>,
        /// What is missing.
        lacks: Vec<Touch>,
    },
    /// Its own zero cannot be used.
    OwnZero,
}

/// What is wrong with the zeros of a piece: the number of the orientation and the fault; and the
/// readings that tell no height for it.
#[must_use]
pub fn chain_faults<'j>(job: &'j Job, piece: &'j Piece) -> (Vec<(u32, ChainFault)>, Unusable<'j>) {
    let (mut faults, mut unusable) = (Vec::new(), Unusable::default());
    for orientation in &job.plan.orientations {
        let (own, features) = faults_of(job, piece, orientation);
        faults.extend(own.into_iter().map(|fault| (orientation.number, fault)));
        unusable.extend(features.into_iter().map(|feature| (orientation.number, feature)));
    }
    (faults, unusable)
}

/// What is wrong with the zeros of one orientation, and the numbers of the features whose readings say
/// nothing for it.
fn faults_of<'j>(
    job: &'j Job,
    piece: &'j Piece,
    orientation: &'j Orientation,
) -> (Vec<ChainFault>, FxHashSet<&'j str>) {
    let own = |r: &&Reading| r.orientation == orientation.number && !r.is_empty();
    let (mut faults, mut lost) = (Vec::new(), FxHashSet::default());
    // Without a zero of its own no reading can make a chain.
    if piece.readings.iter().filter(own).all(|r| r.zero.is_none()) {
        return (faults, lost);
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
                    let ring = ring.iter().map(|number| (*number).to_owned());
                    faults.push(ChainFault::Circle(ring.collect()));
                }
                told.extend(ring);
                break;
            }
            let next = readings.get(zero.as_str()).copied();
            let zeroed = features.get(zero.as_str()).copied();
            if let Some(why) = missing_end(job, orientation, zeroed, next) {
                lost.extend(&path);
                let last = path.last().copied().unwrap_or(start);
                if told.insert(last) {
                    let (reading, zero) = (last.to_owned(), zero.clone());
                    faults.push(ChainFault::NoEnd { reading, zero, why });
                }
                break;
            }
            let Some(next) = next else { break };
            path.push(zero);
            reading = next;
        }
    }
    (faults, lost)
}

/// Why a chain cannot go on at this zero; `None` if it can.
fn missing_end(
    job: &Job,
    orientation: &Orientation,
    feature: Option<&Feature>,
    reading: Option<&Reading>,
) -> Option<NoEnd> {
    let Some(reading) = reading else { return Some(NoEnd::NotRead) };
    let feature = feature?;
    let lacks = lacking(feature, orientation, reading);
    if !lacks.is_empty() {
        let planned = touches(feature, orientation).iter().map(|(touch, _)| *touch);
        let read = planned.filter(|t| !reading.values(*t).is_empty()).collect();
        return Some(NoEnd::Incomplete { read, lacks });
    }
    // What stops the reading of the zero is said with that.
    let own = reading.own_zero(orientation)?;
    Setup::with_zero(job, orientation, own).is_err().then_some(NoEnd::OwnZero)
}
