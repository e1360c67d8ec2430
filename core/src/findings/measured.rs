//! From the readings of one piece to coordinates in the frames of its callouts.

use super::budget::{covering, effective};
use super::loose::loose;
use super::{Measurement, Place, Problem, TouchDoubt, Weight};
use crate::adjust::{
    Adjustment, Coordinates, Doubts, Height, Owed, Part, Repeats, Source, Touched, adjust,
    chain_problems,
};
use crate::bench::{Contact, Setup, Warmth, touches};
use crate::callout::K;
use crate::frame::Frame;
use crate::job::{Coverage, Feature, Job, Kind, Orientation, Piece, Reading, Taken, Touch, Zero};
use crate::quantity::{Axis, Length};
use rustc_hash::FxHashMap;
use std::collections::HashSet;

/// How uncertain a size is, and the touches that make it so.
#[derive(Clone, Copy, Debug)]
pub(super) struct SizeDoubt {
    pub(super) standard: Length,
    pub(super) touched: Touched,
}

/// One piece being worked out.
pub(super) struct Measured<'a> {
    job: &'a Job,
    piece: &'a Piece,
    doubts: Doubts,
    heights: Vec<Height>,
    /// For each instrument, whether anything was read with it.
    used: Vec<bool>,
    /// Readings whose zeros make no sense: number of the orientation and of the feature.
    lost: HashSet<(u32, String)>,
    /// For each feature, whether a height of it was read along x and along y: what only served as
    /// a zero was not.
    read: Vec<[bool; 2]>,
    /// How much longer a length is at 20 °C than it was read.
    warmth: f64,
    bench: Option<Adjustment>,
    rests: Rests,
    /// What the repeats have in every height, once it was asked for.
    repeats: Option<Repeats>,
    frames: Vec<(Vec<String>, Frame)>,
    letters: Vec<String>,
}

impl<'a> Measured<'a> {
    pub(super) fn of(job: &'a Job, piece: &'a Piece, problems: &mut Vec<Problem>) -> Self {
        let mut lost = HashSet::new();
        for orientation in &job.plan.orientations {
            let (says, features) = chain_problems(job, piece, orientation);
            problems.extend(says.into_iter().map(|says| Problem {
                weight: Weight::Stops,
                place: Place::Orientation(orientation.number),
                says,
            }));
            lost.extend(features.into_iter().map(|f| (orientation.number, f)));
        }
        Self {
            job,
            piece,
            doubts: Doubts::of(job, piece),
            heights: Vec::new(),
            used: vec![false; job.plan.instruments.len()],
            lost,
            read: vec![[false; 2]; job.drawing.features.len()],
            warmth: Warmth::of(job, piece).map_or(1.0, Warmth::factor),
            bench: None,
            rests: Rests::Known,
            repeats: None,
            frames: Vec::new(),
            letters: job.drawing.datums.iter().map(|d| d.letter.clone()).collect(),
        }
    }

    /// Takes in the coordinate that the readings of a feature in one orientation give.
    pub(super) fn height(
        &mut self,
        (index, feature): (usize, &Feature),
        (o, orientation): (usize, &Orientation),
        setup: Setup,
        reading: &Reading,
        along: Length,
    ) {
        if self.lost.contains(&(orientation.number, feature.number.clone())) {
            return;
        }
        let instrument = orientation.instrument;
        self.use_of(instrument);
        let n = |touch: Touch| reading.values(touch).len();
        let of = |touch: Touch| Touched::single(instrument, n(touch));
        let (touched, contact) = match (feature.kind, setup.taken) {
            (Kind::Face, _) => {
                let contact = touches(feature, orientation).first().map(|(_, c)| *c);
                (of(Touch::Face), contact.unwrap_or(Contact::FromAbove))
            }
            // What the gauge works out itself is one reading, whatever it touched for it.
            (_, Taken::CentreAndSize) => (of(Touch::Centre), Contact::Centre),
            _ => {
                let two = Touched::middle(instrument, [n(Touch::Low), n(Touch::High)]);
                (two, Contact::Centre)
            }
        };
        let zero = reading.zero_in(orientation).clone();
        // Lengths of the part are corrected, blocks are not.
        let blocks = match (&zero, orientation.rest.blocks.height()) {
            (Zero::Plate, Some(height)) => height.length(setup.unit),
            _ => Length::ZERO,
        };
        let height = along - setup.base;
        let height = (height - blocks) * self.warmth + blocks;
        for (read, axis) in self.read[index].iter_mut().zip([Axis::X, Axis::Y]) {
            *read |= setup.up.component(axis).abs() > 1e-9;
        }
        self.heights.push(Height {
            feature: index,
            orientation: o,
            zero,
            setup,
            height,
            touched,
            probe: contact.lacks() - setup.zero_contact.lacks(),
        });
    }

