//! What was read and is not known all the same, in sentences that say what it hangs on.

use super::{Place, Problem, Weight};
use crate::adjust::{Adjustment, Cause};
use crate::job::Job;
use crate::quantity::Axis;
use crate::show::feature_name;
use std::collections::BTreeMap;

/// How many features are named in one sentence.
const MOST: usize = 3;

/// One sentence for all of which no height is tied to the drawing, and one for each thing that
/// single coordinates hang on.
pub(super) fn loose(job: &Job, bench: &Adjustment) -> Vec<Problem> {
    // By feature: what x and y hang on.
    let mut on: BTreeMap<usize, [Option<Cause>; 2]> = BTreeMap::new();
    for l in &bench.loose {
        on.entry(l.feature).or_default()[usize::from(l.axis == Axis::Y)] = Some(l.on);
    }
    let zero = |c: &Option<Cause>| c.is_none_or(|c| matches!(c, Cause::Zero(_)));
    let hangs = |f: usize| bench.hangs(f) && on.get(&f).is_none_or(|on| on.iter().all(zero));
    let hanging: Vec<&str> = job
        .drawing
        .features
        .iter()
        .enumerate()
        .filter(|(i, _)| hangs(*i))
        .map(|(_, f)| f.number.as_str())
        .collect();
    let stop = |place, says| Problem { weight: Weight::Stops, place, says };
    let mut list = Vec::new();
    if !hanging.is_empty() {
        list.push(stop(
            Place::Drawing,
            format!(
                "Nothing ties the heights of {} to the drawing: they tell differences only. Set a \
                 zero at a datum, touch a datum feature in the same orientation, or enter the \
                 height of the blocks.",
                hanging.join(", ")
            ),
        ));
    }
    // By what it is, and which coordinates hang on it.
    let mut groups: BTreeMap<(Cause, [bool; 2]), Vec<usize>> = BTreeMap::new();
    for (f, on) in on.iter().filter(|(f, _)| !hangs(**f)) {
        let mut causes: Vec<Cause> = on.iter().flatten().copied().collect();
        causes.dedup();
        for cause in causes {
            groups.entry((cause, on.map(|c| c == Some(cause)))).or_default().push(*f);
        }
    }
    list.extend(groups.into_iter().map(|((cause, axes), features)| {
        let (orientation, says) = sentence(job, cause, axes, &features);
        stop(Place::Orientation(orientation), says)
    }));
    list
}

fn sentence(job: &Job, cause: Cause, axes: [bool; 2], features: &[usize]) -> (u32, String) {
    let names = names(job, features);
    let what = match axes {
        [true, true] => "X and Y",
        [true, false] => "X",
        [false, _] => "Y",
    };
    let is = if axes == [true, true] { "are" } else { "is" };
    let their = if features.len() == 1 { "its" } else { "their" };
    match cause {
        Cause::Zero(o) => (
            o,
            format!(
                "Nothing ties the heights of orientation {o} to the drawing: {what} of {names} {is} not \
                 known. Set its zero at a datum, touch a datum feature in it, or enter the height of \
                 the blocks."
            ),
        ),
        Cause::Angle(o) => (
            o,
            format!(
                "The angle of orientation {o} is to be found from the readings, and they do not give it: \
                 {what} of {names} {is} not known. Read the same features in one more orientation, or \
                 take the angle as stated."
            ),
        ),
        Cause::Oblique(o) => {
            let what = match axes {
                [true, true] => format!("neither {their} X nor {their} Y is known"),
                _ => format!("{their} {what} is not known"),
            };
            let says = format!(
                "Orientation {o} alone sees {names}, and its direction is not along X or Y: {what}. \
                 Read {names} in another orientation too."
            );
            (o, says)
        }
    }
}

fn names(job: &Job, features: &[usize]) -> String {
    let mut named: Vec<String> = features
        .iter()
        .take(MOST)
        .filter_map(|f| job.drawing.features.get(*f))
        .map(feature_name)
        .collect();
    let more = features.len().saturating_sub(named.len());
    if more > 0 {
        named.push(format!("{more} more"));
    }
    match named.as_slice() {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => named.concat(),
    }
}
