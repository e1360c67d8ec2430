//! The facts of one piece: everything that was read, set or stated, each an observation with its own
//! uncertainty. Nothing here takes a coordinate of the drawing for true.

use super::directions::{Directions, directions};
use super::planes::planes;
use super::{
    Contact, Readings, Setup, TemperatureCorrection, TouchUncertainty, Touched, carriers,
    growth_standard, reduce, temperature_standard, touches,
};
use crate::job::{Feature, Job, Kind, Orientation, Piece, Reading, Taken, Touch, Zero};
use crate::quantity::{Axis, Length, Side};
use rustc_hash::{FxHashMap, FxHashSet};

/// Something of the part whose height is observed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Target {
    /// A feature, by its index in the drawing.
    Feature(usize),
    /// An edge of the outline that is no feature and carried the part.
    Edge(Side),
}

/// What reads zero for some readings of an orientation. All of them share its unknown offset.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ZeroAt {
    /// The surface plate.
    Plate,
    /// A feature, or what the feature lies on where it carries the part.
    Feature(usize),
    /// A feature that the drawing does not have, or that cannot be touched there.
    Unknown,
}

/// One zero of one orientation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ZeroSetting {
    /// Index of the orientation in the plan.
    pub orientation: usize,
    /// What reads zero.
    pub at: ZeroAt,
}

/// Where a fact comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FactKind {
    /// A feature was read.
    Reading,
    /// The zero was set at a feature: its height is 0.
    Zero,
    /// A face or edge rests on the plate or on the blocks: its height above them is 0.
    Rest,
}

/// The height of something above a zero, in mm at 20 °C, along the direction that is up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fact {
    /// Where it comes from.
    pub kind: FactKind,
    /// What it is the height of.
    pub target: Target,
    /// Index of its zero in [`Facts::zeros`].
    pub zero: usize,
    /// The height, blocks deducted, the probe constant applied and the temperature corrected.
    pub height: Length,
    /// How far the gauge went for it from where it reads zero, blocks included: what its error grows with.
    pub travel: Length,
    /// The touches it is made of.
    pub touched: Touched,
    /// Its standard uncertainty, without what it shares with other facts.
    pub standard: Length,
    /// Derivative of the height by the probe constant: 0 for a touch from above counted from one,
    /// ½ for a centre.
    pub by_probe: f64,
}

/// A size read in one orientation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeFact {
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Index of the orientation in the plan.
    pub orientation: usize,
    /// The size at 20 °C.
    pub size: Length,
    /// The touches it is made of.
    pub touched: Touched,
    /// Its standard uncertainty without the probe constant.
    pub standard: Length,
    /// Derivative of the size by the probe constant: 1 for a hole or slot, −1 for a boss or tab.
    pub by_probe: f64,
    /// The height made of the same touches (index in [`Facts::facts`]) and its covariance with the
    /// size by these touches alone, mm²: (u²(high) − u²(low))/2.
    pub with: Option<(usize, f64)>,
}

/// A length of the part as a gauge measured it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// Index of the gauge.
    pub instrument: usize,
    /// The length itself, a height or a size.
    pub length: Length,
    /// How far the gauge went for it.
    pub travel: Length,
    /// Derivative of the length by the probe constant.
    pub by_probe: f64,
}

impl Fact {
    /// The height as its gauge measured it.
    #[must_use]
    pub const fn measure(&self) -> Measure {
        let Self { touched, height: length, travel, by_probe, .. } = *self;
        Measure { instrument: touched.instrument, length, travel, by_probe }
    }
}

impl SizeFact {
    /// The size as its gauge measured it.
    #[must_use]
    pub const fn measure(&self) -> Measure {
        let Self { touched, size: length, by_probe, .. } = *self;
        Measure { instrument: touched.instrument, length, travel: length, by_probe }
    }
}

/// An error that many facts have in common, with its standard uncertainty: in mm of the probe
/// constant, as a ratio of scales.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CommonError {
    /// Scale of an instrument: its error that grows with height.
    Scale(usize, f64),
    /// Scale by temperature, by the difference of temperature and by the coefficients of expansion.
    Temperature([f64; 2]),
    /// Probe constant of an instrument, stated less true.
    Probe(usize, f64),
}

impl CommonError {
    /// Its standard uncertainty.
    #[must_use]
    pub fn standard(self) -> f64 {
        match self {
            Self::Scale(_, u) | Self::Probe(_, u) => u,
            Self::Temperature([apart, expansion]) => libm::hypot(apart, expansion),
        }
    }

    /// Its derivative in a length of the part.
    #[must_use]
    pub fn coefficient(self, of: Measure) -> f64 {
        match self {
            Self::Scale(own, _) if own == of.instrument => of.travel.to_mm(),
            Self::Probe(own, _) if own == of.instrument => of.by_probe,
            Self::Temperature(_) => of.length.to_mm(),
            Self::Scale(..) | Self::Probe(..) => 0.0,
        }
    }
}

