//! Questions about rows typed twice: low and high of a feature both equal, to the last digit, those of
//! another feature of the same orientation that should stand as high.
//!
//! In a precise lot two rows agree by chance. So it is asked only where that is improbable: from how the
//! centres and sizes of this job scatter and from the step of the gauge follows how many such
//! coincidences there would be (the density of the differences at zero, both normal; no source).

use super::demand::Demand;
use super::evaluate::Planned;
use crate::bench::{Guess, Question, Readings, SizeFact};
use crate::job::{Job, Touch};
use crate::notation::Figures;
use crate::quantity::Length;
use rustc_hash::FxHashMap;

/// So few coincidences are expected in the piece that one is more than chance.
const IMPROBABLE: f64 = 0.01;

/// So many features must tell how centres and sizes scatter.
const ENOUGH: usize = 5;

/// The standard deviation of a normal distribution over the median of its absolute values.
const BY_MEDIAN: f64 = 1.4826;

/// What is asked about rows.
pub(super) struct Rows<'a> {
    pub(super) job: &'a Job,
    pub(super) orientations: &'a [Planned],
    pub(super) demands: &'a [Demand<'a>],
    pub(super) readings: &'a Readings<'a>,
    /// For each feature, whether it is asked about already.
    pub(super) asked: &'a [bool],
}

/// Low and high of one feature, read once each.
struct Row {
    feature: usize,
    read: [Length; 2],
    expected: [Length; 2],
}

/// The rows of one orientation.
struct Orientation {
    index: usize,
    rows: Vec<Row>,
    step: f64,
}

/// Lengths to look up: in steps of a nanometre, which is finer than any display.
type Key = [i64; 2];

impl Rows<'_> {
    /// The questions. `sizes` are all that were found of the piece: they tell which of two rows is wrong.
    pub(super) fn questions(&self, sizes: &[SizeFact]) -> Vec<Question> {
        let all: Vec<Orientation> =
            (0..self.orientations.len()).filter_map(|o| self.rows(o)).collect();
        let same: Vec<(&Orientation, &Row, &Row)> = all.iter().flat_map(same).collect();
        // Mostly there are none, and nothing has to be worked out.
        if same.is_empty() || all.iter().map(coincidences).sum::<f64>() >= IMPROBABLE {
            return Vec::new();
        }
        let mut of_feature: FxHashMap<usize, Vec<&SizeFact>> = FxHashMap::default();
        for size in sizes {
            of_feature.entry(size.feature).or_default().push(size);
        }
        // The one whose size differs more from what the other orientations find.
        let differs = |at: usize, row: &Row| {
            let of = of_feature.get(&row.feature).map_or(&[][..], Vec::as_slice);
            let here = of.iter().find(|s| s.orientation == at);
            let there = of.iter().filter(|s| s.orientation != at);
            let apart = there.filter_map(|s| here.map(|h| (h.size - s.size).abs().to_mm()));
            apart.fold(0.0, f64::max)
        };
        let question = |(of, row, other): (&Orientation, &Row, &Row)| {
            let turned = differs(of.index, other) > differs(of.index, row);
            let (row, other) = if turned { (other, row) } else { (row, other) };
            self.question(of, row, other)
        };
        same.into_iter().filter_map(question).collect()
    }

    /// The rows of an orientation of which nothing is asked yet; nothing where its instrument is missing.
    fn rows(&self, index: usize) -> Option<Orientation> {
        let (planned, orientation) =
            (self.orientations.get(index)?, self.job.plan.orientations.get(index)?);
        let instrument = self.job.instrument(orientation)?;
        let unit = planned.setup?.unit;
        let row = |(feature, demand): (usize, &Demand<'_>)| {
            let reading = self.readings.get(planned.number, &demand.feature.number)?;
            let own_zero = reading.own_zero(orientation).is_some();
            if own_zero || self.asked.get(feature) == Some(&true) {
                return None;
            }
            let single = |touch: Touch| match reading.values(touch) {
                [only] => Some(only.length(unit)),
                _ => None,
            };
            let expected = |touch: Touch| planned.expectation(feature, touch)?.raw;
            let touches = [Touch::Low, Touch::High];
            let read = [single(touches[0])?, single(touches[1])?];
            let expected = [expected(touches[0])?, expected(touches[1])?];
            Some(Row { feature, read, expected })
        };
        let rows = self.demands.iter().enumerate().filter_map(row).collect();
        let step = instrument.resolution.length(instrument.unit).abs().to_mm();
        Some(Orientation { index, rows, step })
    }

    fn question(&self, of: &Orientation, row: &Row, other: &Row) -> Option<Question> {
        let orientation = self.job.plan.orientations.get(of.index)?;
        let name = |row: &Row| Some(self.demands.get(row.feature)?.feature.name());
        Some(Question {
            orientation: orientation.number,
            feature: row.feature,
            name: name(row)?,
            touch: Touch::Low,
            repeat: 0,
            raw: row.read[0],
            expected: row.expected[0],
            guess: Guess::SameAsRow { feature: other.feature, name: name(other)? },
            figures: Figures::of_readings(self.job, orientation),
        })
    }
}

