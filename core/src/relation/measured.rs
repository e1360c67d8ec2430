//! A feature as a relation sees it.

use super::Reason;
use crate::chance::SizeRef;
use crate::feature::{Kind, Modifier};
use crate::quantity::{Axis, Side};

/// What is known of a feature that a relation names. Coordinates in the frame of the drawing's datums.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredFeature {
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
    /// Smallest and largest of the sizes measured.
    pub sizes: Option<[MeasuredSize; 2]>,
    /// Whether the drawing gives limits of size.
    pub has_limits: bool,
}

/// A size as measured in one orientation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredSize {
    /// The size, mm.
    pub mm: f64,
    /// Number of the orientation.
    pub orientation: u32,
}

/// From the middle of a feature to its surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Half {
    /// Half of the size, mm; zero for a face.
    pub mm: f64,
    /// The size that it is half of; none for a face.
    pub of: Option<SizeRef>,
}

const fn index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
    }
}

impl MeasuredFeature {
    /// Returns its coordinate along an axis.
    ///
    /// # Errors
    /// It has none there, or it was not measured.
    pub fn along(&self, axis: Axis) -> Result<f64, Reason> {
        self.has_place(axis)?;
        self.at[index(axis)].ok_or_else(|| self.lacks(axis))
    }

    /// Returns its axis, both coordinates.
    ///
    /// # Errors
    /// It is not round, or a coordinate was not measured.
    pub fn axis(&self) -> Result<[f64; 2], Reason> {
        self.round()?;
        match self.at {
            [Some(x), Some(y)] => Ok([x, y]),
            _ => {
                let missing = [Axis::X, Axis::Y].into_iter();
                let missing = missing.filter(|axis| self.at[index(*axis)].is_none());
                Err(Reason::NotMeasured(missing.map(|a| self.coordinate(a)).collect()))
            }
        }
    }

    /// Returns its basic place.
    ///
    /// # Errors
    /// A basic coordinate is missing.
    pub fn basic_axis(&self) -> Result<[f64; 2], Reason> {
        match self.basic {
            [Some(x), Some(y)] => Ok([x, y]),
            _ => Err(Reason::NominalMissing(self.name.clone())),
        }
    }

    /// Checks that it is round.
    ///
    /// # Errors
    /// It is not.
    pub fn round(&self) -> Result<(), Reason> {
        match self.kind.is_round() {
            true => Ok(()),
            false => Err(Reason::WrongKind(self.name.clone(), "hole or boss")),
        }
    }

    /// Returns where a face looks.
    ///
    /// # Errors
    /// It is no face, or it looks nowhere yet.
    pub fn face(&self) -> Result<Side, Reason> {
        self.looks
            .filter(|_| self.kind == Kind::Face)
            .ok_or_else(|| Reason::WrongKind(self.name.clone(), "face that looks to a side"))
    }

    fn has_place(&self, axis: Axis) -> Result<(), Reason> {
        match (self.kind.is_round(), self.plane) {
            (true, _) => Ok(()),
            (false, Some(own)) if own == axis => Ok(()),
            (false, _) => Err(Reason::NoPlace(self.name.clone(), axis)),
        }
    }

    /// Whether its coordinate along an axis was read.
    #[must_use]
    pub const fn was_read(&self, axis: Axis) -> bool {
        self.read[index(axis)]
    }

    /// Returns what its coordinate is called: `x of hole 3`.
    #[must_use]
    pub fn coordinate(&self, axis: Axis) -> String {
        format!("{} of {}", axis.letter().to_lowercase(), self.name)
    }

    fn lacks(&self, axis: Axis) -> Reason {
        Reason::missing(self.coordinate(axis))
    }

    /// Returns half of its smallest and of its largest size: nothing for a face.
    ///
    /// # Errors
    /// No size was measured.
    pub fn halves(&self) -> Result<[Half; 2], Reason> {
        if self.kind == Kind::Face {
            return Ok([Half { mm: 0.0, of: None }; 2]);
        }
        let sizes = self.sizes.ok_or_else(|| Reason::missing(format!("size of {}", self.name)))?;
        Ok(sizes.map(|size| Half { mm: 0.5 * size.mm, of: Some(self.size_ref(size)) }))
    }

    /// Returns the size that counts for the bonus at this material condition: the one with most
    /// material, at LMC the one with least.
    #[must_use]
    pub fn size_at(&self, modifier: Modifier) -> Option<SizeRef> {
        let [smallest, largest] = self.sizes?;
        let takes_smallest = self.kind.is_internal() != (modifier == Modifier::Lmc);
        Some(self.size_ref(if takes_smallest { smallest } else { largest }))
    }

    const fn size_ref(&self, size: MeasuredSize) -> SizeRef {
        SizeRef { feature: self.index, orientation: size.orientation }
    }

    /// Checks that this or the other one was read along an axis: two features that only served as
    /// what others are counted from say nothing.
    ///
    /// # Errors
    /// Neither was read along this axis.
    pub fn one_read(&self, other: Option<&Self>, axis: Axis) -> Result<(), Reason> {
        let i = index(axis);
        if self.read[i] || other.is_some_and(|o| o.read[i]) {
            return Ok(());
        }
        Err(self.lacks(axis))
    }
}
