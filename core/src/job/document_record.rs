//! The record of changes to drawing, plan and stated conditions after something was measured: a changed
//! limit or a changed orientation changes verdicts as a changed reading does.
//!
//! What was not measured yet may be typed and corrected freely, and a blank that is filled in is no
//! change. Changes of unit convert every figure exactly and are one entry.

use super::record::take_over;
use super::{
    Conditions, Coverage, Datum, DecisionRule, Drawing, Feature, Grid, Instrument, Job,
    Orientation, Outline, Piece, ProbeTrial, Relation, Squareness, Standard, Zero,
};
use crate::quantity::Unit;
use rustc_hash::FxHashSet;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A change to drawing, plan or conditions that the record keeps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DocumentEntry {
    /// What was changed.
    pub change: DocumentChange,
    /// When, UTC, as `2026-11-25 07:10:42`.
    pub when: String,
    /// Who.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    /// Why, where it was said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

/// Something of the document before and after a change; absent on one side where it was added or
/// removed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, bound(deserialize = "T: Deserialize<'de>"))]
pub struct Changed<T> {
    /// Before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub was: Option<T>,
    /// After.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub now: Option<T>,
}

impl<T: Clone> Changed<T> {
    fn new(was: Option<&T>, now: Option<&T>) -> Self {
        Self { was: was.cloned(), now: now.cloned() }
    }
}

/// What was changed. Figures of the drawing are in its unit at that time, those of an instrument in
/// the instrument's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DocumentChange {
    /// A feature of the drawing.
    Feature(Box<Changed<Feature>>),
    /// A datum.
    Datum(Box<Changed<Datum>>),
    /// A requirement between features, or on the form of one.
    Relation(Box<Changed<Relation>>),
    /// An orientation in which something was measured.
    Orientation(Box<Changed<Orientation>>),
    /// An instrument that something was measured with.
    Instrument(Box<Changed<Instrument>>),
    /// What drawing and plan say as a whole.
    Basis(Box<Changed<Basis>>),
    /// The unit of the drawing.
    Unit {
        /// Before.
        was: Unit,
        /// After.
        now: Unit,
        /// Whether every figure was converted to it; else the figures stayed as they were.
        converted: bool,
    },
    /// What was stated of a piece.
    Piece {
        /// Its serial number, as it is now.
        serial: String,
        /// Before and after.
        stated: Box<Changed<Stated>>,
    },
}

/// What drawing and plan say as a whole, as far as results depend on it or a reader relies on it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Basis {
    /// Part number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub part_number: String,
    /// Revision of the drawing.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub revision: String,
    /// Standard of the drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard: Option<Standard>,
    /// Outline of the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Decision rule.
    pub decision_rule: DecisionRule,
    /// Coverage factor.
    #[serde(default, skip_serializing_if = "Coverage::is_two")]
    pub coverage: Coverage,
    /// Conditions of the measurement.
    #[serde(default, skip_serializing_if = "Conditions::is_empty")]
    pub conditions: Conditions,
}

impl Basis {
    fn of(job: &Job) -> Self {
        Self {
            part_number: job.drawing.part_number.clone(),
            revision: job.drawing.revision.clone(),
            standard: job.drawing.standard,
            outline: job.drawing.outline,
            decision_rule: job.plan.decision_rule,
            coverage: job.plan.coverage,
            conditions: job.plan.conditions,
        }
    }

    /// What `self` left blank, taken from `filled`: filling in is no change.
    fn filled_from(mut self, filled: &Self) -> Self {
        fill_text(&mut self.part_number, &filled.part_number);
        fill_text(&mut self.revision, &filled.revision);
        self.outline = self.outline.or(filled.outline);
        self
    }
}

/// What was stated of a piece beside its readings.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stated {
    /// Temperature of the part in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_celsius: Option<f64>,
    /// Temperature of the gauge's scale in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge_celsius: Option<f64>,
    /// Edges that were found out of square.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub squareness: Vec<Squareness>,
    /// Heights taken over faces and along edges.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub grids: Vec<Grid>,
}

