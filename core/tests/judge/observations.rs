//! From readings, rests and stated squareness to linear observations of coordinates, offsets and
//! zeros. No datum of the drawing plays a part here.

use super::document::{Document, Kind, Pair, Piece, Zero, direction, dot, turned};
use super::uncertainty;
use std::collections::HashMap;

/// One observation: coefficients of the unknowns, what they should sum up to, and its variance.
#[derive(Clone, Debug)]
pub(crate) struct Observation {
    pub coefficients: Vec<(usize, f64)>,
    pub value: f64,
    pub variance: f64,
}

/// The unknowns with their starting values, and everything that was observed of them.
#[derive(Clone, Debug)]
pub(crate) struct Network {
    pub start: Vec<f64>,
    pub observations: Vec<Observation>,
    /// First unknown of each feature: two for a point, one for a face.
    pub of_feature: Vec<usize>,
    /// The normal of each face into the material, as it really stands.
    pub inward: Vec<Pair>,
    /// Up in each orientation.
    pub up: Vec<Pair>,
    /// Features that some observation names.
    pub seen: Vec<bool>,
    /// Faces that the part stands on, be it at an unknown height: which way they run is known.
    pub stood_on: Vec<bool>,
}

impl Network {
    fn height(&self, feature: usize, up: Pair, job: &Document) -> (Vec<(usize, f64)>, f64) {
        let at = self.of_feature[feature];
        if job.features[feature].kind != Kind::Face {
            return (vec![(at, up[0]), (at + 1, up[1])], 0.0);
        }
        // A face is touched at the middle of its edge, which matters only where it is not parallel to
        // the plate.
        let m = self.inward[feature];
        let along = [-m[1], m[0]];
        let middle = job
            .outline
            .as_ref()
            .map_or([0.0; 2], |o| [(o.low[0] + o.high[0]) / 2.0, (o.low[1] + o.high[1]) / 2.0]);
        let beside = dot(up, along);
        let constant = if beside.abs() < 1e-12 { 0.0 } else { dot(middle, along) * beside };
        (vec![(at, dot(up, m))], constant)
    }
}

/// The angle by which each orientation's up is turned from the drawn one, counter-clockwise.
fn leans(job: &Document, piece: &Piece) -> Vec<f64> {
    // Turned against which orientation's edge, and by how much, counter-clockwise.
    let mut found: Vec<Option<(usize, f64)>> = vec![None; job.orientations.len()];
    for s in &piece.squareness {
        // The +Y end of a left edge or the +X end of a top edge farther out turns it
        // counter-clockwise; of a right or bottom edge, clockwise.
        let up = direction(job.orientations[s.orientation].degrees);
        let sign = if up[0] > 0.5 || up[1] < -0.5 { 1.0 } else { -1.0 };
        found[s.orientation] = Some((s.against, sign * s.out));
    }
    // The same edge leans in the same way whenever the part stands on it.
    let stated: Vec<Option<(usize, f64)>> = (0..job.orientations.len())
        .map(|k| {
            found[k].or_else(|| {
                let face = job.carrying_face(k)?;
                (0..found.len())
                    .find_map(|j| found[j].filter(|_| job.carrying_face(j) == Some(face)))
            })
        })
        .collect();
    (0..stated.len())
        .map(|k| {
            let (mut lean, mut at) = (0.0, k);
            for _ in 0..stated.len() {
                let Some((against, by)) = stated[at] else { break };
                lean += by;
                at = against;
            }
            lean
        })
        .collect()
}

