//! The table of one orientation as text, made once per change.

use crate::desk::View;
use quarterturn_core::bench::{Contact, Expectation, Mean, Setup, expected_from, reduce};
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::FeatureFinding;
use quarterturn_core::job::{Feature, Orientation, Reading, Taken, Touch, Zero};
use quarterturn_core::picture::zero_words;
use quarterturn_core::quantity::{Axis, Length, Unit};
use quarterturn_core::show::{Figures, feature_name};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// One orientation of the piece at hand.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Rows {
    /// Index of the orientation in the plan.
    pub(super) index: usize,
    /// Its number.
    pub(super) number: u32,
    /// What is written down for a feature of size.
    pub(super) taken_as: Taken,
    /// One for each feature that is touched.
    pub(super) rows: Vec<Arc<Row>>,
    /// One for each touch of the plan, in its order.
    pub(super) cells: Vec<Arc<Cell>>,
    /// How many touches have a reading.
    pub(super) taken: usize,
    /// Head of the coordinate's column: `x`, `y`; on a sine bar what it is measured along, not yet
    /// adjusted with the other orientations.
    pub(super) along: &'static str,
    /// Unit of the readings, and that of sizes and coordinates.
    pub(super) units: (Unit, Unit),
    /// Where heights count from: `from face C`, `above the plate`.
    pub(super) zero: String,
    /// Readings of the features in the table that it has no cell for.
    pub(super) unseen: usize,
    /// Readings of features that are not in the table.
    pub(super) idle: usize,
    /// Decides how readings are written.
    pub(super) figures: Option<Figures>,
}

/// A feature's row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// Index of the feature in the drawing.
    pub(super) feature: usize,
    /// Its number.
    pub(super) label: String,
    /// What it is.
    pub(super) kind: &'static str,
    /// What it counts from, where that is not the zero of the orientation: `plate`, `C`.
    pub(super) from: Option<String>,
    /// Index of its first touch among the cells of the table.
    pub(super) first: usize,
    /// Its touches: one for a face, two for a feature of size.
    pub(super) cells: Vec<Arc<Cell>>,
    /// Size as it is judged in this orientation.
    pub(super) size: String,
    /// Its coordinate.
    pub(super) at: String,
    /// What is judged of it so far, once this orientation has seen it.
    pub(super) so_far: Option<SoFar>,
}

/// What is judged of a feature while not all of it may be measured yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SoFar {
    /// Its size; the rest is not measured.
    Size(Verdict),
    /// All that is asked of it.
    All(Verdict),
}

impl SoFar {
    fn of(found: &FeatureFinding) -> Option<Self> {
        match (found.verdict, found.size.verdict) {
            (Verdict::NothingAsked, _) => None,
            (Verdict::NotMeasured, Verdict::NotMeasured | Verdict::NothingAsked) => None,
            (Verdict::NotMeasured, size) => Some(Self::Size(size)),
            (all, _) => Some(Self::All(all)),
        }
    }

    /// The verdict itself.
    pub(super) const fn verdict(self) -> Verdict {
        match self {
            Self::Size(verdict) | Self::All(verdict) => verdict,
        }
    }

    /// `size conforms`, `does not conform`.
    pub(super) fn words(self) -> String {
        match self {
            Self::Size(verdict) => format!("size {}", verdict.words()),
            Self::All(verdict) => verdict.words().to_owned(),
        }
    }
}

/// Where Enter leads from a touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ahead {
    /// To the next touch in order.
    Next(usize),
    /// There is none in order: to the first one without a reading.
    Missing(usize),
    /// Every touch of the orientation has a reading.
    Complete,
}

/// A touch's cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cell {
    /// Index of the feature in the drawing.
    pub(super) feature: usize,
    /// Index of the row.
    pub(super) row: usize,
    /// Which touch.
    pub(super) touch: Touch,
    /// How it is touched.
    pub(super) contact: Contact,
    /// What the gauge should show.
    pub(super) expected: Option<Length>,
    /// What it counts from, where that is not the zero of the orientation: `from face C`.
    pub(super) zero: Option<Arc<str>>,
    /// The same as the job says it.
    pub(super) own_zero: Option<Zero>,
    /// The readings, as the gauge showed them.
    pub(super) values: Vec<f64>,
    /// What stands in the cell: the reading, or what is expected.
    pub(super) text: String,
    /// Whether any of its readings is asked about.
    pub(super) asked: bool,
}

impl Cell {
    /// Whether it has a reading.
    pub(super) fn is_taken(&self) -> bool {
        !self.values.is_empty()
    }
}