    /// A size at 20 °C and its standard uncertainty, u² = u²(down) + u²(up) + u²(K), where that of
    /// the gauge is known.
    pub(super) fn size(
        &mut self,
        orientation: &Orientation,
        setup: &Setup,
        reading: &Reading,
        size: Length,
    ) -> (Length, Option<SizeDoubt>) {
        let instrument = orientation.instrument;
        self.use_of(instrument);
        let n = |touch: Touch| reading.values(touch).len();
        let touched = match setup.taken {
            Taken::Touches => Touched::difference(instrument, [n(Touch::Low), n(Touch::High)]),
            Taken::CentreAndSize => Touched::single(instrument, n(Touch::Size)),
        };
        let (own, k) =
            (self.doubts.standard(touched).to_mm(), self.doubts.probe(instrument).to_mm());
        let standard = Length::mm((own * own + k * k).sqrt());
        let known = self.doubts.known(instrument);
        (size * self.warmth, known.then_some(SizeDoubt { standard, touched }))
    }

    fn use_of(&mut self, instrument: usize) {
        if let Some(used) = self.used.get_mut(instrument) {
            *used = true;
        }
    }

    /// Adjusts all heights together, and says what is wrong with them.
    pub(super) fn adjust(&mut self, problems: &mut Vec<Problem>) {
        let bench = adjust(self.job, self.piece, &self.heights, &self.doubts);
        if let Some(fault) = &bench.fault {
            problems.push(Problem {
                weight: Weight::Stops,
                place: Place::Drawing,
                says: format!("The heights could not be adjusted together: {fault}"),
            });
        }
        problems.extend(loose(self.job, &bench));
        self.bench = Some(bench);
        self.repeats = None;
        self.rests = self.rest();
    }

    fn rest(&self) -> Rests {
        let plan = &self.job.plan;
        let of = |h: &Height| {
            let orientation = plan.orientations.get(h.orientation);
            orientation.is_some_and(|o| self.doubts.known(o.instrument))
        };
        let known = self.heights.iter().filter(|h| of(h)).count();
        if known == self.heights.len() {
            return Rests::Known;
        }
        if known == 0 {
            return Rests::Unknown;
        }
        let doubts = self.doubts.without_unknown();
        let bench = adjust(self.job, self.piece, &self.heights, &doubts);
        Rests::Both(Box::new(Without { bench, frames: Vec::new() }))
    }

    /// Features of which a height fits so badly that it should be read again.
    pub(super) fn suspected(&self) -> Vec<usize> {
        let Some(bench) = &self.bench else { return Vec::new() };
        let suspects = &bench.suspects;
        let known = matches!(self.rests, Rests::Known);
        super::remarks::alike(suspects).filter(|_| known).map(|m| m.feature).collect()
    }

    fn read(&self, feature: usize) -> [bool; 2] {
        self.read.get(feature).copied().unwrap_or_default()
    }

    /// The frame of these datum letters, of all letters of the drawing where a feature has no
    /// callout.
    pub(super) fn frame(&mut self, letters: Option<&[String]>) -> Frame {
        let Some(bench) = &self.bench else { return Frame::BENCH };
        let wanted = letters.unwrap_or(&self.letters);
        if let Some((_, frame)) = self.frames.iter().find(|(l, _)| l == wanted) {
            return frame.clone();
        }
        let made = Frame::of(self.job, wanted, bench);
        self.frames.push((wanted.to_vec(), made.clone()));
        made
    }