impl Stated {
    fn of(piece: &Piece) -> Self {
        Self {
            part_celsius: piece.part_celsius,
            gauge_celsius: piece.gauge_celsius,
            squareness: piece.squareness.clone(),
            grids: piece.grids.clone(),
        }
    }

    /// What `self` did not state yet, taken from `filled`.
    fn filled_from(mut self, filled: &Self) -> Self {
        self.part_celsius = self.part_celsius.or(filled.part_celsius);
        self.gauge_celsius = self.gauge_celsius.or(filled.gauge_celsius);
        if filled.squareness.starts_with(&self.squareness) {
            self.squareness.clone_from(&filled.squareness);
        }
        for grid in &filled.grids {
            match self.grids.iter_mut().find(|own| own.relation == grid.relation) {
                None => self.grids.push(grid.clone()),
                Some(own) if own.points.is_empty() => own.clone_from(grid),
                Some(own) if own.instrument == grid.instrument => {
                    if grid.points.starts_with(&own.points) {
                        own.points.clone_from(&grid.points);
                    }
                }
                Some(_) => {}
            }
        }
        self.grids.sort_by_key(|own| filled.grids.iter().position(|g| g.relation == own.relation));
        self
    }
}

/// Appends to `new.document_record` what `new` changes of the drawing, the plan and the statements of
/// `old` that something was measured by. `matched` says which piece of `new` each of `old` is.
pub(super) fn record_document(
    old: &Job,
    new: &mut Job,
    matched: &[Option<usize>],
    when: &str,
    who: &str,
) {
    take_over(&old.document_record, &mut new.document_record);
    let converted = converted(old, new);
    let mut found = Vec::new();
    // Most edits are readings, and then nothing has to be worked out.
    let measured = (old.drawing != new.drawing || old.plan != new.plan).then(|| Measured::of(old));
    if let Some(measured) = measured.filter(|m| m.anything) {
        if old.drawing.unit != new.drawing.unit {
            let (was, now) = (old.drawing.unit, new.drawing.unit);
            found.push(DocumentChange::Unit { was, now, converted });
        }
        if !converted {
            basis(old, new, &mut found);
            let before = followed(old, &new.drawing);
            features(&old.drawing, &new.drawing, &measured, &mut found);
            datums(&before, new, &mut found);
            relations(&before, new, &mut found);
            orientations(&before, new, &measured, &mut found);
        }
        instruments(old, new, &measured, &mut found);
    }
    for (was, is) in old.pieces.iter().zip(matched) {
        let Some(is) = is.and_then(|index| new.pieces.get(index)) else { continue };
        stated(was, is, converted, &mut found);
    }
    new.document_record.extend(found.into_iter().map(|change| DocumentEntry {
        change,
        when: when.to_owned(),
        who: who.to_owned(),
        why: String::new(),
    }));
}

/// What something was measured of, in and with.
struct Measured<'a> {
    anything: bool,
    features: FxHashSet<&'a str>,
    orientations: FxHashSet<u32>,
    instruments: FxHashSet<usize>,
}

impl<'a> Measured<'a> {
    fn of(job: &'a Job) -> Self {
        let (mut features, mut orientations) = (FxHashSet::default(), FxHashSet::default());
        let mut instruments = FxHashSet::default();
        let mut anything = false;
        for piece in &job.pieces {
            anything |= !(piece.readings.is_empty()
                && piece.sweeps.is_empty()
                && piece.zero_checks.is_empty()
                && piece.grids.is_empty());
            features.extend(piece.readings.iter().map(|r| r.feature.as_str()));
            features.extend(piece.sweeps.iter().map(|s| s.feature.as_str()));
            orientations.extend(piece.readings.iter().map(|r| r.orientation));
            orientations.extend(piece.sweeps.iter().map(|s| s.orientation));
            orientations.extend(piece.zero_checks.iter().map(|z| z.orientation));
            instruments.extend(piece.grids.iter().map(|g| g.instrument));
        }
        let used = job.plan.orientations.iter().filter(|o| orientations.contains(&o.number));
        for orientation in used {
            instruments.insert(orientation.instrument);
            features.extend(orientation.rest.face.as_deref());
            if let Zero::Feature(number) = &orientation.zero {
                features.insert(number);
            }
        }
        // Results count from what carries a datum, whether it was touched or not.
        features.extend(job.drawing.datums.iter().flat_map(Datum::carriers).map(String::as_str));
        Self { anything, features, orientations, instruments }
    }
}

