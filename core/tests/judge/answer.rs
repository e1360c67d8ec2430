//! What an evaluation says of one piece, in a form in which two of them can be compared.

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) enum Verdict {
    NothingAsked,
    Conforms,
    NotProven,
    NotMeasured,
    CannotBeJudged,
    DoesNotConform,
}

impl Verdict {
    pub(crate) fn from_margin(margin: f64) -> Self {
        if margin >= -super::size::TIE { Self::Conforms } else { Self::DoesNotConform }
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Answer {
    pub features: Vec<FeatureAnswer>,
    pub patterns: Vec<PatternAnswer>,
    pub relations: Vec<RelationAnswer>,
}

#[derive(Clone, Debug)]
pub(crate) struct FeatureAnswer {
    pub number: String,
    pub sizes: Vec<f64>,
    pub size_margin: Option<f64>,
    pub size_verdict: Verdict,
    pub positions: Vec<PositionAnswer>,
    /// Variances of x and y in the frame of the first callout, where nothing may move and they are
    /// measured.
    pub variance: [Option<f64>; 2],
    pub verdict: Verdict,
}

#[derive(Clone, Debug)]
pub(crate) struct PositionAnswer {
    pub callout: usize,
    pub segment: usize,
    /// Deviations in the callout's frame where nothing may move.
    pub deviation: [Option<f64>; 2],
    pub bonus: Option<f64>,
    pub allowed: Option<f64>,
    pub margin: Option<f64>,
    /// The group it is judged in, where something may move.
    pub pattern: Option<usize>,
    pub verdict: Verdict,
}

#[derive(Clone, Debug)]
pub(crate) struct PatternAnswer {
    pub datums: Vec<String>,
    pub lower: bool,
    pub members: Vec<usize>,
    pub missing: Vec<usize>,
    /// Diameter or width that is left over at the worst member.
    pub margin: Option<f64>,
    /// The datum features cannot all enter their boundaries.
    pub no_room: bool,
    pub verdict: Verdict,
    /// The judge's solver gave up, or the answer hangs on a room of almost nothing.
    pub unsure: bool,
}

#[derive(Clone, Debug)]
pub(crate) struct RelationAnswer {
    pub measured: Option<f64>,
    pub margin: Option<f64>,
    pub verdict: Verdict,
    /// A kind that the judge leaves alone.
    pub skipped: bool,
}
