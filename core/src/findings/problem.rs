//! What is wrong or doubtful, where, and what to do. Problems are reported all together. What is said
//! of each stands in [`crate::show`].

use crate::adjust::AdjustmentFault;
use crate::bench::{ChainFault, ProbeDoubt, SetupProblem};
use crate::grade::Class;
use crate::job::{DrawingText, Kind, NotUnderstood};
use crate::notation::Figures;
use crate::quantity::{Axis, Length, Side};
use serde::Serialize;

/// Something wrong or doubtful. As JSON it has its sentence with it, in `says`.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// How much it matters.
    pub weight: Weight,
    /// Where.
    pub place: Place,
    /// What it is.
    pub what: ProblemKind,
}

impl Problem {
    pub(super) const fn stops(place: Place, what: ProblemKind) -> Self {
        Self { weight: Weight::Stops, place, what }
    }

    pub(super) const fn warns(place: Place, what: ProblemKind) -> Self {
        Self { weight: Weight::Warns, place, what }
    }
}

/// How much a problem matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Something cannot be worked out until this is mended.
    Stops,
    /// The results stand, and may not mean what one thinks.
    Warns,
}

/// Where a problem is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The drawing as a whole.
    Drawing,
    /// A feature of the drawing, by its index.
    Feature(usize),
    /// An orientation, by its number.
    Orientation(u32),
    /// A piece, by its index.
    Piece(usize),
}

/// Features that a problem names: the first few by name (`hole 3`), the others counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// Those that are named, in their order.
    pub features: Vec<String>,
    /// How many more there are.
    pub more: usize,
}

