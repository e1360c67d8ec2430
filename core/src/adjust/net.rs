//! The network that the heights of one piece make.

use super::doubt::{Doubts, growth_standard, temperature_standard};
use super::found::doubtful;
use super::hold::{held, over_no_datum, stood_on};
use super::loose::{Tie, loose};
use super::owed::{MadeOf, Shared};
use super::{Adjustment, Height, Misfit, Touched, ZeroFit};
use crate::job::{Feature, Job, Kind, Orientation, Piece, Squareness, Taken, Zero};
use crate::network::{
    Direction, Fixed, Network, Observation, Offset, Point, Prior, Shared as Found, Systematic,
};
use crate::quantity::{Axis, Length};
use rustc_hash::FxHashMap;
use std::collections::HashSet;
use std::f64::consts::FRAC_PI_2;

/// Adjusts the heights of one piece together.
#[must_use]
pub fn adjust(job: &Job, piece: &Piece, heights: &[Height], doubts: &Doubts) -> Adjustment {
    let count = job.drawing.features.len();
    if heights.is_empty() {
        return Adjustment::nothing(count, None);
    }
    let numbers = job.drawing.by_number();
    let index = |number: &str| numbers.get(number).copied();
    let mut net = Net::new(job, piece, count);
    net.loose = over_no_datum(job, heights);
    net.share(piece, heights, doubts);
    for h in heights {
        net.observe(h, doubts, &index);
    }
    for h in held(job, heights, &net.loose, index) {
        let (feature, axis) = (h.feature, h.axis);
        let point = net.point(feature);
        let angle = if axis == Axis::X { 0.0 } else { FRAC_PI_2 };
        net.network.fixed.push(Fixed { point, angle, value: h.value.to_mm() });
    }
    net.finish(heights)
}

struct Net<'a> {
    job: &'a Job,
    network: Network,
    point_of: Vec<Option<usize>>,
    /// Offset of each zero: orientation and the zero's feature, none for the plate.
    offsets: FxHashMap<(usize, Option<usize>), usize>,
    /// Systematic error of each instrument's probe constant, of its scale, and of what temperature
    /// does to all.
    probes: Vec<Option<usize>>,
    scales: Vec<Option<usize>>,
    warmth: Option<usize>,
    made_of: MadeOf,
    /// Which of the observations are heights.
    heights: Vec<usize>,
    /// What the zeros are: orientation, and the observation of a feature or the offset itself.
    zeros: Vec<(usize, Result<usize, usize>)>,
    /// Orientations over an edge that is not taken as true.
    loose: HashSet<usize>,
}

impl<'a> Net<'a> {
    fn new(job: &'a Job, piece: &Piece, count: usize) -> Self {
        let mut network = Network::default();
        for (k, o) in job.plan.orientations.iter().enumerate() {
            let (angle, error) = direction(job, piece, k, o);
            let angle_error = error.map(|prior| {
                network.angle_errors.push(prior);
                network.angle_errors.len() - 1
            });
            network.directions.push(Direction { angle, angle_error });
        }
        Self {
            job,
            network,
            point_of: vec![None; count],
            offsets: FxHashMap::default(),
            probes: Vec::new(),
            scales: Vec::new(),
            warmth: None,
            made_of: MadeOf::default(),
            heights: Vec::new(),
            zeros: Vec::new(),
            loose: HashSet::new(),
        }
    }

    /// The errors that many heights share: the scale of each instrument, and its probe constant;
    /// what temperature does to all of them.
    fn share(&mut self, piece: &Piece, heights: &[Height], doubts: &Doubts) {
        let instruments = 0..self.job.plan.instruments.len();
        for instrument in instruments.clone() {
            let standard = growth_standard(self.job, instrument);
            let scale = self.systematic(Shared::Growth(instrument), standard);
            self.scales.push(scale);
        }
        let [apart, coefficients] = temperature_standard(self.job, piece);
        let square = apart * apart + coefficients * coefficients;
        let difference = if square > 0.0 { apart * apart / square } else { 0.0 };
        self.warmth = self.systematic(Shared::Temperature(difference), square.sqrt());
        let enters = heights.iter().any(|h| h.probe.abs() > 0.0);
        for instrument in instruments.filter(|_| enters) {
            let standard = doubts.probe(instrument).to_mm();
            let probe = self.systematic(Shared::Probe(instrument), standard);
            self.probes.push(probe);
        }
    }

