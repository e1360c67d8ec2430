//! From the readings of one piece to coordinates in the frames of its callouts.

use super::budget::{self, BudgetLine, Sources};
use super::{Measurement, Place, Problem, TouchDoubt, Weight};
use crate::adjust::{
    Adjustment, Common, Coordinates, Doubts, Height, Touched, adjust, chain_problems,
};
use crate::bench::{Contact, Setup, Warmth, touches};
use crate::frame::Frame;
use crate::job::{Feature, Job, Kind, Orientation, Piece, Reading, Taken, Touch, Zero};
use crate::quantity::{Axis, Length, Point};
use std::collections::HashSet;

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
            rests: Rests::OnKnown,
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
    ) -> (Length, Option<Length>) {
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
        (size * self.warmth, self.doubts.known(instrument).then_some(standard))
    }

    fn use_of(&mut self, instrument: usize) {
        if let Some(used) = self.used.get_mut(instrument) {
            *used = true;
        }
    }

    /// Adjusts all heights together, and says what is wrong with them.
    pub(super) fn adjust(&mut self, problems: &mut Vec<Problem>) {
        let bench = adjust(self.job, self.piece, &self.heights, &self.doubts, Common::ALL);
        if let Some(fault) = &bench.fault {
            problems.push(Problem {
                weight: Weight::Stops,
                place: Place::Drawing,
                says: format!("The heights could not be adjusted together: {fault}"),
            });
        }
        let hanging: Vec<&str> = self
            .job
            .drawing
            .features
            .iter()
            .enumerate()
            .filter(|(i, _)| bench.hangs(*i))
            .map(|(_, f)| f.number.as_str())
            .collect();
        if !hanging.is_empty() {
            problems.push(Problem {
                weight: Weight::Stops,
                place: Place::Drawing,
                says: format!(
                    "Nothing ties the heights of {} to the drawing: they tell differences only. Set a \
                     zero at a datum, touch a datum feature in the same orientation, or enter the \
                     height of the blocks.",
                    hanging.join(", ")
                ),
            });
        }
        self.bench = Some(bench);
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
            return Rests::OnKnown;
        }
        if known == 0 {
            return Rests::OnUnknown;
        }
        let doubts = self.doubts.without_unknown();
        let bench = adjust(self.job, self.piece, &self.heights, &doubts, Common::ALL);
        Rests::OnBoth(Box::new(Without { bench, frames: Vec::new() }))
    }

    /// Features of which a height fits so badly that it should be read again.
    pub(super) fn suspected(&self) -> Vec<usize> {
        let Some(bench) = &self.bench else { return Vec::new() };
        let suspects = &bench.suspects;
        let known = matches!(self.rests, Rests::OnKnown);
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

    /// Coordinates of a feature in a frame.
    pub(super) fn at(&self, feature: usize, frame: &Frame, basic: Point) -> Coordinates {
        let Some(bench) = &self.bench else { return Coordinates::default() };
        let at = bench.at(feature);
        let [x, y] = frame.place(at.x, at.y, [basic.x.to_mm(), basic.y.to_mm()]);
        let [along_x, along_y] = self.read(feature);
        Coordinates { x: x.filter(|_| along_x), y: y.filter(|_| along_y) }
    }

    /// Covariance of those coordinates, whatever it rests on.
    fn spread(&self, feature: usize, frame: &Frame) -> Option<[[f64; 2]; 2]> {
        let bench = self.bench.as_ref().filter(|_| self.read(feature) != [false; 2])?;
        spread(bench, feature, frame)
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
        let known = match &mut self.rests {
            Rests::OnKnown => true,
            Rests::OnUnknown => false,
            Rests::OnBoth(without) => {
                let letters = letters.unwrap_or(&self.letters);
                let frame = without.frame(self.job, letters);
                spread(&without.bench, feature, &frame).is_some_and(|other| alike(found, other))
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
        basic: Point,
    ) -> ([Option<Length>; 2], [bool; 2]) {
        let Some(bench) = &self.bench else { return Default::default() };
        let at = bench.at(feature);
        (frame.place(at.x, at.y, [basic.x.to_mm(), basic.y.to_mm()]), self.read(feature))
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
        let unit = self.job.drawing.unit;
        let basic = self.job.drawing.features.get(feature).map(|f| f.basic_point(unit));
        let basic = basic.unwrap_or_default();
        frame.place(at[0], at[1], [basic.x.to_mm(), basic.y.to_mm()])
    }

    /// What the coordinates of a feature in a frame are made of ([`Frame::terms`]).
    pub(super) fn terms(&self, frame: &Frame, feature: usize) -> Vec<(usize, [[f64; 2]; 2])> {
        let at = self.bench.as_ref().map(|b| b.at(feature)).unwrap_or_default();
        let mm = |l: Option<Length>| l.map_or(0.0, Length::to_mm);
        frame.terms(feature, [mm(at.x), mm(at.y)])
    }

    /// Covariance of Σ g·p over places p on the bench with the error of an instrument's probe
    /// constant, stated less true, mm².
    pub(super) fn with_probe(&self, g: &[(usize, [f64; 2])], instrument: usize) -> f64 {
        let Some(bench) = &self.bench else { return 0.0 };
        let one = |(feature, g): &(usize, [f64; 2])| {
            let [x, y] = bench.with_probe(*feature, instrument);
            g[0] * x + g[1] * y
        };
        g.iter().map(one).sum()
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

    /// Variance of Σ g·p over places p in a frame that stands still, mm², for features and the
    /// derivatives g along x and y, where it is known as a covariance is.
    pub(super) fn variance(&self, frame: &Frame, g: &[(usize, [f64; 2])]) -> Option<f64> {
        let bench = self.bench.as_ref()?;
        let g: Vec<(usize, [f64; 2])> = g.iter().map(|(f, g)| (*f, frame.to_bench(*g))).collect();
        let found = variance(bench, &g);
        let known = match &self.rests {
            Rests::OnKnown => true,
            Rests::OnUnknown => false,
            Rests::OnBoth(without) => {
                (variance(&without.bench, &g) - found).abs() <= NO_SHARE * found.abs()
            }
        };
        known.then_some(found)
    }

    /// What the result for a feature owes to each source: along its deviation where it has one, else
    /// in the direction in which it is known least.
    pub(super) fn budget(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
        basic: Point,
    ) -> Vec<BudgetLine> {
        self.adjust(&mut Vec::new());
        if self.covariance(feature, letters).is_none() {
            return Vec::new();
        }
        let mut with = |common: Common| {
            let bench = adjust(self.job, self.piece, &self.heights, &self.doubts, common);
            self.bench = Some(bench);
            self.frames.clear();
            let frame = self.frame(letters);
            Some((self.spread(feature, &frame)?, self.at(feature, &frame, basic)))
        };
        let Some((touches, _)) = with(Common::NONE) else { return Vec::new() };
        let only = |probe, scale, squareness| Common { probe, scale, squareness };
        let commons = [
            with(only(true, false, false)),
            with(only(false, true, false)),
            with(only(false, false, true)),
        ];
        let Some((_, at)) = with(Common::ALL) else { return Vec::new() };
        let instrument = self
            .heights
            .iter()
            .find(|h| h.feature == feature)
            .and_then(|h| self.job.plan.orientations.get(h.orientation))
            .map_or(0, |o| o.instrument);
        let deviation = [(at.x, basic.x), (at.y, basic.y)]
            .map(|(at, basic)| at.map_or(0.0, |at| (at - basic).to_mm()));
        let seen = [at.x.is_some(), at.y.is_some()];
        budget::lines(&Sources {
            job: self.job,
            piece: self.piece,
            doubts: &self.doubts,
            instrument,
            touches,
            commons: commons.map(|c| c.map(|(c, _)| c)),
            deviation,
            seen,
        })
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
                    .parts(instrument)
                    .into_iter()
                    .map(|(name, u, degrees)| {
                        (name.to_owned(), u, degrees.is_finite().then_some(degrees))
                    })
                    .collect(),
                standard: self.doubts.standard(Touched::single(instrument, 1)),
                known: self.doubts.known(instrument),
            })
            .collect();
        let known = matches!(self.rests, Rests::OnKnown);
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
    OnKnown,
    /// All of it.
    OnUnknown,
    /// On gauges of both kinds.
    OnBoth(Box<Without>),
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

fn spread(bench: &Adjustment, feature: usize, frame: &Frame) -> Option<[[f64; 2]; 2]> {
    let at = bench.at(feature);
    let mm = |l: Option<Length>| l.map_or(0.0, Length::to_mm);
    frame.covariance(bench, feature, [mm(at.x), mm(at.y)])
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