    /// Coordinates of a feature by the drawing, as far as it gives them.
    fn basic(&self, feature: usize) -> [Option<Length>; 2] {
        let of = self.job.drawing.features.get(feature);
        [Axis::X, Axis::Y].map(|axis| of?.basic(axis, self.job.drawing.unit))
    }

    /// Coordinates of a feature in a frame.
    pub(super) fn at(&self, feature: usize, frame: &Frame) -> Coordinates {
        let Some(bench) = &self.bench else { return Coordinates::default() };
        let at = bench.at(feature);
        let [x, y] = frame.place(at.x, at.y, self.basic(feature));
        let [along_x, along_y] = self.read(feature);
        Coordinates { x: x.filter(|_| along_x), y: y.filter(|_| along_y) }
    }

    /// Covariance of those coordinates, whatever it rests on.
    fn spread(&self, feature: usize, frame: &Frame) -> Option<[[f64; 2]; 2]> {
        let bench = self.bench.as_ref().filter(|_| self.read(feature) != [false; 2])?;
        frame.covariance(bench, feature, self.basic(feature))
    }

    /// Covariance of the coordinates of a feature in the frame of these letters, where it is known:
    /// where no gauge of which nothing is known had a say in them, through the feature itself, the
    /// datum features, the zeros or the other orientations.
    pub(super) fn covariance(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
    ) -> Option<[[f64; 2]; 2]> {
        let frame = self.frame(letters);
        let found = self.spread(feature, &frame)?;
        let basic = self.basic(feature);
        let known = match &mut self.rests {
            Rests::Known => true,
            Rests::Unknown => false,
            Rests::Both(without) => {
                let letters = letters.unwrap_or(&self.letters);
                let frame = without.frame(self.job, letters);
                frame
                    .covariance(&without.bench, feature, basic)
                    .is_some_and(|other| alike(found, other))
            }
        };
        known.then_some(found)
    }

    /// Coordinates of a feature in a frame, also where it only served as what others were counted
    /// from; and whether x and y were read.
    pub(super) fn counted(
        &self,
        feature: usize,
        frame: &Frame,
    ) -> ([Option<Length>; 2], [bool; 2]) {
        let Some(bench) = &self.bench else { return Default::default() };
        let at = bench.at(feature);
        (frame.place(at.x, at.y, self.basic(feature)), self.read(feature))
    }

    /// Whether the feature is a face that carried the part where a height was read.
    pub(super) fn stands_on(&self, feature: usize) -> bool {
        self.bench.as_ref().is_some_and(|b| b.stands_on(feature))
    }

    /// A place on the bench, of what a feature lies on, in a frame.
    pub(super) fn placed(
        &self,
        at: [Option<Length>; 2],
        frame: &Frame,
        feature: usize,
    ) -> [Option<Length>; 2] {
        frame.place(at[0], at[1], self.basic(feature))
    }

    /// Derivatives by places in a frame, as derivatives by places on the bench, those of its datum
    /// features among them ([`Frame::terms`]).
    pub(super) fn on_bench(
        &self,
        frame: &Frame,
        g: &[(usize, [f64; 2])],
    ) -> Option<Vec<(usize, [f64; 2])>> {
        let bench = self.bench.as_ref()?;
        let mut sum: Vec<(usize, [f64; 2])> = Vec::new();
        let mut at: FxHashMap<usize, usize> = FxHashMap::default();
        for (feature, g) in g {
            for (term, m) in frame.terms(bench, *feature, self.basic(*feature))? {
                let by = [0, 1].map(|k| g[0] * m[0][k] + g[1] * m[1][k]);
                let i = *at.entry(term).or_insert_with(|| {
                    sum.push((term, [0.0; 2]));
                    sum.len() - 1
                });
                if let Some((_, old)) = sum.get_mut(i) {
                    *old = [old[0] + by[0], old[1] + by[1]];
                }
            }
        }
        Some(sum)
    }

