//! Readings so far from what was expected that they are asked about. Never changed.

use super::{Expectation, Setup};
use crate::job::{Feature, Job, Orientation, Touch};
use crate::notation::Figures;
use crate::quantity::{Length, Unit};
use serde::Serialize;
use std::cell::OnceCell;

/// What a questioned reading looks like, with the figures that led to it. Lengths in millimetres.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", content = "figures", rename_all = "snake_case")]
pub enum Guess {
    /// The sign is turned: `+` for `−`.
    Sign,
    /// Taken or written in the other unit: 25.4 times too large or too small.
    Unit,
    /// It is what another touch of this orientation should show.
    Other {
        /// Index of its feature in the drawing.
        feature: usize,
        /// Name of its feature.
        name: String,
        /// Which touch.
        touch: Touch,
    },
    /// It is what the gauge would show if the part stood the other way up.
    OtherWayUp,
    /// With two neighbouring digits exchanged it would be as expected.
    Digits {
        /// The reading with the two exchanged.
        typed: Length,
    },
    /// It is higher than the gauge measures.
    BeyondRange {
        /// The largest height that it measures.
        range: Length,
    },
    /// Nothing of these.
    Far,
    /// The size that it is part of differs from that of another orientation.
    SizeDiffers {
        /// Number of the other orientation.
        other: u32,
        /// Size here.
        size: Length,
        /// Size there.
        there: Length,
        /// What two sizes of one feature may differ by.
        limit: Length,
        /// The reading with two neighbouring digits exchanged, where that makes the sizes agree.
        typed: Option<Length>,
    },
    /// The size that it is part of is far beyond its limits.
    SizeBeyond {
        /// The size.
        size: Length,
        /// By how much it is beyond.
        by: Length,
        /// By how much it may be before it is asked about.
        limit: Length,
        /// Another orientation finds the same: the drawing may be what is wrong.
        confirmed: bool,
    },
    /// The height that it is part of puts the feature outside its zone by itself.
    PlaceAlone {
        /// Deviation of the centre along the direction that is up.
        deviation: Length,
        /// What it may be: half of the zone with its bonus.
        allowed: Length,
        /// Its standard uncertainty.
        standard: Length,
    },
    /// Low and high are both those of another row.
    SameAsRow {
        /// Index of the other feature in the drawing.
        feature: usize,
        /// Its name.
        name: String,
    },
}

impl Guess {
    /// Whether the reading looks wrong by itself or beside others, so that what follows from it is put in
    /// question. A size far beyond its limits and a feature far out of place may well be so: they are asked
    /// about once, and stand.
    #[must_use]
    pub const fn doubts_a_reading(&self) -> bool {
        !matches!(self, Self::SizeBeyond { .. } | Self::PlaceAlone { .. })
    }
}

/// A reading that is asked about. As JSON it has its sentence with it, in `says`.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Orientation it was taken in.
    pub orientation: u32,
    /// Index of the feature in the drawing.
    pub feature: usize,
    /// Name of the feature.
    pub name: String,
    /// Which touch.
    pub touch: Touch,
    /// Which repeat, from 0.
    pub repeat: usize,
    /// What was read.
    pub raw: Length,
    /// What was expected: by the drawing, or where a size is asked about by the other size.
    pub expected: Length,
    /// What it looks like.
    pub guess: Guess,
    /// How readings of its orientation are written.
    pub figures: Figures,
}

/// How far a reading may be from what is expected before it is asked about: twice what a part
/// at the edge of its tolerances would show, at least 0.25 mm (common practice, no source).
#[must_use]
pub fn question_limit(job: &Job, feature: &Feature) -> Length {
    let unit = job.drawing.unit;
    let size = feature.size.and_then(|s| s.limits(unit)).map_or(Length::ZERO, |l| l.tolerance());
    let zone = feature.position().map_or(Length::ZERO, |p| p.tolerance.length(unit));
    ((zone + size) + size).max(Length::mm(0.25))
}

/// The expectations of one orientation, to look a height up in.
#[derive(Debug)]
pub struct Heights<'a> {
    list: &'a [Expectation],
    /// Heights in rising order with their indices; most of the time nobody asks.
    rising: OnceCell<Vec<(Length, usize)>>,
}

impl<'a> Heights<'a> {
    /// Those of one orientation.
    #[must_use]
    pub const fn new(list: &'a [Expectation]) -> Self {
        Self { list, rising: OnceCell::new() }
    }