/// All facts of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    /// What read zero.
    pub zeros: Vec<ZeroSetting>,
    /// Heights.
    pub facts: Vec<Fact>,
    /// Sizes, feature by feature in the order of the drawing.
    pub sizes: Vec<SizeFact>,
    /// What the facts have in common.
    pub common: Vec<CommonError>,
    /// The directions that were up.
    pub directions: Directions,
    /// For each orientation, what carried the part.
    pub carried_by: Vec<Vec<Target>>,
    /// For each feature, whether its own readings look along x and along y. What only served as a
    /// zero or as a rest was not read.
    pub read: Vec<[bool; 2]>,
    /// For each instrument, whether anything was read with it.
    pub used: Vec<bool>,
    /// The uncertainty of a touch.
    pub uncertainty: TouchUncertainty,
}

/// Readings that a chain of zeros makes useless: number of the orientation and of the feature.
pub type Unusable<'j> = FxHashSet<(u32, &'j str)>;

/// Collects the facts of a piece. `unusable` readings tell sizes only
/// ([`chain_faults`](super::chain_faults)).
#[must_use]
pub fn collect(job: &Job, readings: &Readings<'_>, unusable: &Unusable<'_>) -> Facts {
    let piece = readings.piece();
    let uncertainty = TouchUncertainty::of(job, piece);
    let carried_by = job.plan.orientations.iter().map(|o| carriers(job, o)).collect();
    let directions = directions(job, piece);
    let resolved = |o: &Orientation| Collector::setup(job, o, &o.zero);
    let mut collector = Collector {
        job,
        scale: TemperatureCorrection::of(job, piece).map_or(1.0, TemperatureCorrection::factor),
        numbers: job.drawing.by_number(),
        setups: job.plan.orientations.iter().map(resolved).collect(),
        setting: FxHashMap::default(),
        found: Facts {
            zeros: Vec::new(),
            facts: Vec::new(),
            sizes: Vec::new(),
            common: Vec::new(),
            directions,
            carried_by,
            read: vec![[false; 2]; job.drawing.features.len()],
            used: vec![false; job.plan.instruments.len()],
            uncertainty,
        },
    };
    for feature in job.drawing.features.iter().enumerate() {
        for orientation in job.plan.orientations.iter().enumerate() {
            let key = (orientation.1.number, feature.1.number.as_str());
            if let Some(reading) = readings.get(key.0, key.1) {
                let usable = !unusable.contains(&key);
                collector.reading(feature, orientation, reading, usable);
            }
        }
    }
    collector.rests();
    collector.common(piece);
    let mut found = collector.found;
    planes(job, &mut found);
    found
}

struct Collector<'a> {
    job: &'a Job,
    /// Length at 20 °C of a length that was read as 1.
    scale: f64,
    numbers: FxHashMap<&'a str, usize>,
    /// Each orientation with the zero that the plan gives it.
    setups: Vec<Option<Setup>>,
    setting: FxHashMap<ZeroSetting, usize>,
    found: Facts,
}

impl<'a> Collector<'a> {
    /// An orientation with this zero. One that cannot be resolved leaves an unknown offset, and the
    /// sizes as they are.
    fn setup(job: &Job, orientation: &Orientation, zero: &Zero) -> Option<Setup> {
        Setup::with_zero(job, orientation, zero)
            .or_else(|_| Setup::without_zero(job, orientation))
            .ok()
    }