    /// Covariance of Σ g·p over places p on the bench with the error of an instrument's probe
    /// constant, stated less true, mm².
    pub(super) fn with_probe(&self, g: &[(usize, [f64; 2])], instrument: usize) -> Option<f64> {
        self.bench.as_ref()?.with_probe(g, instrument, &self.doubts)
    }

    /// Standard uncertainty of the probe constant of an instrument.
    pub(super) fn probe(&self, instrument: usize) -> Length {
        self.doubts.probe(instrument)
    }

    /// Standard uncertainty of a single touch, where that of the instrument is known.
    pub(super) fn touch(&self, instrument: usize) -> Option<Length> {
        let known = self.doubts.known(instrument);
        known.then(|| self.doubts.standard(Touched::single(instrument, 1)))
    }

    /// Variance of Σ g·p over places p on the bench, mm², for features and the derivatives g along x
    /// and y, where it is known as a covariance is.
    pub(super) fn variance(&self, g: &[(usize, [f64; 2])]) -> Option<f64> {
        let bench = self.bench.as_ref()?;
        let found = variance(bench, g);
        let known = match &self.rests {
            Rests::Known => true,
            Rests::Unknown => false,
            Rests::Both(without) => {
                (variance(&without.bench, g) - found).abs() <= NO_SHARE * found.abs()
            }
        };
        known.then_some(found)
    }

    /// What the coordinate of a feature along `e`, in the frame of these letters, owes to each
    /// source; its parts add up to its variance.
    pub(super) fn owed(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
        e: [f64; 2],
    ) -> Option<Vec<Owed>> {
        let terms = self.weights(feature, letters, e)?;
        self.bench.as_ref()?.owed(&terms, &self.doubts)
    }

    /// The same, but only what is owed to repeats apart from the rest.
    pub(super) fn owed_to_repeats(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
        e: [f64; 2],
    ) -> Option<Vec<Owed>> {
        let terms = self.weights(feature, letters, e)?;
        let frame = self.frame(letters);
        let c = self.spread(feature, &frame)?;
        let variance =
            e[0] * e[0] * c[0][0] + e[0] * e[1] * (c[0][1] + c[1][0]) + e[1] * e[1] * c[1][1];
        let bench = self.bench.as_ref()?;
        let gauges = self.job.plan.instruments.len();
        let repeats = self.repeats.get_or_insert_with(|| bench.repeats(&self.doubts, gauges));
        bench.owed_to_repeats(&terms, variance, repeats)
    }

    /// The coordinate of a feature along `e` as a sum of coordinates on the bench: features, and what
    /// weighs their x and y.
    fn weights(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
        e: [f64; 2],
    ) -> Option<Vec<(usize, [f64; 2])>> {
        let frame = self.frame(letters);
        let along = |g: [[f64; 2]; 2]| [0, 1].map(|n| e[0] * g[0][n] + e[1] * g[1][n]);
        let terms = frame.terms(self.bench.as_ref()?, feature, self.basic(feature))?;
        Some(terms.into_iter().map(|(feature, g)| (feature, along(g))).collect())
    }

    /// What a size owes to each source, all under the name of the size.
    pub(super) fn owed_by_size(&self, touched: Touched) -> Vec<Owed> {
        let mut list = Vec::new();
        Owed::touches(&self.doubts, touched, 1.0, |_| Source::Size).for_each(|o| o.add(&mut list));
        let k = self.doubts.probe(touched.instrument).to_mm();
        Owed { source: Source::Size, repeats: None, variance: k * k }.add(&mut list);
        list
    }

    /// The coverage factor that the plan asks for, of what is owed so. Only what comes from few
    /// repeats needs to be looked into.
    pub(super) fn coverage(&mut self, owed: impl FnOnce(&mut Self) -> Option<Vec<Owed>>) -> f64 {
        let owed = if self.looks_into_coverage() { owed(self) } else { None };
        self.covering(owed.as_deref())
    }