    /// The touch other than `but` that should show `raw` most nearly, within `limit`.
    fn nearest(&self, raw: Length, limit: Length, but: usize) -> Option<usize> {
        let rising = self.rising.get_or_init(|| {
            let heights = self.list.iter().enumerate().filter(|(_, e)| e.touch != Touch::Size);
            let mut rising: Vec<_> = heights.filter_map(|(i, e)| Some((e.raw?, i))).collect();
            rising.sort_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
            rising
        });
        let from = rising.partition_point(|(height, _)| *height < raw - limit);
        rising
            .get(from..)?
            .iter()
            .take_while(|(height, _)| *height <= raw + limit)
            .filter(|(_, i)| *i != but)
            .min_by(|a, b| (a.0 - raw).abs().to_mm().total_cmp(&(b.0 - raw).abs().to_mm()))
            .map(|(_, i)| *i)
    }
}

/// Asks about `raw`, the reading for `at` among `heights`, if it is far off.
#[must_use]
pub fn question(
    job: &Job,
    orientation: &Orientation,
    heights: &Heights<'_>,
    at: usize,
    repeat: usize,
    raw: Length,
) -> Option<Question> {
    let this = heights.list.get(at)?;
    let feature = job.drawing.features.get(this.feature)?;
    // Most readings are as they should be, and nothing is asked about them.
    let figures = || Figures::of_readings(job, orientation);
    let asked = |expected: Length, guess: Guess| Question {
        orientation: orientation.number,
        feature: this.feature,
        name: feature.name(),
        figures: figures(),
        touch: this.touch,
        repeat,
        raw,
        expected,
        guess,
    };
    let gauge = job.instrument(orientation);
    let range = gauge.and_then(|gauge| Some(gauge.range?.length(gauge.unit)));
    if let Some(range) = range.filter(|r| this.touch != Touch::Size && !raw.abs().at_most(*r)) {
        return Some(asked(this.raw.unwrap_or(raw), Guess::BeyondRange { range }));
    }
    let expected = this.raw?;
    let limit = question_limit(job, feature);
    let near = |a: Length, b: Length| (a - b).abs() <= limit;
    if near(raw, expected) {
        return None;
    }
    let inch = Unit::Inch.in_mm();
    let near_other_unit =
        |factor: f64| (raw * factor - expected).abs() <= limit.max(expected.abs() * 0.01);
    let guess = if near(raw, -expected) {
        Guess::Sign
    } else if expected.abs() > limit && (near_other_unit(inch) || near_other_unit(1.0 / inch)) {
        Guess::Unit
    } else if let Some(other) = heights.nearest(raw, limit * 0.5, at) {
        let other = heights.list.get(other)?;
        let name = job.drawing.features.get(other.feature).map_or_else(String::new, Feature::name);
        Guess::Other { feature: other.feature, name, touch: other.touch }
    } else if turned_over(job, orientation, this).is_some_and(|e| near(raw, e)) {
        Guess::OtherWayUp
    } else {
        let digits = exchanged_digits(raw, figures());
        let fits = digits.into_iter().find(|typed| (*typed - expected).abs() <= limit * 0.5);
        fits.map_or(Guess::Far, |typed| Guess::Digits { typed })
    };
    Some(asked(expected, guess))
}

/// What a reading would be with two neighbouring digits exchanged, as it is written; each once.
#[must_use]
pub fn exchanged_digits(raw: Length, figures: Figures) -> Vec<Length> {
    let text = figures.exact(raw).typed(raw);
    let digits: Vec<usize> =
        text.char_indices().filter(|(_, c)| c.is_ascii_digit()).map(|(i, _)| i).collect();
    let exchanged = |pair: &[usize]| {
        let mut bytes = text.clone().into_bytes();
        let (&a, &b) = (pair.first()?, pair.last()?);
        bytes.swap(a, b);
        let value: f64 = String::from_utf8(bytes).ok()?.parse().ok()?;
        let typed = Length::of(value, figures.unit);
        (typed != raw).then_some(typed)
    };
    digits.windows(2).filter_map(exchanged).collect()
}

/// What the gauge would show for the same touch with the part standing the other way up, on the
/// opposite edge of its outline.
fn turned_over(job: &Job, orientation: &Orientation, this: &Expectation) -> Option<Length> {
    let mut over = orientation.clone();
    over.up_degrees = (orientation.up_degrees + 180.0) % 360.0;
    over.rest.face = None;
    let setup = Setup::of(job, &over).ok()?;
    let feature = job.drawing.features.get(this.feature)?;
    let contact = super::touches(feature, &over).iter().find(|(t, _)| *t == this.touch)?.1;
    super::expect::raw_of(job, feature, &setup, this.touch, contact)
}