/// Collects all facts of a piece.
pub(crate) fn collect(job: &Document, piece: &Piece) -> Network {
    let leans = leans(job, piece);
    let up: Vec<Pair> = job
        .orientations
        .iter()
        .zip(&leans)
        .map(|(o, l)| turned_exactly(direction(o.degrees), *l))
        .collect();
    let (mut start, mut of_feature) = (Vec::new(), Vec::new());
    let mut inward = Vec::new();
    for (i, f) in job.features.iter().enumerate() {
        of_feature.push(start.len());
        let mut normal = [0.0; 2];
        if f.kind == Kind::Face {
            let axis = f.axis.expect("a face looks somewhere");
            normal[axis] = -f.sign;
            start.push(normal[axis] * f.basic[axis]);
            normal = turned_exactly(normal, lean_of_face(job, piece, i, &leans));
        } else {
            start.extend(f.basic);
        }
        inward.push(normal);
    }
    let offsets = start.len();
    start.resize(offsets + job.orientations.len(), 0.0);
    let mut net = Network {
        start,
        observations: Vec::new(),
        of_feature,
        inward,
        up,
        seen: vec![false; job.features.len()],
        stood_on: vec![false; job.features.len()],
    };
    let spread = uncertainty::repeatabilities(job, piece);

    // Start the offsets near the truth, so that what is not determined stays near its basic place.
    for k in 0..job.orientations.len() {
        let o = &job.orientations[k];
        let near = piece.readings.iter().filter(|r| r.orientation == k).find_map(|r| {
            let zero = r.zero.unwrap_or(o.zero);
            (zero == Zero::Plate).then(|| {
                let all: Vec<f64> =
                    [&r.low, &r.high, &r.centre, &r.face].into_iter().flatten().copied().collect();
                (!all.is_empty()).then(|| {
                    let (coefficients, constant) = net.height(r.feature, net.up[k], job);
                    uncertainty::mean(&all) - evaluate(&coefficients, &net.start) - constant
                })
            })?
        });
        let rest = job.carrying_face(k).zip(o.blocks).map(|(face, s)| {
            let (coefficients, constant) = net.height(face, net.up[k], job);
            s - evaluate(&coefficients, &net.start) - constant
        });
        net.start[offsets + k] = rest.or(near).unwrap_or(0.0);
    }

    // Rests.
    for (k, o) in job.orientations.iter().enumerate() {
        let Some(face) = job.carrying_face(k) else { continue };
        if !piece.readings.iter().any(|r| r.orientation == k) {
            continue;
        }
        net.stood_on[face] = true;
        let Some(blocks) = o.blocks else { continue };
        let (mut coefficients, constant) = net.height(face, net.up[k], job);
        coefficients.push((offsets + k, 1.0));
        let variance = uncertainty::rest(job);
        net.observations.push(Observation { coefficients, value: blocks - constant, variance });
        net.seen[face] = true;
    }

    // Zeros: the reading of the gauge's own scale at the moment when it was set to zero.
    let mut zeros: HashMap<(usize, Zero), usize> = HashMap::new();
    for r in &piece.readings {
        let (k, o) = (r.orientation, &job.orientations[r.orientation]);
        let zero = r.zero.unwrap_or(o.zero);
        if zeros.contains_key(&(k, zero)) {
            continue;
        }
        let unknown = net.start.len();
        zeros.insert((k, zero), unknown);
        let i = &job.instruments[o.instrument];
        let one = uncertainty::zero(i, spread[o.instrument]);
        let plate = uncertainty::plate(job);
        let observation = match zero {
            Zero::Plate => {
                net.start.push(0.0);
                Observation {
                    coefficients: vec![(unknown, 1.0)],
                    value: 0.0,
                    variance: one + plate,
                }
            }
            Zero::Feature(f) => {
                net.seen[f] = true;
                let (mut coefficients, constant) = net.height(f, net.up[k], job);
                coefficients.push((offsets + k, 1.0));
                net.start.push(evaluate(&coefficients, &net.start) + constant);
                coefficients.push((unknown, -1.0));
                let face = job.features[f].kind == Kind::Face;
                let looks_up = dot(net.up[k], net.inward[f]) < 0.0;
                let late = if !o.touches || (face && (looks_up || job.carrying_face(k) == Some(f)))
                {
                    0.0
                } else if face {
                    i.probe
                } else {
                    i.probe / 2.0
                };
                let variance = plate + if face || !o.touches { one } else { one / 2.0 };
                Observation { coefficients, value: late - constant, variance }
            }
        };
        net.observations.push(observation);
    }

    // Heights.
    for r in &piece.readings {
        let (k, o) = (r.orientation, &job.orientations[r.orientation]);
        let (i, s) = (&job.instruments[o.instrument], spread[o.instrument]);
        let zero = zeros[&(k, r.zero.unwrap_or(o.zero))];
        let f = &job.features[r.feature];
        let along_plate = f.kind != Kind::Face && f.axis.is_some_and(|a| net.up[k][a].abs() < 0.99);
        let plate = uncertainty::plate(job);
        let found = if f.kind == Kind::Face {
            (!r.face.is_empty()).then(|| {
                let looks_up = dot(net.up[k], net.inward[r.feature]) < 0.0;
                let late =
                    if looks_up || job.carrying_face(k) == Some(r.feature) { 0.0 } else { i.probe };
                (uncertainty::mean(&r.face) + late, uncertainty::touch(i, s, &r.face) + plate)
            })
        } else if along_plate || !uncertainty::gives_centre(r) {
            None
        } else if o.touches {
            let middle = (uncertainty::mean(&r.low) + uncertainty::mean(&r.high) + i.probe) / 2.0;
            let two = uncertainty::touch(i, s, &r.low) + uncertainty::touch(i, s, &r.high);
            Some((middle, two / 4.0 + plate))
        } else {
            Some((uncertainty::mean(&r.centre), uncertainty::touch(i, s, &r.centre) + plate))
        };
        let Some((value, variance)) = found else { continue };
        let (mut coefficients, constant) = net.height(r.feature, net.up[k], job);
        coefficients.extend([(offsets + k, 1.0), (zero, -1.0)]);
        net.observations.push(Observation { coefficients, value: value - constant, variance });
        net.seen[r.feature] = true;
    }
    net
}

/// How a face is turned: as the orientation that stands on it, or else as those in which it was
/// touched.
fn lean_of_face(job: &Document, piece: &Piece, face: usize, leans: &[f64]) -> f64 {
    if let Some(k) = (0..leans.len()).find(|k| job.carrying_face(*k) == Some(face)) {
        return leans[k];
    }
    // Read, or touched to set a zero. Each orientation says once which way it runs.
    let mut touched: Vec<usize> = piece
        .readings
        .iter()
        .filter(|r| {
            let zero = r.zero.unwrap_or(job.orientations[r.orientation].zero);
            (r.feature == face && !r.face.is_empty()) || zero == Zero::Feature(face)
        })
        .map(|r| r.orientation)
        .collect();
    touched.sort_unstable();
    touched.dedup();
    let leans: Vec<f64> = touched.into_iter().map(|k| leans[k]).collect();
    if leans.is_empty() { 0.0 } else { uncertainty::mean(&leans) }
}

fn turned_exactly(v: Pair, by: f64) -> Pair {
    if by == 0.0 { v } else { turned(v, by) }
}

/// The sum of the coefficients times the unknowns.
pub(crate) fn evaluate(coefficients: &[(usize, f64)], unknowns: &[f64]) -> f64 {
    coefficients.iter().map(|(j, c)| c * unknowns[*j]).sum()
}