/// What is wrong or doubtful. Features are given by their name, `hole 3`, unless a number is said;
/// orientations by their number. Lengths come with the figures that they are to be written in.
#[derive(Clone, Debug, PartialEq)]
pub enum ProblemKind {
    /// Something in the drawing.
    Drawing(DrawingProblem),
    /// Something in the data of gauges and pieces.
    Plan(PlanProblem),
    /// An orientation of the plan is incomplete or contradicts itself.
    Setup {
        /// Which one.
        orientation: u32,
        /// Why.
        why: SetupProblem,
    },
    /// Zeros that run in a circle, or lead nowhere.
    Chain {
        /// In which orientation.
        orientation: u32,
        /// What is wrong.
        fault: ChainFault,
    },
    /// The zero of a reading's own cannot be used.
    OwnZero {
        /// Number of the feature that was read.
        feature: String,
        /// In which orientation.
        orientation: u32,
        /// Why.
        why: SetupProblem,
    },
    /// The heights of a piece could not be adjusted together.
    NotAdjusted(AdjustmentFault),
    /// The orientation does not refer to a datum.
    NoDatum {
        /// Which one.
        orientation: u32,
        /// The axis that it measures, where that is X or Y.
        axis: Option<Axis>,
        /// What it counts from.
        from: NoDatumFrom,
    },
    /// The orientation counts from a datum that a callout does not name.
    JudgedFrom {
        /// Which one.
        orientation: u32,
        /// Number of the feature that it counts from.
        from: String,
        /// A feature whose callout does not name it.
        feature: String,
    },
    /// Every orientation measures this axis only.
    OneAxis(Axis),
    /// The gauge is coarse for tolerances.
    Coarse {
        /// The worst ones, first the worst of all: what is toleranced and the feature's name.
        worst: Vec<(Toleranced, String)>,
        /// How many more there are.
        more: usize,
        /// Tolerance against twice the expanded uncertainty, of the worst.
        ratio: f64,
        /// Expanded uncertainty of a size and of a position.
        expanded: [Length; 2],
        /// How they are written.
        figures: Figures,
    },
    /// A probe constant that was found is doubtful.
    Probe {
        /// What the gauge is called; empty for one without a name.
        gauge: String,
        /// The constant found.
        constant: Length,
        /// What is doubtful.
        doubt: ProbeDoubt,
        /// How it is written.
        figures: Figures,
    },
    /// Readings that drawing and plan no longer ask for: number of the feature, and orientation.
    StrayReadings(Vec<(String, u32)>),
    /// Heights kept for these relations, that take none.
    StrayHeights(Vec<String>),
    /// The heights fit another side up.
    StandsOtherwise {
        /// In which orientation.
        orientation: u32,
        /// The side that they fit.
        fits: Side,
    },
    /// The sizes of whole orientations are off in common.
    SizesOff {
        /// Which ones.
        orientations: Vec<u32>,
        /// What it looks like.
        cause: ProbeCause,
        /// By how much.
        by: Length,
        /// How it is written.
        figures: Figures,
    },
    /// Two features each read what the other should.
    Exchanged {
        /// In which orientation.
        orientation: u32,
        /// The two.
        features: [String; 2],
    },
    /// A size far from the drawing.
    SizeOff {
        /// In which orientation.
        orientation: u32,
        /// Of which feature.
        feature: String,
        /// By how much.
        by: Length,
        /// How it is written.
        figures: Figures,
    },
    /// Heights far from where the others have the pattern.
    HeightsOff {
        /// In which orientation.
        orientation: u32,
        /// The features, and by how much.
        features: Vec<(String, Length)>,
        /// How it is written.
        figures: Figures,
    },
    /// The heights of an orientation do not make the pattern of the drawing.
    NotThePattern(u32),
    /// A height that does not fit those of other orientations.
    Misfit {
        /// In which orientation.
        orientation: u32,
        /// Of which feature.
        feature: String,
        /// In its standard uncertainties.
        times: f64,
        /// The apparent error, if it alone is wrong.
        error: Option<Length>,
        /// How it is written.
        figures: Figures,
    },
    /// A zero that does not fit the other orientations.
    ZeroMisfit {
        /// Of which orientation.
        orientation: u32,
        /// In its standard uncertainties.
        times: f64,
        /// The apparent error, if it alone is wrong.
        error: Length,
        /// How it is written.
        figures: Figures,
    },
    /// The orientations fit each other worse than the uncertainty allows.
    TestFails {
        /// Σ v²/σ².
        chi_square: f64,
        /// Degrees of freedom.
        degrees: usize,
        /// The p-value.
        probability: f64,
    },
    /// A temperature is stated that corrects nothing.
    IdleTemperature,
    /// A metric drawing states no standard.
    StandardNotStated,
    /// Faces that may be out of square, and whose ends the drawing does not have.
    EndsAssumed(Vec<String>),
    /// The centres that make a datum circle lie far from it.
    DatumCircle {
        /// Letter of the datum.
        letter: String,
        /// The largest distance from the circle.
        worst: Length,
        /// Radius of the circle.
        radius: Length,
        /// How both are written.
        figures: Figures,
    },
    /// A zero read otherwise at the end of its orientation.
    Drift {
        /// Which orientation.
        orientation: u32,
        /// What it read.
        by: Length,
        /// What it may read.
        limit: Length,
        /// How it is written.
        figures: Figures,
    },
    /// A face that lies parallel to the plate was swept and shows more than the gauge explains.
    NotParallel {
        /// Which orientation.
        orientation: u32,
        /// The face.
        face: String,
        /// Total indicator reading.
        tir: Length,
        /// What it may be.
        limit: Length,
        /// How it is written.
        figures: Figures,
    },
    /// The sizes of an orientation fit the part turned by half a turn.
    SizesTurned {
        /// Which one.
        orientation: u32,
        /// The one that it was held against.
        other: u32,
    },
    /// The pattern of the drawing is symmetric: no reading tells such a turn of the part.
    Symmetric(Vec<Turn>),
    /// Opposite orientations contradict each other in a way that has one cause.
    Opposite {
        /// The two.
        orientations: [u32; 2],
        /// What it looks like.
        cause: OppositeCause,
        /// How large it is, from the first touch to the last or over the whole pattern.
        by: Length,
        /// How it is written.
        figures: Figures,
    },
    /// Heights that nothing ties to a datum.
    NotTied {
        /// Of which orientation.
        orientation: u32,
        /// The axis that is not known, where it is X or Y.
        axis: Option<Axis>,
        /// Of which features.
        features: Named,
    },
    /// An angle that is to be found from readings that do not give it.
    AngleNotFound {
        /// Of which orientation.
        orientation: u32,
        /// The axis that is not known, where it is X or Y.
        axis: Option<Axis>,
        /// Of which features.
        features: Named,
    },
    /// Features that were looked at in one oblique direction only.
    ObliqueAlone {
        /// In which orientation.
        orientation: u32,
        /// Which ones.
        features: Named,
    },
}