fn fill_text(own: &mut String, filled: &str) {
    if own.is_empty() {
        filled.clone_into(own);
    }
}

fn basis(old: &Job, new: &Job, found: &mut Vec<DocumentChange>) {
    let (was, now) = (Basis::of(old), Basis::of(new));
    if was.clone().filled_from(&now) != now {
        found.push(DocumentChange::Basis(Box::new(Changed { was: Some(was), now: Some(now) })));
    }
}

/// Whether all that differs is the unit, every figure converted to it.
fn converted(old: &Job, new: &Job) -> bool {
    old.drawing.unit != new.drawing.unit && {
        let mut same = Job { pieces: Vec::new(), ..old.clone() };
        same.convert_unit(new.drawing.unit);
        same.drawing == new.drawing && same.plan == new.plan
    }
}

/// `old` with the numbers that features have in `new`: what refers to a feature follows it, which is no
/// change of its own.
fn followed<'a>(old: &'a Job, new: &Drawing) -> Cow<'a, Job> {
    if old.drawing.features.len() != new.features.len() {
        return Cow::Borrowed(old);
    }
    let numbers = [old.drawing.by_number(), new.by_number()];
    let rows = old.drawing.features.iter().zip(&new.features).enumerate();
    let renumbered: Vec<(usize, &str)> = rows
        .filter(|(_, (was, is))| was.number != is.number && !is.number.is_empty())
        .filter(|(_, (_, is))| !numbers[0].contains_key(is.number.as_str()))
        .filter(|(_, (was, _))| !numbers[1].contains_key(was.number.as_str()))
        .map(|(i, (_, is))| (i, is.number.as_str()))
        .collect();
    if renumbered.is_empty() {
        return Cow::Borrowed(old);
    }
    // Readings are not compared here.
    let mut job = Job { pieces: Vec::new(), ..old.clone() };
    for (index, number) in renumbered {
        job.renumber(index, number);
    }
    Cow::Owned(job)
}

fn features(
    old: &Drawing,
    new: &Drawing,
    measured: &Measured<'_>,
    found: &mut Vec<DocumentChange>,
) {
    if old.features == new.features {
        return;
    }
    let push = |found: &mut Vec<DocumentChange>, was: Option<&Feature>, now: Option<&Feature>| {
        found.push(DocumentChange::Feature(Box::new(Changed::new(was, now))));
    };
    // What a feature is and what is asked of it; its remark is not.
    let same = |a: &Feature, b: &Feature| {
        let bare = |f: &Feature| Feature { note: String::new(), ..f.clone() };
        a == b || bare(a) == bare(b)
    };
    let given = |f: &Feature| !f.number.is_empty() && (f.x.is_some() || f.y.is_some());
    let now = new.by_number();
    let as_many = old.features.len() == new.features.len();
    let mut kept: FxHashSet<usize> = FxHashSet::default();
    for (i, was) in old.features.iter().enumerate() {
        let by_number = now.get(was.number.as_str()).copied();
        match by_number.or(as_many.then_some(i)) {
            Some(at) => {
                kept.insert(at);
                let counts = measured.features.contains(was.number.as_str());
                if let Some(is) = new.features.get(at).filter(|is| counts && !same(was, is)) {
                    push(found, Some(was), Some(is));
                }
            }
            None if given(was) => push(found, Some(was), None),
            None => {}
        }
    }
    let added = new.features.iter().enumerate().filter(|(i, _)| !kept.contains(i));
    for (_, is) in added.filter(|(_, f)| given(f)) {
        push(found, None, Some(is));
    }
}

/// Pairs of what has the same name before and after.
fn by_name<'a, T, K: PartialEq>(
    old: &'a [T],
    new: &'a [T],
    name: impl Fn(&T) -> K,
) -> Vec<(Option<&'a T>, Option<&'a T>)> {
    let find = |list: &'a [T], key: &K| list.iter().find(|one| name(one) == *key);
    let mut pairs: Vec<_> = old.iter().map(|was| (Some(was), find(new, &name(was)))).collect();
    let added = new.iter().filter(|is| find(old, &name(is)).is_none());
    pairs.extend(added.map(|is| (None, Some(is))));
    pairs
}