    /// Whether the coverage factor hangs on what something is owed to.
    pub(super) fn looks_into_coverage(&self) -> bool {
        let mut gauges = 0..self.job.plan.instruments.len();
        self.job.plan.coverage == Coverage::Effective
            && gauges.any(|i| self.doubts.degrees(i).is_finite())
    }

    /// The coverage factor of what is owed so.
    pub(super) fn covering(&self, owed: Option<&[Owed]>) -> f64 {
        owed.map_or(K, |owed| covering(effective(owed, &self.doubts)))
    }

    /// What a sum of places on the bench owes to each source.
    pub(super) fn owed_on_bench(&self, g: &[(usize, [f64; 2])]) -> Option<Vec<Owed>> {
        self.bench.as_ref()?.owed(g, &self.doubts)
    }

    pub(super) const fn doubts(&self) -> &Doubts {
        &self.doubts
    }

    /// What the readings say of the measurement itself.
    pub(super) fn finish(self) -> Measurement {
        let Some(bench) = self.bench else { return Measurement::default() };
        let touch: Vec<TouchDoubt> = (0..)
            .zip(&self.used)
            .filter(|(_, used)| **used)
            .map(|(instrument, _)| TouchDoubt {
                instrument,
                parts: self
                    .doubts
                    .variances(Touched::single(instrument, 1))
                    .into_iter()
                    .map(|(part, variance)| {
                        let degrees = match part {
                            Part::Repeats => self.doubts.degrees(instrument),
                            _ => f64::INFINITY,
                        };
                        let u = Length::mm(variance.sqrt());
                        (part.name().to_owned(), u, degrees.is_finite().then_some(degrees))
                    })
                    .collect(),
                standard: self.doubts.standard(Touched::single(instrument, 1)),
                known: self.doubts.known(instrument),
            })
            .collect();
        let known = matches!(self.rests, Rests::Known);
        Measurement {
            degrees: bench.degrees,
            chi_square: bench.chi_square,
            probability: bench.probability().filter(|_| known),
            suspects: if known { bench.suspects } else { Vec::new() },
            doubtful_zeros: if known { bench.doubtful_zeros } else { Vec::new() },
            angles: bench.angles,
            misfits: bench.misfits,
            touch,
        }
    }
}

/// How far what was measured rests on gauges of which neither error limit nor repeatability is
/// known.
enum Rests {
    /// Not at all.
    Known,
    /// All of it.
    Unknown,
    /// On gauges of both kinds.
    Both(Box<Without>),
}

/// The same readings with next to no weight for those of unknown gauges.
struct Without {
    bench: Adjustment,
    frames: Vec<(Vec<String>, Frame)>,
}

impl Without {
    fn frame(&mut self, job: &Job, letters: &[String]) -> Frame {
        if let Some((_, frame)) = self.frames.iter().find(|(l, _)| l == letters) {
            return frame.clone();
        }
        let frame = Frame::of(job, letters, &self.bench);
        self.frames.push((letters.to_vec(), frame.clone()));
        frame
    }
}

/// Variance of Σ g·p over places on the bench.
fn variance(bench: &Adjustment, g: &[(usize, [f64; 2])]) -> f64 {
    let mut sum = 0.0;
    for (a, ga) in g {
        for (b, gb) in g {
            // What is held has no uncertainty.
            let Some(c) = bench.covariance(*a, *b) else { continue };
            sum += ga[0] * (c[0][0] * gb[0] + c[0][1] * gb[1])
                + ga[1] * (c[1][0] * gb[0] + c[1][1] * gb[1]);
        }
    }
    sum
}

/// A weighted mean is less uncertain for every reading that has a share in it. Where leaving some
/// out changes a variance by less than this part, they have none but by rounding and curvature.
const NO_SHARE: f64 = 1e-3;

fn alike(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> bool {
    [0, 1].into_iter().all(|i| {
        let of = (a[i][i] - b[i][i]).abs();
        of <= NO_SHARE * a[i][i].abs()
    })
}
