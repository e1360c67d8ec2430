//! What the set-up of an orientation can be chosen from.

use quarterturn_core::bench::Setup;
use quarterturn_core::job::{Job, Kind, Orientation, Zero};
use quarterturn_core::picture::zero_words;
use quarterturn_core::quantity::Side;
use quarterturn_core::show::feature_name;

/// The edge of the outline and the faces that look down: (value, words).
pub(super) fn carriers(job: &Job, orientation: &Orientation) -> Vec<(String, String)> {
    let down = orientation.up_side().map(Side::opposite);
    let given = orientation.rest.face.as_deref();
    let bare = match down {
        Some(down) => format!("{} edge of the outline", down.edge()),
        None => "a sine bar".to_owned(),
    };
    let mut all = vec![(String::new(), bare)];
    let faces = job
        .drawing
        .features
        .iter()
        .filter(|f| {
            f.kind == Kind::Face
                && (f.looks.is_some() && f.looks == down || given == Some(&f.number))
        })
        .map(|f| {
            let edge = f.looks.map_or(String::new(), |s| format!(", {} edge", s.edge()));
            (f.number.clone(), format!("{}{edge}", feature_name(f)))
        });
    all.extend(faces);
    if let Some(number) = given
        && !all.iter().any(|(n, _)| n == number)
    {
        all.push((number.to_owned(), format!("{number}, not in the drawing")));
    }
    all
}

/// The plate and the features that can read zero in this orientation: (value, words).
pub(super) fn zeros(job: &Job, orientation: &Orientation) -> Vec<(String, String)> {
    let given = match &orientation.zero {
        Zero::Plate => None,
        Zero::Feature(number) => Some(number.as_str()),
    };
    let mut tried = orientation.clone();
    let mut all = vec![(String::new(), "at the plate".to_owned())];
    let features = job.drawing.features.iter().filter_map(|f| {
        let bare = orientation.rest.blocks.height().is_some_and(|h| h.0 <= 0.0);
        let lies = orientation.rest.face.as_ref() == Some(&f.number) && bare;
        if f.number.is_empty() || (lies && given != Some(&f.number)) {
            return None;
        }
        tried.zero = Zero::Feature(f.number.clone());
        let words = zero_words(job, &tried);
        (given == Some(&f.number) || sees(job, f, orientation))
            .then(|| (f.number.clone(), format!("at {words}")))
    });
    all.extend(features);
    if let Some(number) = given
        && job.feature(number).is_none()
    {
        all.push((number.to_owned(), format!("{number}, not in the drawing")));
    }
    all
}

/// Whether a feature can be touched as the zero.
fn sees(job: &Job, feature: &quarterturn_core::job::Feature, orientation: &Orientation) -> bool {
    let mut alone = orientation.clone();
    alone.zero = Zero::Feature(feature.number.clone());
    // The drawing with this feature alone, so that many features are not searched many times.
    let mut small = Job::empty(job.drawing.unit);
    small.plan.clone_from(&job.plan);
    small.drawing.features = vec![feature.clone()];
    Setup::of(&small, &alone).is_ok()
}

/// The gauges of the plan: (index, words).
pub(super) fn gauges(job: &Job, _: &Orientation) -> Vec<(String, String)> {
    job.plan
        .instruments
        .iter()
        .enumerate()
        .map(|(i, g)| {
            let name = [g.name.as_str(), g.identification.as_str()].join(" ");
            (i.to_string(), format!("{}, {}", name.trim(), g.unit.word()))
        })
        .collect()
}