impl Rows {
    /// The table of the orientation with this index; empty where there is none.
    pub(super) fn of(view: &View, index: usize) -> Self {
        let job = &view.job;
        let (Some(planned), Some(orientation)) =
            (view.planned.get(index), job.plan.orientations.get(index))
        else {
            return Self::default();
        };
        let readings: HashMap<&str, &Reading> = job
            .pieces
            .get(view.index)
            .map(|p| readings_of(&p.readings, planned.number))
            .unwrap_or_default();
        let asked: HashSet<(usize, Touch)> = view
            .questions()
            .iter()
            .filter(|q| q.orientation == planned.number)
            .map(|q| (q.feature, q.touch))
            .collect();
        let figures = Figures::of_readings(job, orientation);
        let mut made = Self {
            index,
            number: planned.number,
            taken_as: orientation.taken,
            along: match orientation.up().square_axis() {
                Some(Axis::X) => "x",
                Some(Axis::Y) => "y",
                None => "along up, as read",
            },
            units: (figures.unit, job.drawing.unit),
            zero: from_zero(view, orientation),
            figures: Some(figures),
            cells: Vec::with_capacity(planned.expected.len()),
            ..Self::default()
        };
        let mut others: HashMap<Option<&str>, Other> = HashMap::new();
        let mut rows: Vec<Row> = Vec::with_capacity(job.drawing.features.len());
        for e in &planned.expected {
            let Some(feature) = job.drawing.features.get(e.feature) else { continue };
            let values: Vec<f64> = readings
                .get(feature.number.as_str())
                .map(|r| r.values(e.touch).iter().map(|v| v.0).collect())
                .unwrap_or_default();
            made.taken += usize::from(!values.is_empty());
            let zero = readings.get(feature.number.as_str()).and_then(|r| r.own_zero(orientation));
            let other = zero.map(|zero| {
                let key = match zero {
                    Zero::Plate => None,
                    Zero::Feature(number) => Some(number.as_str()),
                };
                others.entry(key).or_insert_with(|| Other::of(view, orientation, zero)).clone()
            });
            let e = &match &other {
                None => e.clone(),
                Some(Other { setup: Some(setup), .. }) => expected_from(job, setup, e),
                Some(_) => Expectation { raw: None, limit: None, ..e.clone() },
            };
            if rows.last().is_none_or(|row| row.feature != e.feature) {
                rows.push(made.row(view, feature, e.feature, &readings, other.as_ref()));
            }
            let cell = Arc::new(Cell {
                feature: e.feature,
                row: rows.len() - 1,
                touch: e.touch,
                contact: e.contact,
                expected: e.raw,
                zero: other.map(|o| o.words),
                own_zero: zero.cloned(),
                text: reading_text(&values, figures)
                    .or_else(|| e.raw.map(|raw| figures.plain(raw)))
                    .unwrap_or_default(),
                values,
                asked: asked.contains(&(e.feature, e.touch)),
            });
            made.cells.push(Arc::clone(&cell));
            if let Some(row) = rows.last_mut() {
                row.cells.push(cell);
            }
        }
        made.rows = rows.into_iter().map(Arc::new).collect();
        let touched: HashSet<usize> = made.rows.iter().map(|r| r.feature).collect();
        for (index, feature) in job.drawing.features.iter().enumerate() {
            let Some(reading) = readings.get(feature.number.as_str()) else { continue };
            let kept = Touch::ALL.iter().filter(|t| !reading.values(**t).is_empty()).count();
            if touched.contains(&index) {
                made.unseen += kept;
            } else {
                made.idle += kept;
            }
        }
        made.unseen = made.unseen.saturating_sub(made.taken);
        made
    }

    /// How many touches of an orientation have a reading, and how many there are.
    pub(super) fn progress(view: &View, index: usize) -> (usize, usize) {
        let job = &view.job;
        let Some(planned) = view.planned.get(index) else { return (0, 0) };
        let readings: HashMap<&str, &Reading> = job
            .pieces
            .get(view.index)
            .map(|p| readings_of(&p.readings, planned.number))
            .unwrap_or_default();
        let taken = planned.expected.iter().filter(|e| {
            let feature = job.drawing.features.get(e.feature);
            let reading = feature.and_then(|f| readings.get(f.number.as_str()));
            reading.is_some_and(|r| !r.values(e.touch).is_empty())
        });
        (taken.count(), planned.expected.len())
    }