fn datums(old: &Job, new: &Job, found: &mut Vec<DocumentChange>) {
    for (was, now) in by_name(&old.drawing.datums, &new.drawing.datums, |d| d.letter.clone()) {
        let bare = |d: Option<&Datum>| d.map(|d| Datum { what: String::new(), ..d.clone() });
        // A letter that nothing carries yet says nothing.
        let blank = |d: Option<&Datum>| d.is_none_or(|d| d.carriers().next().is_none());
        if bare(was) != bare(now) && !(blank(was) && blank(now)) {
            found.push(DocumentChange::Datum(Box::new(Changed::new(was, now))));
        }
    }
}

fn relations(old: &Job, new: &Job, found: &mut Vec<DocumentChange>) {
    let (was, now) = (&old.drawing.relations, &new.drawing.relations);
    // One that got another number is the same one.
    let renumbered = was.len() == now.len() && was.iter().zip(now).all(|(a, b)| a.kind == b.kind);
    if was == now || renumbered {
        return;
    }
    for (was, now) in by_name(was, now, |r| r.number.clone()) {
        if was.map(|r| &r.kind) != now.map(|r| &r.kind) {
            found.push(DocumentChange::Relation(Box::new(Changed::new(was, now))));
        }
    }
}

fn orientations(old: &Job, new: &Job, measured: &Measured<'_>, found: &mut Vec<DocumentChange>) {
    for (was, now) in by_name(&old.plan.orientations, &new.plan.orientations, |o| o.number) {
        let counts = was.is_some_and(|o| measured.orientations.contains(&o.number));
        if counts && was != now {
            found.push(DocumentChange::Orientation(Box::new(Changed::new(was, now))));
        }
    }
}

/// Instruments that something was measured with. The touches of a trial have a record of their own.
fn instruments(old: &Job, new: &Job, measured: &Measured<'_>, found: &mut Vec<DocumentChange>) {
    let bare = |i: &Instrument| {
        let trial = i.probe_found.as_ref().map(|trial| ProbeTrial {
            down: Vec::new(),
            up: Vec::new(),
            ..trial.clone()
        });
        Instrument { probe_found: trial, ..i.clone() }
    };
    let as_many = old.plan.instruments.len() == new.plan.instruments.len();
    for (index, was) in old.plan.instruments.iter().enumerate() {
        if !measured.instruments.contains(&index) {
            continue;
        }
        let now = match as_many {
            true => new.plan.instruments.get(index),
            false => new.plan.instruments.iter().find(|i| i.called() == was.called()),
        };
        let Some(is) = now else {
            found.push(DocumentChange::Instrument(Box::new(Changed::new(Some(was), None))));
            continue;
        };
        let (mut before, after) = (bare(was), bare(is));
        fill_text(&mut before.name, &after.name);
        fill_text(&mut before.identification, &after.identification);
        fill_text(&mut before.calibration_due, &after.calibration_due);
        fill_text(&mut before.certificate, &after.certificate);
        before.range = before.range.or(after.range);
        // A trial that is begun is no change; what the constant is taken from is one.
        if before.probe_found.is_none() {
            before.probe_found.clone_from(&after.probe_found);
        }
        if before != after {
            found.push(DocumentChange::Instrument(Box::new(Changed::new(Some(was), Some(is)))));
        }
    }
}

fn stated(was: &Piece, is: &Piece, converted: bool, found: &mut Vec<DocumentChange>) {
    let same = was.part_celsius == is.part_celsius
        && was.gauge_celsius == is.gauge_celsius
        && (was.squareness == is.squareness || converted)
        && was.grids == is.grids;
    if same {
        return;
    }
    let (before, after) = (Stated::of(was), Stated::of(is));
    if before.clone().filled_from(&after) != after {
        let stated = Box::new(Changed { was: Some(before), now: Some(after) });
        found.push(DocumentChange::Piece { serial: is.serial.clone(), stated });
    }
}
