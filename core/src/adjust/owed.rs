//! What a coordinate owes to each source of uncertainty.

use super::{Adjustment, Doubts, Part, Touched};
use crate::network::{LinearForm, Portion};

/// A source of uncertainty of a coordinate or a size. Instruments by their index in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// The touches of a gauge, by what is uncertain of them; those that set zeros not counted.
    Touch(Part, usize),
    /// Error of a gauge that grows with height.
    Growth(usize),
    /// Probe constant of a gauge.
    Probe(usize),
    /// Unknown difference of temperature between part and gauge.
    Temperature,
    /// Coefficients of expansion.
    Expansion,
    /// Squareness of the orientations that is only bounded.
    Squareness,
    /// The touches of a gauge that set zeros.
    Zero(usize),
    /// The size, where it makes a bonus.
    Size,
}

/// Part of a variance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Owed {
    /// What it is owed to.
    pub source: Source,
    /// The gauge whose repeatability it is, if it is one: an estimate with its own degrees of
    /// freedom.
    pub repeats: Option<usize>,
    /// Variance, mm².
    pub variance: f64,
}

impl Owed {
    /// The parts of a variance that touches of one source have, scaled.
    pub fn touches(
        doubts: &Doubts,
        of: Touched,
        scale: f64,
        source: impl Fn(Part) -> Source,
    ) -> impl Iterator<Item = Self> {
        doubts.variances(of).into_iter().map(move |(part, variance)| Self {
            source: source(part),
            repeats: (part == Part::Repeats).then_some(of.instrument),
            variance: scale * variance,
        })
    }

    /// Adds to a list in which every source stands once.
    pub fn add(self, list: &mut Vec<Self>) {
        if self.variance <= 0.0 {
            return;
        }
        let same = |o: &&mut Self| (o.source, o.repeats) == (self.source, self.repeats);
        match list.iter_mut().find(same) {
            Some(known) => known.variance += self.variance,
            None => list.push(self),
        }
    }
}

/// An error that many heights have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shared {
    Growth(usize),
    Probe(usize),
    /// How much of its variance the difference of temperature makes; the rest is expansion.
    Temperature(f64),
}

/// What the observations, offsets and systematic errors of the network are.
#[derive(Clone, Debug, Default)]
pub(super) struct MadeOf {
    /// Of each observation: its touches, and whether they set a zero.
    pub(super) observations: Vec<(Touched, bool)>,
    /// Of each offset: the touch that its zero was set by, where it is known from that.
    pub(super) offsets: Vec<Option<Touched>>,
    pub(super) systematics: Vec<Shared>,
}

/// The repeatabilities that were estimated from repeats, ready to be looked for in any result.
#[derive(Clone, Debug, Default)]
pub struct Repeats {
    /// Index of the gauge, and what part of every variance its repeats are.
    portions: Vec<(usize, Portion)>,
}

impl Adjustment {
    /// Covariance of a sum of coordinates with the error of an instrument's probe constant, stated
    /// less true, mm²: of these features along these vectors, which weigh x and y.
    #[must_use]
    pub fn with_probe(
        &self,
        of: &[(usize, [f64; 2])],
        instrument: usize,
        doubts: &Doubts,
    ) -> Option<f64> {
        let own = |shared: &Shared| *shared == Shared::Probe(instrument);
        let Some(probe) = self.made_of.systematics.iter().position(own) else { return Some(0.0) };
        // The part of an error in the result is its own standard uncertainty times a derivative.
        let part = self.adjusted.as_ref()?.systematic_part(&self.form(of), probe)?;
        Some(part * doubts.probe(instrument).to_mm())
    }

