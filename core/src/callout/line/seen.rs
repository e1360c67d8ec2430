//! A feature as a line sees it.

use super::LineUnjudged;
use crate::job::Kind;
use crate::quantity::{Axis, Side};

/// What is known of a feature that a line names. Coordinates in the frame of the drawing's datums.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// Its index in the drawing.
    pub index: usize,
    /// What it is called: `hole 3`.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// The axis along which a face, slot or tab has its one coordinate; none for what is round.
    pub plane: Option<Axis>,
    /// Where a face looks.
    pub looks: Option<Side>,
    /// X and Y as measured, in mm; what the readings were counted from is where the drawing has it.
    pub at: [Option<f64>; 2],
    /// Whether x and y were read, and did not only serve as what others were counted from.
    pub read: [bool; 2],
    /// Basic X and Y, in mm.
    pub basic: [Option<f64>; 2],
    /// Smallest and largest of the sizes measured, in mm.
    pub sizes: Option<[f64; 2]>,
}

/// Half of a size, with the derivative of the figure by the size itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Half {
    /// Half of the size, mm; zero for a face.
    pub mm: f64,
    /// 1/2 for what has a size, 0 for a face.
    pub by_size: f64,
}

const fn index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
    }
}

impl Seen {
    /// Its coordinate along an axis.
    ///
    /// # Errors
    /// It has none there, or it was not measured.
    pub fn along(&self, axis: Axis) -> Result<f64, LineUnjudged> {
        self.has_place(axis)?;
        self.at[index(axis)].ok_or_else(|| self.lacks(axis))
    }

    /// Its axis, both coordinates.
    ///
    /// # Errors
    /// It is not round, or a coordinate was not measured.
    pub fn axis(&self) -> Result<[f64; 2], LineUnjudged> {
        self.round()?;
        match self.at {
            [Some(x), Some(y)] => Ok([x, y]),
            _ => {
                let missing = [Axis::X, Axis::Y].into_iter();
                let missing = missing.filter(|axis| self.at[index(*axis)].is_none());
                Err(LineUnjudged::NotMeasured(missing.map(|a| self.coordinate(a)).collect()))
            }
        }
    }

    /// Its basic place.
    ///
    /// # Errors
    /// A basic coordinate is missing.
    pub fn basic_axis(&self) -> Result<[f64; 2], LineUnjudged> {
        match self.basic {
            [Some(x), Some(y)] => Ok([x, y]),
            _ => Err(LineUnjudged::NominalMissing(self.name.clone())),
        }
    }

    /// # Errors
    /// It is not round.
    pub fn round(&self) -> Result<(), LineUnjudged> {
        match self.kind.is_round() {
            true => Ok(()),
            false => Err(LineUnjudged::WrongKind(self.name.clone(), "hole or boss")),
        }
    }

    /// # Errors
    /// It is no face, or it looks nowhere yet.
    pub fn face(&self) -> Result<Side, LineUnjudged> {
        self.looks
            .filter(|_| self.kind == Kind::Face)
            .ok_or_else(|| LineUnjudged::WrongKind(self.name.clone(), "face that looks to a side"))
    }

    fn has_place(&self, axis: Axis) -> Result<(), LineUnjudged> {
        match (self.kind.is_round(), self.plane) {
            (true, _) => Ok(()),
            (false, Some(own)) if own == axis => Ok(()),
            (false, _) => Err(LineUnjudged::NoPlace(self.name.clone(), axis)),
        }
    }

    /// `x of hole 3`.
    #[must_use]
    pub fn coordinate(&self, axis: Axis) -> String {
        format!("{} of {}", axis.letter().to_lowercase(), self.name)
    }

    fn lacks(&self, axis: Axis) -> LineUnjudged {
        LineUnjudged::NotMeasured(vec![self.coordinate(axis)])
    }

    /// Half of its smallest and of its largest size: nothing for a face.
    ///
    /// # Errors
    /// No size was measured.
    pub fn halves(&self) -> Result<[Half; 2], LineUnjudged> {
        if self.kind == Kind::Face {
            return Ok([Half { mm: 0.0, by_size: 0.0 }; 2]);
        }
        let sizes = self
            .sizes
            .ok_or_else(|| LineUnjudged::NotMeasured(vec![format!("size of {}", self.name)]))?;
        Ok(sizes.map(|size| Half { mm: 0.5 * size, by_size: 0.5 }))
    }

    /// What is needed of both was measured of one at least: two features that only served as what
    /// others are counted from say nothing.
    ///
    /// # Errors
    /// Neither was read along this axis.
    pub fn one_read(&self, other: Option<&Self>, axis: Axis) -> Result<(), LineUnjudged> {
        let i = index(axis);
        if self.read[i] || other.is_some_and(|o| o.read[i]) {
            return Ok(());
        }
        Err(self.lacks(axis))
    }
}

/// Two lists of what is missing in one, so that all of it is said at once.
pub(super) fn both<A, B>(
    a: Result<A, LineUnjudged>,
    b: Result<B, LineUnjudged>,
) -> Result<(A, B), LineUnjudged> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(LineUnjudged::NotMeasured(mut a)), Err(LineUnjudged::NotMeasured(b))) => {
            a.extend(b);
            Err(LineUnjudged::NotMeasured(a))
        }
        (Err(LineUnjudged::NotMeasured(_)), Err(why)) | (Err(why), _) | (_, Err(why)) => Err(why),
    }
}