    fn row(
        &self,
        view: &View,
        feature: &Feature,
        index: usize,
        readings: &HashMap<&str, &Reading>,
        other: Option<&Other>,
    ) -> Row {
        let job = &view.job;
        let setup = match other {
            None => view.planned.get(self.index).and_then(|p| p.setup.as_ref()),
            Some(other) => other.setup.as_ref(),
        };
        let reduced = readings
            .get(feature.number.as_str())
            .zip(setup)
            .map(|(reading, setup)| reduce(feature, setup, reading))
            .unwrap_or_default();
        let found = view.piece.as_ref().and_then(|p| p.features.get(index));
        let coordinate = match self.along {
            "x" => found.and_then(|f| f.x.at()),
            "y" => found.and_then(|f| f.y.at()),
            _ => reduced.along,
        };
        let figures = match self.figures {
            Some(f) if f.unit == job.drawing.unit => f,
            _ => Figures::of_results(&job.drawing).finer(1),
        };
        // The size as it is judged, with all that is applied to it.
        let size = found
            .and_then(|f| f.size.seen.iter().find(|s| s.orientation == self.number))
            .map(|s| s.size);
        let write = |length: Option<Length>| length.map(|l| figures.plain(l)).unwrap_or_default();
        Row {
            feature: index,
            label: feature.number.clone(),
            kind: feature.kind.word(),
            from: other.map(|o| o.name.clone()),
            first: self.cells.len(),
            cells: Vec::with_capacity(2),
            size: write(size),
            // A coordinate is shown once this orientation has seen the feature.
            at: write(reduced.along.and(coordinate)),
            so_far: found.filter(|_| reduced.along.or(size).is_some()).and_then(SoFar::of),
        }
    }

    /// The first touch without a reading at or after `from`, then from the beginning.
    pub(super) fn empty_from(&self, from: usize) -> Option<usize> {
        let empty = |at: &usize| self.cells.get(*at).is_some_and(|c| !c.is_taken());
        (from..self.cells.len()).find(empty).or_else(|| (0..from.min(self.cells.len())).find(empty))
    }

    /// Whether every touch has a reading.
    pub(super) const fn is_full(&self) -> bool {
        self.taken == self.cells.len()
    }

    /// Where Enter leads from the touch at `at`.
    pub(super) fn ahead(&self, at: usize) -> Ahead {
        if at + 1 < self.cells.len() {
            return Ahead::Next(at + 1);
        }
        self.empty_from(0).map_or(Ahead::Complete, Ahead::Missing)
    }

    /// The cell at `at`.
    pub(super) fn cell(&self, at: usize) -> Option<&Cell> {
        self.cells.get(at).map(Arc::as_ref)
    }

    /// `hole 4, highest point`; of a face its name alone.
    pub(super) fn touch_name(&self, view: &View, at: usize) -> String {
        let Some(cell) = self.cells.get(at) else { return String::new() };
        let name =
            view.job.drawing.features.get(cell.feature).map_or_else(String::new, feature_name);
        match cell.touch {
            Touch::Face => name,
            touch => format!("{name}, {}", touch.word()),
        }
    }
}

/// A zero of single readings that is not the zero of their orientation.
#[derive(Clone)]
struct Other {
    /// Its name, as short as can be.
    name: String,
    /// `from face C`.
    words: Arc<str>,
    /// The orientation with this zero, unless something is wrong with it.
    setup: Option<Setup>,
}

impl Other {
    fn of(view: &View, orientation: &Orientation, zero: &Zero) -> Self {
        let with = Orientation { zero: zero.clone(), ..orientation.clone() };
        Self {
            name: match zero {
                Zero::Plate => "plate".to_owned(),
                Zero::Feature(number) => number.clone(),
            },
            words: from_zero(view, &with).into(),
            setup: Setup::with_zero(&view.job, orientation, zero).ok(),
        }
    }
}

/// The readings of one orientation by their feature.
fn readings_of(readings: &[Reading], orientation: u32) -> HashMap<&str, &Reading> {
    readings
        .iter()
        .filter(|r| r.orientation == orientation)
        .map(|r| (r.feature.as_str(), r))
        .collect()
}

/// A reading or the mean of its repeats.
pub(super) fn reading_text(values: &[f64], figures: Figures) -> Option<String> {
    match values {
        [] => None,
        [one] => {
            let length = Length::of(*one, figures.unit);
            Some(figures.exact(length).plain(length))
        }
        many => {
            let mean = mean(many, figures.unit)?.mean;
            Some(figures.plain(mean))
        }
    }
}

/// Mean and standard deviation of repeats.
pub(super) fn mean(values: &[f64], unit: Unit) -> Option<Mean> {
    let figures: Vec<_> = values.iter().map(|v| quarterturn_core::quantity::Figure(*v)).collect();
    Mean::of(&figures, unit)
}

/// `above the plate`, `from face C`, `from the centre of hole 1`.
fn from_zero(view: &View, orientation: &Orientation) -> String {
    let words = zero_words(&view.job, orientation);
    let words = words.trim_end_matches(" from above").trim_end_matches(" from below");
    match words {
        "plate" => "above the plate".to_owned(),
        words if words.starts_with("centre") => format!("from the {words}"),
        words => format!("from {words}"),
    }
}
