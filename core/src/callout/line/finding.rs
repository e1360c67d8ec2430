//! What is found of a line, and how it is drawn from the figure of its kind.

use crate::callout::{Proof, Unjudged, Verdict, prove_margin};
use crate::chance::in_interval;
use crate::job::{DecisionRule, Range};
use crate::quantity::{Axis, Length};
use serde::Serialize;

/// What is found of a line of the drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LineFinding {
    /// Its number.
    pub number: String,
    /// What it is about: `hole 3, hole 4`.
    pub name: String,
    /// The figure, where it was measured.
    pub measured: Option<Length>,
    /// What it is held against: limits, or the tolerance with its bonus.
    pub allowed: Range,
    /// What is allowed is the width or the diameter of a zone.
    pub zone: bool,
    /// Distance to the nearer limit, positive inside.
    pub margin: Option<Length>,
    /// The sum that led there.
    pub parts: Vec<Part>,
    /// How sure that is; absent where the uncertainty is not known.
    pub proof: Option<Proof>,
    /// Why it was not judged, if it was not.
    pub unjudged: Option<LineUnjudged>,
    /// A reading of one of its features is asked about.
    pub in_question: bool,
    /// The verdict.
    pub verdict: Verdict,
}

/// One line of a sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// What it is: `x of hole 3`.
    pub label: String,
    /// The figure.
    pub figure: Option<Term>,
    /// How it comes about.
    pub how: Vec<Term>,
}

/// A word or a figure of a sum, unrounded.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Term {
    /// Words and signs between figures.
    Words(String),
    /// A length.
    Length(Length),
    /// A length that is written with its sign.
    Signed(Length),
    /// An angle in radians, counter-clockwise positive from +X.
    Angle(f64),
}

impl From<&str> for Term {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<Length> for Term {
    fn from(length: Length) -> Self {
        Self::Length(length)
    }
}

impl Part {
    /// A length and how it comes about.
    #[must_use]
    pub fn length(label: impl Into<String>, figure: Length, how: Vec<Term>) -> Self {
        Self { label: label.into(), figure: Some(Term::Length(figure)), how }
    }

    /// A length with its sign.
    #[must_use]
    pub fn signed(label: impl Into<String>, figure: Length, how: Vec<Term>) -> Self {
        Self { label: label.into(), figure: Some(Term::Signed(figure)), how }
    }
}

/// Why there is no verdict on a line.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LineUnjudged {
    /// A feature that is not on the drawing.
    UnknownFeature(String),
    /// A feature whose number, limits or touches are at fault.
    AtFault(String),
    /// One feature in two places of the line.
    Twice(String),
    /// A feature of a kind that the line cannot be about: its name, and what it should be.
    WrongKind(String, &'static str),
    /// A feature that has no place along this axis.
    NoPlace(String, Axis),
    /// Two features that lie across different axes.
    Across(String, String),
    /// What was not measured.
    NotMeasured(Vec<String>),
    /// The frame cannot be had.
    Frame(Unjudged),
    /// A basic coordinate that is missing on the drawing.
    NominalMissing(String),
    /// The lower limit is above the upper one.
    Limits,
    /// The tolerance is not above zero.
    Tolerance,
    /// A modifier on a feature without limits of size.
    ModifierWithoutLimits(String),
    /// The centre and the feature have the same basic place: no angle.
    NoRadius,
    /// A circle of fewer than three holes.
    TooFewHoles,
    /// Points or centres on one line.
    OnOneLine,
    /// An edge whose squareness is stated over no length.
    NoLength(String),
    /// Figures of which nothing can be worked out.
    Figures,
}

impl LineUnjudged {
    /// The verdict that goes with it.
    #[must_use]
    pub const fn verdict(&self) -> Verdict {
        match self {
            Self::NotMeasured(_) | Self::Frame(Unjudged::DatumNotMeasured(_)) => {
                Verdict::NotMeasured
            }
            _ => Verdict::CannotBeJudged,
        }
    }
}

/// The figure of a kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The figure.
    pub measured: Length,
    /// What it is held against.
    pub allowed: Range,
    /// What it is held against is the width of a zone.
    pub zone: bool,
    /// The sum.
    pub parts: Vec<Part>,
    /// How it hangs on what was measured.
    pub hangs: Hangs,
}

/// How a figure hangs on what was measured, to first order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hangs {
    /// On places in the frame of the drawing.
    pub places: Way,
    /// On sizes: features, and the derivative by the size.
    pub sizes: Vec<(usize, f64)>,
    /// On single touches by themselves: indices of instruments, and the sum of the squares of the
    /// derivatives. `None` where nothing is known of how the figure was found.
    pub touches: Option<Vec<(usize, f64)>>,
}