    /// Takes in what one reading says of a feature's height and size.
    fn reading(
        &mut self,
        (index, feature): (usize, &'a Feature),
        (o, orientation): (usize, &'a Orientation),
        reading: &Reading,
        usable: bool,
    ) {
        let planned = touches(feature, orientation);
        if planned.is_empty() {
            return;
        }
        let zero = reading.zero_in(orientation);
        let setup = match reading.own_zero(orientation) {
            None => self.setups.get(o).copied().flatten(),
            Some(own) => Self::setup(self.job, orientation, own),
        };
        let Some(setup) = setup else { return };
        let reduced = reduce(feature, &setup, reading);
        let instrument = orientation.instrument;
        let n = |touch: Touch| reading.values(touch).len();
        let pair = [n(Touch::Low), n(Touch::High)];
        if reduced.along.is_some() || reduced.size.is_some() {
            self.found.used[instrument] = true;
        }
        let fact = reduced.along.filter(|_| usable).map(|along| {
            let (touched, contact) = match (feature.kind, setup.taken) {
                (Kind::Face, _) => {
                    let contact = planned.first().map_or(Contact::FromAbove, |(_, c)| *c);
                    (Touched::single(instrument, n(Touch::Face)), contact)
                }
                // What the gauge works out itself is one reading, whatever it touched for it.
                (_, Taken::CentreAndSize) => {
                    (Touched::single(instrument, n(Touch::Centre)), Contact::Centre)
                }
                _ => (Touched::middle(instrument, pair), Contact::Centre),
            };
            let zero = self.zero((o, orientation), zero, setup);
            // Lengths of the part are corrected for temperature, blocks are not.
            let blocks = match (self.found.zeros[zero].at, orientation.rest.blocks.height()) {
                (ZeroAt::Plate, Some(height)) => height.length(setup.unit),
                _ => Length::ZERO,
            };
            for (read, axis) in self.found.read[index].iter_mut().zip([Axis::X, Axis::Y]) {
                *read |= setup.up.component(axis).abs() > 1e-9;
            }
            self.found.facts.push(Fact {
                kind: FactKind::Reading,
                target: Target::Feature(index),
                zero,
                height: (along - setup.base - blocks) * self.scale,
                travel: along - setup.base,
                touched,
                standard: self.found.uncertainty.standard(touched),
                by_probe: contact.probe_share() - setup.zero_contact.probe_share(),
            });
            self.found.facts.len() - 1
        });
        let Some(size) = reduced.size else { return };
        let (touched, with) = match setup.taken {
            Taken::Touches => {
                let weight = Touched::middle_with_difference(pair);
                let covariance = weight * self.found.uncertainty.repeatability(instrument);
                (Touched::difference(instrument, pair), fact.map(|fact| (fact, covariance)))
            }
            Taken::CentreAndSize => (Touched::size(instrument, n(Touch::Size)), None),
        };
        self.found.sizes.push(SizeFact {
            feature: index,
            orientation: o,
            size: size * self.scale,
            touched,
            standard: self.found.uncertainty.standard(touched),
            by_probe: if feature.kind.is_internal() { 1.0 } else { -1.0 },
            with,
        });
    }

    /// Index of a zero of an orientation. One at a feature is a fact about that feature too.
    fn zero(
        &mut self,
        (o, orientation): (usize, &Orientation),
        zero: &Zero,
        setup: Setup,
    ) -> usize {
        let at = match zero {
            Zero::Plate => ZeroAt::Plate,
            Zero::Feature(number) => match self.numbers.get(number.as_str()) {
                Some(feature) if setup.zeroed => ZeroAt::Feature(*feature),
                _ => ZeroAt::Unknown,
            },
        };
        let setting = ZeroSetting { orientation: o, at };
        // Two zeros that are not known need not be the same.
        let known = self.setting.get(&setting).filter(|_| at != ZeroAt::Unknown);
        if let Some(known) = known {
            return *known;
        }
        self.found.zeros.push(setting);
        let new = self.found.zeros.len() - 1;
        self.setting.insert(setting, new);
        if let ZeroAt::Feature(feature) = at {
            let instrument = orientation.instrument;
            let face = self.job.drawing.features.get(feature).is_some_and(|f| f.kind == Kind::Face);
            // A centre is set by two touches, unless the gauge works it out itself.
            let touched = match !face && setup.taken == Taken::Touches {
                true => Touched::middle(instrument, [1; 2]),
                false => Touched::single(instrument, 1),
            };
            self.push_known(FactKind::Zero, Target::Feature(feature), new, touched, None);
        }
        new
    }

    /// What rests on the plate, or on blocks of known height, where something counts from the plate.
    fn rests(&mut self) {
        let conditions = &self.job.plan.conditions;
        let stated = conditions.rest_standard.map(|u| u.length(self.job.drawing.unit).abs());
        for zero in 0..self.found.zeros.len() {
            let ZeroSetting { orientation: o, at: ZeroAt::Plate } = self.found.zeros[zero] else {
                continue;
            };
            let Some(orientation) = self.job.plan.orientations.get(o) else { continue };
            if orientation.rest.blocks.height().is_none() {
                continue;
            }
            let touched = Touched::single(orientation.instrument, 1);
            for target in self.found.carried_by[o].clone() {
                self.push_known(FactKind::Rest, target, zero, touched, stated);
            }
        }
    }

    fn push_known(
        &mut self,
        kind: FactKind,
        target: Target,
        zero: usize,
        touched: Touched,
        stated: Option<Length>,
    ) {
        // A stated uncertainty of what carries the part comes on top of that of the touch that sets zero.
        let touch = self.found.uncertainty.standard(touched).to_mm();
        let stated = stated.unwrap_or_default().to_mm();
        let standard = Length::mm(libm::hypot(touch, stated));
        let height = Length::ZERO;
        self.found.facts.push(Fact {
            kind,
            target,
            zero,
            height,
            travel: Length::ZERO,
            touched,
            standard,
            by_probe: 0.0,
        });
    }

    /// The errors that the facts have in common.
    fn common(&mut self, piece: &Piece) {
        let instruments = 0..self.job.plan.instruments.len();
        let (used, uncertainty) = (&self.found.used, &self.found.uncertainty);
        let scales =
            instruments.clone().map(|i| CommonError::Scale(i, growth_standard(self.job, i)));
        let temperature = CommonError::Temperature(temperature_standard(self.job, piece));
        let probes = instruments.map(|i| CommonError::Probe(i, uncertainty.probe(i).to_mm()));
        let is_used = |e: &CommonError| match e {
            CommonError::Scale(i, _) | CommonError::Probe(i, _) => used[*i],
            CommonError::Temperature(_) => true,
        };
        let common = scales.chain([temperature]).chain(probes);
        self.found.common = common.filter(|e| e.standard() > 0.0 && is_used(e)).collect();
    }
}