/// Rows of an orientation that read and should read the same as one before them, each with that one.
fn same<'a>(of: &'a Orientation) -> Vec<(&'a Orientation, &'a Row, &'a Row)> {
    let mut before: FxHashMap<Key, &'a Row> = FxHashMap::default();
    let again = |row: &'a Row| before.insert(key(row.read), row).map(|other| (of, row, other));
    let pairs = of.rows.iter().filter_map(again);
    pairs.filter(|(_, row, other)| key(row.expected) == key(other.expected)).collect()
}

/// How many rows of an orientation would agree with another one by chance. As many as there are pairs
/// where too few features tell.
fn coincidences(of: &Orientation) -> f64 {
    let mut alike: FxHashMap<Key, usize> = FxHashMap::default();
    for row in &of.rows {
        *alike.entry(key(row.expected)).or_default() += 1;
    }
    let pairs: f64 = alike.values().map(|n| count(*n) * (count(*n) - 1.0) * 0.5).sum();
    if pairs < 0.5 {
        return 0.0;
    }
    if of.rows.len() < ENOUGH {
        return pairs;
    }
    let middle = |[low, high]: [Length; 2]| ((low + high) * 0.5).to_mm();
    let size = |[low, high]: [Length; 2]| (high - low).to_mm();
    // Of centres a zero that is off is common to all; sizes have in common what one tool made.
    let centres = of.rows.iter().map(|r| (0, middle(r.read) - middle(r.expected)));
    let sizes = of.rows.iter().map(|r| {
        let expected = size(r.expected);
        (nanometres(expected), size(r.read) - expected)
    });
    let (centre, size) = (scatter(centres.collect()), scatter(sizes.collect()));
    let (Some(centre), Some(size)) = (centre, size) else { return pairs };
    // Rounding alone scatters by the step over √12; low and high are each a step wide.
    let with_step = |s: f64| libm::hypot(s, of.step / 12.0_f64.sqrt());
    let spread = 4.0 * std::f64::consts::PI * with_step(centre) * with_step(size);
    pairs * (of.step * of.step / spread).min(1.0)
}

/// How values scatter about the mean of their group: the smaller of the standard deviation and what the
/// median tells, since one wrong row makes the first too large. `None` where fewer than four tell.
fn scatter(values: Vec<(i64, f64)>) -> Option<f64> {
    let mut groups: FxHashMap<i64, (f64, f64)> = FxHashMap::default();
    for (group, value) in &values {
        let (sum, n) = groups.entry(*group).or_default();
        *sum += value;
        *n += 1.0;
    }
    let degrees = values.len().checked_sub(groups.len()).filter(|d| *d + 1 >= ENOUGH)?;
    let raised = (count(values.len()) / count(degrees)).sqrt();
    let of_mean = |(group, value): (i64, f64)| {
        groups.get(&group).map(|(sum, n)| ((value - sum / n).abs(), *n > 1.0))
    };
    // One alone in its group tells nothing.
    let mut left: Vec<f64> =
        values.into_iter().filter_map(of_mean).filter(|l| l.1).map(|l| l.0).collect();
    let standard = (left.iter().map(|l| l * l).sum::<f64>() / count(degrees)).sqrt();
    let middle = left.len().checked_sub(1)? / 2;
    let (_, median, _) = left.select_nth_unstable_by(middle, f64::total_cmp);
    Some(standard.min(*median * BY_MEDIAN * raised))
}

fn key(of: [Length; 2]) -> Key {
    of.map(|l| nanometres(l.to_mm()))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a length in nanometres; too large, it saturates"
)]
fn nanometres(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

#[expect(clippy::cast_precision_loss, reason = "a count of features")]
const fn count(n: usize) -> f64 {
    n as f64
}