/// How a figure hangs on places.
#[derive(Clone, Debug, PartialEq)]
pub enum Way {
    /// By these derivatives along x and y, one for each feature.
    Given(Vec<(usize, [f64; 2])>),
    /// By the length of a vector from one feature, or the origin, to another: by the law of
    /// propagation along it, and where the vector is so short that this law fails, along the
    /// direction in which it is known least.
    Apart {
        /// Where the vector begins; none: at the origin of the frame.
        from: Option<usize>,
        /// Where it ends.
        to: usize,
        /// The vector, mm.
        vector: [f64; 2],
        /// Derivative of the figure by the length of the vector.
        times: f64,
    },
}

impl Default for Way {
    fn default() -> Self {
        Self::Given(Vec::new())
    }
}

impl Way {
    /// The derivatives, one for each feature, given the covariance of the vector of [`Way::Apart`],
    /// mm².
    #[must_use]
    pub fn derivatives(
        &self,
        of_vector: impl Fn(&[Self; 3]) -> [f64; 3],
    ) -> Vec<(usize, [f64; 2])> {
        match self {
            Self::Given(list) => list.clone(),
            Self::Apart { from, to, vector, times } => {
                let along = |e: [f64; 2]| {
                    let mut list = vec![(*to, e.map(|e| times * e))];
                    list.extend(from.map(|from| (from, e.map(|e| -times * e))));
                    list
                };
                let length = libm::hypot(vector[0], vector[1]);
                let one = |e: [f64; 2]| {
                    let mut list = vec![(*to, e)];
                    list.extend(from.map(|from| (from, e.map(|e| -e))));
                    Self::Given(list)
                };
                let [xx, yy, both] =
                    of_vector(&[one([1.0, 0.0]), one([0.0, 1.0]), one([1.0, 1.0])]);
                let xy = 0.5 * (both - xx - yy);
                let (half_sum, half_gap) = (0.5 * (xx + yy), 0.5 * (xx - yy));
                let most = half_sum + (half_gap * half_gap + xy * xy).sqrt();
                if length > 0.0 && length * length > most {
                    return along([vector[0] / length, vector[1] / length]);
                }
                let angle = 0.5 * libm::atan2(2.0 * xy, xx - yy);
                along([libm::cos(angle), libm::sin(angle)])
            }
        }
    }
}

/// Judges a line by the figure of its kind: at its limits it conforms (ASME Y14.5-2018, 5.4).
#[must_use]
pub fn judge_line(
    number: &str,
    name: String,
    found: Result<Found, LineUnjudged>,
) -> (LineFinding, Hangs) {
    let mut finding = LineFinding {
        number: number.to_owned(),
        name,
        measured: None,
        allowed: Range::default(),
        zone: false,
        margin: None,
        parts: Vec::new(),
        proof: None,
        unjudged: None,
        in_question: false,
        verdict: Verdict::CannotBeJudged,
    };
    let found = match found {
        Ok(found) if found.measured.to_mm().is_finite() => found,
        Ok(_) => return refused(finding, LineUnjudged::Figures),
        Err(why) => return refused(finding, why),
    };
    finding.measured = Some(found.measured);
    finding.allowed = found.allowed;
    finding.zone = found.zone;
    finding.parts = found.parts;
    finding.margin = found.allowed.margin(found.measured);
    finding.verdict = match finding.margin {
        Some(margin) if margin.at_least(Length::ZERO) => Verdict::Conforms,
        Some(_) => Verdict::DoesNotConform,
        None => Verdict::NothingAsked,
    };
    (finding, found.hangs)
}

fn refused(finding: LineFinding, why: LineUnjudged) -> (LineFinding, Hangs) {
    let verdict = why.verdict();
    (LineFinding { unjudged: Some(why), verdict, ..finding }, Hangs::default())
}

/// Adds the standard uncertainty of the figure, with the coverage factor `k`, to what was found of a line, and decides by `rule`.
/// The probability is that of a normal value between its limits (JCGM 106, 7).
pub fn prove_line(found: &mut LineFinding, standard: Option<Length>, k: f64, rule: DecisionRule) {
    let (Some(measured), Some(margin)) = (found.measured, found.margin) else { return };
    let (proof, verdict) = prove_margin(margin, standard, k, rule);
    let mm = |limit: Option<Length>| limit.map(Length::to_mm);
    let Range { lower, upper } = found.allowed;
    found.proof = proof.map(|proof| Proof {
        probability: in_interval(measured.to_mm(), proof.standard.to_mm(), mm(lower), mm(upper)),
        ..proof
    });
    found.verdict = verdict;
}