    /// A systematic error with this standard uncertainty, if it has any.
    fn systematic(&mut self, what: Shared, standard: f64) -> Option<usize> {
        (standard > 0.0).then(|| {
            let prior = Prior::About { value: 0.0, standard };
            self.made_of.systematics.push(what);
            self.network.systematics.push(Systematic { prior });
            self.network.systematics.len() - 1
        })
    }

    fn point(&mut self, feature: usize) -> usize {
        if let Some(Some(point)) = self.point_of.get(feature) {
            return *point;
        }
        let of = self.job.drawing.features.get(feature);
        self.network.points.push(of.map_or(Point::axis([0.0; 2]), |f| point(self.job, f)));
        let new = self.network.points.len() - 1;
        if let Some(slot) = self.point_of.get_mut(feature) {
            *slot = Some(new);
        }
        new
    }

    fn offset(
        &mut self,
        h: &Height,
        doubts: &Doubts,
        index: &impl Fn(&str) -> Option<usize>,
    ) -> usize {
        let plan = &self.job.plan;
        let rest = plan.orientations.get(h.orientation).and_then(|o| o.rest.face.as_ref());
        let zero = match &h.zero {
            Zero::Plate => None,
            // The face on the plate is not touched itself, but what it lies on.
            Zero::Feature(number) if Some(number) == rest => None,
            Zero::Feature(number) => index(number),
        };
        let key = match (&h.zero, zero) {
            // Two zeros of one orientation that have no feature: the plate, and what lies on it.
            (Zero::Feature(_), None) => (h.orientation, Some(usize::MAX)),
            _ => (h.orientation, zero),
        };
        if let Some(&known) = self.offsets.get(&key) {
            return known;
        }
        let instrument = plan.orientations.get(h.orientation).map_or(0, |o| o.instrument);
        let one = Touched::single(instrument, 1);
        let prior = match zero {
            // Setting the zero is a touch like any other, and all its readings share what it has.
            None if h.setup.tied && !self.loose.contains(&h.orientation) => {
                let standard = doubts.standard(one).to_mm();
                Prior::About { value: -h.setup.base.to_mm(), standard }
            }
            _ => Prior::Free,
        };
        self.made_of.offsets.push((prior != Prior::Free).then_some(one));
        self.network.offsets.push(Offset { direction: h.orientation, prior });
        let new = self.network.offsets.len() - 1;
        self.offsets.insert(key, new);
        if let Some(zero) = zero {
            // Of a centre it may be two.
            let face = self.job.drawing.features.get(zero).is_some_and(|f| f.kind == Kind::Face);
            let two = !face && h.setup.taken == Taken::Touches;
            let touched = if two { Touched::middle(instrument, [1; 2]) } else { one };
            let standard = doubts.standard(touched).to_mm();
            let point = self.point(zero);
            self.zeros.push((h.orientation, Ok(self.network.observations.len())));
            self.made_of.observations.push((touched, true));
            self.network.observations.push(Observation::new(point, new, 0.0, standard));
        } else {
            self.zeros.push((h.orientation, Err(new)));
        }
        new
    }

    fn observe(&mut self, h: &Height, doubts: &Doubts, index: &impl Fn(&str) -> Option<usize>) {
        let offset = self.offset(h, doubts, index);
        let point = self.point(h.feature);
        let standard = doubts.standard(h.touched).to_mm();
        let mut seen = Observation::new(point, offset, h.height.to_mm(), standard);
        let instrument = self.job.plan.orientations.get(h.orientation).map_or(0, |o| o.instrument);
        if let Some(Some(probe)) = self.probes.get(instrument)
            && h.probe != 0.0
        {
            seen = seen.with(*probe, h.probe);
        }
        if let Some(Some(scale)) = self.scales.get(instrument) {
            seen = seen.with(*scale, h.height.to_mm());
        }
        if let Some(warmth) = self.warmth {
            seen = seen.with(warmth, h.height.to_mm());
        }
        self.made_of.observations.push((h.touched, false));
        self.heights.push(self.network.observations.len());
        self.network.observations.push(seen);
    }