/// What is missing or contradictory in the drawing. Features by their kind and number.
#[derive(Clone, Debug, PartialEq)]
pub enum DrawingProblem {
    /// The feature in this row, from 1, has no number.
    NoNumber(usize),
    /// Two rows, from 1, have the same number.
    NumberTwice {
        /// The number.
        number: String,
        /// The rows.
        rows: [usize; 2],
    },
    /// Limits of size the wrong way round, or not positive.
    Limits(Kind, String),
    /// A class of the other kind of feature.
    ClassOfOther {
        /// The class.
        class: Class,
        /// Kind of the feature.
        kind: Kind,
        /// Its number.
        number: String,
    },
    /// A slot or tab without the axis of its width.
    NoDirection(Kind, String),
    /// A face that looks nowhere.
    LooksNowhere(String),
    /// Basic coordinates are missing.
    NoCoordinates(Kind, String, Vec<Axis>),
    /// The basic coordinate along a slot or tab, which its turned frame needs, is missing.
    NoCoordinateAlong(Kind, String, Axis),
    /// A datum on a pattern of features that make none.
    DatumPattern {
        /// Letter of the datum.
        letter: String,
        /// What is wrong.
        why: PatternFault,
    },
    /// Something was typed that is not understood: it is kept as it was typed.
    NotUnderstood {
        /// Name of the feature.
        feature: String,
        /// What was typed, and where.
        what: NotUnderstood,
    },
    /// The same beside the features: of a datum, a line or the outline.
    TextNotUnderstood(DrawingText),
    /// Callouts name a letter that is not defined.
    DatumNotDefined {
        /// The letter.
        letter: String,
        /// The features whose callouts name it.
        features: Named,
    },
    /// A datum stands on a feature that is not there.
    DatumWithoutFeature {
        /// The letter.
        letter: String,
        /// Number of the feature.
        feature: String,
    },
    /// A datum that stands on nothing in this view, beside a face that has its letter for a number.
    DatumBesideFace {
        /// The letter.
        letter: String,
    },
    /// A relation names features that are not there.
    RelationWithoutFeature {
        /// Number of the relation.
        relation: String,
        /// Numbers of the features.
        features: Vec<String>,
    },
    /// Positions at maximum or least material of features without limits of size.
    ModifierWithoutLimits(Named),
    /// Positions that name no datum.
    PositionWithoutDatums(Named),
    /// Composite callouts of which a segment is larger than the one above it.
    LowerSegmentLooser(Named),
    /// A datum named at its boundary whose feature has no tolerance of its own.
    BoundaryWithoutTolerance {
        /// The letter.
        letter: String,
        /// Name of its feature.
        feature: String,
    },
    /// Features outside the outline.
    OutsideOutline(Named),
    /// Classes of ISO 286 with a large whole size on a drawing in inches.
    ClassInInches(Named),
}

/// What is doubtful in the data of gauges and pieces.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanProblem {
    /// A gauge was used after its calibration was due.
    CalibrationOverdue {
        /// What it is called.
        gauge: String,
        /// When it was due.
        due: String,
        /// A later date on which a piece was measured.
        measured: String,
    },
    /// Two pieces have this serial number.
    SerialTwice(String),
    /// Heights are expected that a gauge does not reach.
    BeyondRange {
        /// What it is called.
        gauge: String,
        /// The largest height that it measures.
        range: Length,
        /// The largest height that is expected.
        highest: Length,
        /// Number of the orientation.
        orientation: u32,
        /// How both are written.
        figures: Figures,
    },
}

/// What is wrong with a pattern of features that carries a datum.
#[derive(Clone, Debug, PartialEq)]
pub enum PatternFault {
    /// There is no feature of this number.
    Missing(String),
    /// A feature that is not round.
    NotRound(Kind, String),
    /// A feature named twice.
    Twice(String),
}

/// What an orientation without a datum counts from.
#[derive(Clone, Debug, PartialEq)]
pub enum NoDatumFrom {
    /// A feature, by its number.
    Feature(String),
    /// An edge of the outline that is no feature.
    Edge(Side),
    /// Nothing that the drawing has.
    Nothing,
}

/// What of a feature is toleranced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Toleranced {
    /// Its size.
    Size,
    /// Its position.
    Position,
}

/// A turn of the part that takes a symmetric pattern to itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// By half a turn in its plane.
    Half,
    /// By a quarter turn in its plane.
    Quarter,
    /// Turned over, left and right exchanged.
    LeftRight,
    /// Turned over, top and bottom exchanged.
    TopBottom,
}

/// What makes the heights of two opposite orientations contradict each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OppositeCause {
    /// All of them by the same amount: a zero.
    Zero,
    /// All of them in both pairs of orientations by the same amount: the probe constant.
    Probe,
    /// In proportion to the coordinate across: the part leaned.
    Tilt,
    /// In proportion to the order of touching, in the orientation of this number: the zero drifted. Where
    /// both were touched in the same order, in either.
    Drift(Vec<u32>),
    /// From this feature on, in the orientation of this number, or in either: the zero was bumped.
    Step(Vec<u32>, String),
    /// One feature alone.
    One(String),
}

/// What a common error of all sizes looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProbeCause {
    /// The probe constant was not applied.
    Forgotten,
    /// It was applied twice.
    Twice,
    /// It has the wrong sign.
    WrongSign,
    /// Another error of it.
    Other,
}