    /// Finds what of every height the repeatabilities are that have degrees of freedom.
    #[must_use]
    pub fn repeats(&self, doubts: &Doubts, gauges: usize) -> Repeats {
        let Some(adjusted) = &self.adjusted else { return Repeats::default() };
        let part = |of: Touched, gauge: usize| {
            let all = doubts.variances(of);
            let whole: f64 = all.iter().map(|(_, variance)| variance).sum();
            let own = all.iter().find(|(part, _)| *part == Part::Repeats && of.instrument == gauge);
            own.map_or(0.0, |(_, variance)| variance / whole)
        };
        let made_of = &self.made_of;
        let portions = (0..gauges)
            .filter(|gauge| doubts.degrees(*gauge).is_finite())
            .map(|gauge| {
                let observations: Vec<f64> =
                    made_of.observations.iter().map(|(of, _)| part(*of, gauge)).collect();
                let offset = |of: &Option<Touched>| of.map_or(0.0, |of| part(of, gauge));
                let offsets: Vec<f64> = made_of.offsets.iter().map(offset).collect();
                (gauge, adjusted.portion(&observations, &offsets))
            })
            .collect();
        Repeats { portions }
    }

    /// What a sum of coordinates, as in [`Self::owed`], of this variance owes to the repeats of each
    /// gauge, and all the rest together: enough for its degrees of freedom, and fast.
    #[must_use]
    pub fn owed_to_repeats(
        &self,
        of: &[(usize, [f64; 2])],
        variance: f64,
        repeats: &Repeats,
    ) -> Option<Vec<Owed>> {
        let adjusted = self.adjusted.as_ref()?;
        let form = self.form(of);
        let mut list = Vec::with_capacity(repeats.portions.len() + 1);
        let mut rest = variance;
        for (gauge, portion) in &repeats.portions {
            let variance = adjusted.portion_of(portion, &form)?;
            rest -= variance;
            let source = Source::Touch(Part::Repeats, *gauge);
            list.push(Owed { source, repeats: Some(*gauge), variance });
        }
        let source = Source::Touch(Part::Assumed, 0);
        list.push(Owed { source, repeats: None, variance: rest.max(0.0) });
        Some(list)
    }

    /// The sum of the points of the network that these features are. What is not in it, or not known
    /// from it, has no share: so it is in the frame.
    fn form(&self, of: &[(usize, [f64; 2])]) -> LinearForm {
        let points = of
            .iter()
            .filter(|(feature, _)| self.covariance(*feature, *feature).is_some())
            .filter_map(|(feature, w)| Some(((*self.point_of.get(*feature)?)?, *w)))
            .collect();
        LinearForm { points, angle_errors: Vec::new() }
    }

    /// What a sum of coordinates owes to each source: of these features along these vectors, which
    /// weigh x and y. The parts add up to its variance. `None` where nothing was adjusted.
    #[must_use]
    pub fn owed(&self, of: &[(usize, [f64; 2])], doubts: &Doubts) -> Option<Vec<Owed>> {
        let found = self.adjusted.as_ref()?.influence(&self.form(of))?;
        let mut list = Vec::new();
        let square = |part: &f64| part * part;
        let share = |of: Touched, part: &f64| {
            let whole = doubts.standard(of).to_mm();
            square(part) / (whole * whole)
        };
        for ((touched, zero), part) in self.made_of.observations.iter().zip(&found.observations) {
            let instrument = touched.instrument;
            let source = |part| match (zero, part) {
                (true, _) => Source::Zero(instrument),
                // There is one plate.
                (false, Part::Plate) => Source::Touch(part, 0),
                (false, _) => Source::Touch(part, instrument),
            };
            let scale = share(*touched, part);
            Owed::touches(doubts, *touched, scale, source).for_each(|o| o.add(&mut list));
        }
        for (touched, part) in self.made_of.offsets.iter().zip(&found.offsets) {
            let Some(touched) = touched else { continue };
            let source = |_| Source::Zero(touched.instrument);
            let scale = share(*touched, part);
            Owed::touches(doubts, *touched, scale, source).for_each(|o| o.add(&mut list));
        }
        let mut common = |source, variance| {
            Owed { source, repeats: None, variance }.add(&mut list);
        };
        for (shared, part) in self.made_of.systematics.iter().zip(&found.systematics) {
            match *shared {
                Shared::Growth(instrument) => common(Source::Growth(instrument), square(part)),
                Shared::Probe(instrument) => common(Source::Probe(instrument), square(part)),
                Shared::Temperature(difference) => {
                    common(Source::Temperature, difference * square(part));
                    common(Source::Expansion, (1.0 - difference) * square(part));
                }
            }
        }
        common(Source::Squareness, found.angle_errors.iter().map(square).sum());
        Some(list)
    }
}