    fn finish(self, heights: &[Height]) -> Adjustment {
        let features = self.point_of.len();
        let adjusted = match self.network.adjust() {
            Ok(adjusted) => adjusted,
            Err(fault) => return Adjustment::nothing(features, Some(fault.to_string())),
        };
        let orientations = &self.job.plan.orientations;
        let misfits: Vec<Misfit> = heights
            .iter()
            .zip(&self.heights)
            .filter_map(|(h, &i)| {
                let fit = adjusted.observations.get(i)?;
                Some(Misfit {
                    feature: h.feature,
                    orientation: orientations.get(h.orientation)?.number,
                    residual: Length::mm(fit.residual),
                    redundancy: fit.redundancy,
                    normalised: fit.normalised,
                    error: fit.gross().map(Length::mm),
                })
            })
            .collect();
        let zeros: Vec<ZeroFit> = self
            .zeros
            .iter()
            .filter_map(|&(orientation, of)| {
                let fit = match of {
                    Ok(observation) => *adjusted.observations.get(observation)?,
                    Err(offset) => adjusted.offsets.get(offset)?.prior?,
                };
                Some(ZeroFit {
                    orientation: orientations.get(orientation)?.number,
                    normalised: fit.normalised?,
                    error: Length::mm(fit.gross()?),
                })
            })
            .collect();
        let angles = orientations
            .iter()
            .zip(&self.network.directions)
            .filter(|(o, _)| o.find_angle)
            .filter_map(|(o, d)| {
                let found = adjusted.angle_errors.get(d.angle_error?)?;
                found.estimate.map(|e| (o.number, e.value, e.standard))
            })
            .collect();
        let tie = |&i: &usize| {
            let offset = self.network.observations.get(i).map(|o| o.offset);
            let direction = offset.and_then(|k| self.network.offsets.get(k)).map(|o| o.direction);
            let known = |found: &[Found], k: Option<usize>| {
                k.and_then(|k| found.get(k)).is_none_or(|f| f.estimate.is_some())
            };
            let zero = known(&adjusted.offsets, offset);
            let angle_error =
                direction.and_then(|k| self.network.directions.get(k)).and_then(|d| d.angle_error);
            Tie { zero, angle: known(&adjusted.angle_errors, angle_error) }
        };
        let ties: Vec<Tie> = self.heights.iter().map(tie).collect();
        let mut found = Adjustment {
            chi_square: adjusted.chi_square,
            degrees: adjusted.degrees,
            suspects: doubtful(&misfits, |m| m.normalised),
            doubtful_zeros: doubtful(&zeros, |z| Some(z.normalised)),
            misfits,
            angles,
            fault: (!adjusted.converged).then(|| {
                "The angles of the orientations could not be found from these readings.".to_owned()
            }),
            point_of: self.point_of,
            stood_on: stood_on(self.job, heights),
            made_of: self.made_of,
            loose: Vec::new(),
            adjusted: Some(adjusted),
        };
        found.loose = loose(self.job, heights, &ties, &found);
        found
    }
}

fn point(job: &Job, feature: &Feature) -> Point {
    let near = feature.basic_point(job.drawing.unit);
    let near = [near.x.to_mm(), near.y.to_mm()];
    match feature.plane_axis() {
        Some(Axis::X) => Point::plane(near, 0.0),
        Some(Axis::Y) => Point::plane(near, FRAC_PI_2),
        None => Point::axis(near),
    }
}

/// The angle of the direction that is up, turned by what is known of the edge that carries the part,
/// and what is known of its angle error, if it has any.
///
/// Along the edge runs τ, towards +Y of a left or right edge and towards +X of a bottom or top
/// one; out of the material looks n = −u. If the far end lies d farther out over the length L,
/// the edge runs along L τ + d n, and square to it, inwards, is L u + d τ: up is turned from u
/// towards τ by atan(d/L).
fn direction(job: &Job, piece: &Piece, k: usize, o: &Orientation) -> (f64, Option<Prior>) {
    let mut angle = o.up_degrees.to_radians();
    let axis = o.up().square_axis();
    let known = piece.squareness_of(o.number).and_then(Squareness::radians);
    if let (Some(lean), Some(axis)) = (known, axis) {
        let u = o.up();
        // Counter-clockwise where τ lies to the left of u.
        let towards = match axis {
            Axis::X => u.cos(),
            Axis::Y => -u.sin(),
        };
        angle += towards.signum() * lean;
    }
    let bound = job.plan.conditions.squareness.and_then(|s| s.radians());
    let error = match bound {
        _ if o.find_angle => Some(Prior::Free),
        // The first orientation gives the axes; how a squareness was found is not asked for.
        Some(bound) if k > 0 && known.is_none() => {
            Some(Prior::About { value: 0.0, standard: bound.abs() / 3.0_f64.sqrt() })
        }
        _ => None,
    };
    (angle, error)
}
