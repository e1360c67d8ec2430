//! From the readings of one piece to coordinates in the frames of its callouts.

use super::budget::{self, BudgetLine, Sources};
use super::loose::loose;
use super::{Measurement, Place, Problem, TouchDoubt, Weight};
use crate::adjust::{Adjustment, Common, Coordinates, Doubts, Height, adjust, chain_problems};
use crate::bench::{Contact, Setup, touches};
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
    /// Readings whose zeros make no sense: number of the orientation and of the feature.
    lost: HashSet<(u32, String)>,
    /// For each feature, whether the uncertainty of all that was read of it is known.
    known: Vec<bool>,
    /// For each feature, whether a height of it was read along x and along y: what only served as
    /// a zero was not.
    read: Vec<[bool; 2]>,
    /// How much longer a length is at 20 °C than it was read.
    warmth: f64,
    bench: Option<Adjustment>,
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
            lost,
            known: vec![true; job.drawing.features.len()],
            read: vec![[false; 2]; job.drawing.features.len()],
            warmth: warmth(job, piece),
            bench: None,
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
        let of = |touch: Touch| self.doubts.touch(instrument, reading.values(touch).len());
        let (standard, contact) = match (feature.kind, setup.taken) {
            (Kind::Face, _) => {
                let contact = touches(feature, orientation).first().map(|(_, c)| *c);
                (of(Touch::Face), contact.unwrap_or(Contact::FromAbove))
            }
            // What the gauge works out itself is one reading, whatever it touched for it.
            (_, Taken::CentreAndSize) => (of(Touch::Centre), Contact::Centre),
            _ => {
                let (low, high) = (of(Touch::Low).to_mm(), of(Touch::High).to_mm());
                (Length::mm(0.5 * (low * low + high * high).sqrt()), Contact::Centre)
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
        self.known[index] &= self.doubts.known(instrument);
        self.heights.push(Height {
            feature: index,
            orientation: o,
            zero,
            setup,
            height,
            standard,
            probe: contact.lacks() - setup.zero_contact.lacks(),
        });
    }

    /// A size at 20 °C and its standard uncertainty: u² = u²(down) + u²(up) + u²(K).
    pub(super) fn size(
        &self,
        orientation: &Orientation,
        setup: &Setup,
        reading: &Reading,
        size: Length,
    ) -> (Length, Length) {
        let instrument = orientation.instrument;
        let square = |touch: Touch| {
            let u = self.doubts.touch(instrument, reading.values(touch).len()).to_mm();
            u * u
        };
        let touched = match setup.taken {
            Taken::Touches => square(Touch::Low) + square(Touch::High),
            Taken::CentreAndSize => square(Touch::Size),
        };
        let k = self.doubts.probe(instrument).to_mm();
        (size * self.warmth, Length::mm((touched + k * k).sqrt()))
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
        problems.extend(loose(self.job, &bench));
        self.bench = Some(bench);
    }

    /// Features of which a height fits so badly that it should be read again.
    pub(super) fn suspected(&self) -> Vec<usize> {
        let Some(bench) = &self.bench else { return Vec::new() };
        let suspects = &bench.suspects;
        let known = suspects.iter().all(|m| self.known(m.feature));
        super::remarks::alike(suspects).filter(|_| known).map(|m| m.feature).collect()
    }

    /// Whether the uncertainty of what was read of a feature is known.
    pub(super) fn known(&self, feature: usize) -> bool {
        self.known.get(feature).copied().unwrap_or(false)
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

    /// Covariance of those coordinates.
    pub(super) fn covariance(&self, feature: usize, frame: &Frame) -> Option<[[f64; 2]; 2]> {
        let bench = self.bench.as_ref().filter(|_| self.read(feature) != [false; 2])?;
        frame.covariance(bench, feature, self.basic(feature))
    }

    /// What the result for a feature owes to each source: along its deviation where it has one, else
    /// in the direction in which it is known least.
    pub(super) fn budget(
        &mut self,
        feature: usize,
        letters: Option<&[String]>,
        basic: Point,
    ) -> Vec<BudgetLine> {
        let mut with = |common: Common| {
            let bench = adjust(self.job, self.piece, &self.heights, &self.doubts, common);
            self.bench = Some(bench);
            self.frames.clear();
            let frame = self.frame(letters);
            Some((self.covariance(feature, &frame)?, self.at(feature, &frame)))
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
        let plan = &self.job.plan;
        let used = |instrument: usize| {
            self.heights.iter().any(|h| {
                plan.orientations.get(h.orientation).is_some_and(|o| o.instrument == instrument)
            })
        };
        let touch: Vec<TouchDoubt> = (0..plan.instruments.len())
            .filter(|i| used(*i))
            .map(|instrument| TouchDoubt {
                instrument,
                parts: self
                    .doubts
                    .parts(instrument)
                    .into_iter()
                    .map(|(name, u, degrees)| {
                        (name.to_owned(), u, degrees.is_finite().then_some(degrees))
                    })
                    .collect(),
                standard: self.doubts.touch(instrument, 1),
                known: self.doubts.known(instrument),
            })
            .collect();
        let known = touch.iter().all(|t| t.known);
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

/// L20 = reading (1 + a_g (t_g − 20)) / (1 + a_p (t_p − 20)), the coefficients in 1/K; 1 where
/// they or the temperature of the part are not given. Without its own, the gauge has the
/// temperature of the part.
fn warmth(job: &Job, piece: &Piece) -> f64 {
    let c = &job.plan.conditions;
    let (Some(part), Some(gauge), Some(t)) =
        (c.part_expansion, c.gauge_expansion, piece.part_celsius)
    else {
        return 1.0;
    };
    let scale = piece.gauge_celsius.unwrap_or(t);
    (1.0 + gauge * 1e-6 * (scale - 20.0)) / (1.0 + part * 1e-6 * (t - 20.0))
}
