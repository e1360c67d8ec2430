//! The record: what was read before a correction is never lost (ISO/IEC 17025:2017, 7.5.2).

use super::document_record::record_document;
use super::piece_record::{match_pieces, record_pieces};
use super::{Instrument, Job, Piece, ProbeTrial, Reading, Touch, Zero};
use crate::quantity::Figure;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;

/// One observation that was replaced or taken back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// Serial number of the piece, as it is now; empty for a touch of an instrument's trial.
    pub piece: String,
    /// The instrument of the trial that the touch belongs to, with its identification.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub instrument: String,
    /// Orientation it was made in; 0 for a touch of an instrument's trial.
    #[serde(default)]
    pub orientation: u32,
    /// Feature it was made on; empty for the zero of the orientation.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub feature: String,
    /// Which observation.
    pub touch: Observed,
    /// What stood there: one value or its repeats, in the instrument's unit.
    pub was: Vec<Figure>,
    /// What stands there now; empty when it was taken back.
    pub now: Vec<Figure>,
    /// What it counts from, where that was changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zero: Option<ZeroChange>,
    /// When, UTC, as `2026-11-25 07:10:42`.
    pub when: String,
    /// Who.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    /// Why, where it was said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

impl Correction {
    /// Whether it belongs to the piece with this serial number.
    #[must_use]
    pub fn is_of(&self, serial: &str) -> bool {
        self.instrument.is_empty() && self.piece == serial
    }
}

/// What was observed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Observed {
    /// What the zero of the orientation read at its end.
    ZeroAtEnd,
    /// The lowest and the highest reading of a sweep, in this order.
    Sweep,
    /// The touches from above of an instrument's trial.
    ProbeDown,
    /// The touches from below of an instrument's trial.
    ProbeUp,
    /// A touch of a feature.
    #[serde(untagged)]
    Touch(Touch),
}

impl Observed {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::ZeroAtEnd => "zero at the end",
            Self::Sweep => "sweep, lowest and highest",
            Self::ProbeDown => "trial of the probe constant, from above",
            Self::ProbeUp => "trial of the probe constant, from below",
            Self::Touch(touch) => touch.word(),
        }
    }
}

/// A reading was said to count from something else. Absent is the zero of the orientation.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ZeroChange {
    /// What it counted from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub was: Option<Zero>,
    /// What it counts from now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub now: Option<Zero>,
}

/// Appends to `new.record` every observation of `old` that `new` no longer holds as it was:
/// readings, what zeros read at the end, sweeps, and the touches of trials of a probe constant.
///
/// A further repeat behind values that stay is no correction; anything else that changes or
/// removes a value is, and so is another zero for values that are there. `new.record` first takes
/// over what `old` had recorded, so that stepping back to an earlier state of the document cannot
/// lose an entry. A piece that was removed is kept whole in `new.piece_record`, which also keeps the
/// changes of serial numbers. What was changed of drawing, plan and statements after something was
/// measured goes into `new.document_record`.
pub fn record_changes(old: &Job, new: &mut Job, when: &str, who: &str) {
    take_over(&old.record, &mut new.record);
    // A feature that was given another number, its readings with it, is no correction.
    let mut renamed: HashMap<&str, &str> = HashMap::new();
    if old.drawing.features.len() == new.drawing.features.len() {
        for (was, is) in old.drawing.features.iter().zip(&new.drawing.features) {
            if was.number != is.number && new.feature(&was.number).is_none() {
                renamed.insert(&was.number, &is.number);
            }
        }
    }
    let matched = match_pieces(&old.pieces, &new.pieces);
    let mut found = Vec::new();
    for (was, is) in old.pieces.iter().zip(&matched) {
        let Some(is) = is.and_then(|index| new.pieces.get(index)) else { continue };
        readings(was, is, &renamed, &mut found);
        zeros_at_the_end(was, is, &mut found);
        sweeps(was, is, &renamed, &mut found);
    }
    trials(&old.plan.instruments, &new.plan.instruments, &mut found);
    new.record.extend(found.into_iter().map(|c| Correction {
        when: when.to_owned(),
        who: who.to_owned(),
        ..c
    }));
    record_document(old, new, &matched, when, who);
    record_pieces(old, new, &matched, when, who);
}

/// Lets `new` go on where `old` ended, unless it does already: no entry is ever lost.
pub(super) fn take_over<E: Clone + PartialEq>(old: &[E], new: &mut Vec<E>) {
    if !new.starts_with(old) {
        *new = old.to_vec();
    }
}

/// An entry of which nobody knows yet when it was made, by whom and why.
fn entry(piece: &Piece, orientation: u32, touch: Observed, was: &[Figure]) -> Correction {
    Correction {
        piece: piece.serial.clone(),
        instrument: String::new(),
        orientation,
        feature: String::new(),
        touch,
        was: was.to_vec(),
        now: Vec::new(),
        zero: None,
        when: String::new(),
        who: String::new(),
        why: String::new(),
    }
}

fn readings(was: &Piece, is: &Piece, renamed: &HashMap<&str, &str>, found: &mut Vec<Correction>) {
    if is.readings == was.readings {
        return;
    }
    let now: HashMap<(u32, &str), &Reading> =
        is.readings.iter().map(|r| ((r.orientation, r.feature.as_str()), r)).collect();
    for reading in &was.readings {
        let name = reading.feature.as_str();
        let name = renamed.get(name).copied().unwrap_or(name);
        let standing = now.get(&(reading.orientation, name));
        let zero = standing.and_then(|r| rezeroed(reading, r, renamed));
        for touch in Touch::ALL {
            let before = reading.values(touch);
            let after = standing.map_or(&[][..], |r| r.values(touch));
            let counts_anew = zero.is_some() && !after.is_empty();
            if before.is_empty() || (after.starts_with(before) && !counts_anew) {
                continue;
            }
            found.push(Correction {
                feature: reading.feature.clone(),
                now: after.to_vec(),
                zero: zero.clone().filter(|_| counts_anew),
                ..entry(was, reading.orientation, Observed::Touch(touch), before)
            });
        }
    }
}

fn zeros_at_the_end(was: &Piece, is: &Piece, found: &mut Vec<Correction>) {
    for check in &was.zero_checks {
        if !is.zero_checks.contains(check) {
            let now = is.zero_check(check.orientation);
            found.push(Correction {
                now: now.into_iter().collect(),
                ..entry(was, check.orientation, Observed::ZeroAtEnd, &[check.end])
            });
        }
    }
}

fn sweeps(was: &Piece, is: &Piece, renamed: &HashMap<&str, &str>, found: &mut Vec<Correction>) {
    for sweep in &was.sweeps {
        let name = sweep.feature.as_str();
        let name = renamed.get(name).copied().unwrap_or(name);
        let before = [sweep.lowest, sweep.highest];
        let now = is.sweep(sweep.orientation, name);
        let now = now.map(|s| [s.lowest, s.highest]);
        if now != Some(before) {
            found.push(Correction {
                feature: sweep.feature.clone(),
                now: now.map(Vec::from).unwrap_or_default(),
                ..entry(was, sweep.orientation, Observed::Sweep, &before)
            });
        }
    }
}

/// Touches of the trials of probe constants. An instrument is known by its place among the others
/// or, where there are more or fewer now, by what it is called.
fn trials(old: &[Instrument], new: &[Instrument], found: &mut Vec<Correction>) {
    for (index, was) in old.iter().enumerate() {
        let Some(before) = &was.probe_found else { continue };
        let is = if old.len() == new.len() {
            new.get(index)
        } else {
            new.iter().find(|i| i.called() == was.called())
        };
        let after = is.and_then(|i| i.probe_found.as_ref());
        let called = was.called();
        let called = if called.is_empty() { format!("instrument {}", index + 1) } else { called };
        let none = ProbeTrial::default();
        let after = after.unwrap_or(&none);
        let sides = [
            (Observed::ProbeDown, &before.down, &after.down),
            (Observed::ProbeUp, &before.up, &after.up),
        ];
        for (touch, was, now) in sides {
            if was.is_empty() || now.starts_with(was) {
                continue;
            }
            found.push(Correction {
                instrument: called.clone(),
                now: now.clone(),
                ..entry(&Piece::default(), 0, touch, was)
            });
        }
    }
}

/// How the zero of a reading changed, if it did. A zero at a feature that was given another number is
/// the same zero.
fn rezeroed(was: &Reading, is: &Reading, renamed: &HashMap<&str, &str>) -> Option<ZeroChange> {
    let same = match (&was.zero, &is.zero) {
        (Some(Zero::Feature(a)), Some(Zero::Feature(b))) => {
            a == b || renamed.get(a.as_str()) == Some(&b.as_str())
        }
        (a, b) => a == b,
    };
    (!same).then(|| ZeroChange { was: was.zero.clone(), now: is.zero.clone() })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    fn read_from(zero: Option<Zero>) -> Job {
        let mut job = Job::empty(Unit::Mm);
        job.pieces[0].set_zero(1, "C", zero);
        job.pieces[0].set_values(1, "C", Touch::Face, vec![Figure(2.0)]);
        job
    }

    #[test]
    fn another_zero_for_a_reading_is_recorded() {
        let at = Some(Zero::Feature("B".to_owned()));
        let (old, mut new) = (read_from(None), read_from(at.clone()));
        record_changes(&old, &mut new, "now", "who");
        assert_eq!(new.record.len(), 1);
        let entry = &new.record[0];
        assert_eq!((&entry.was, &entry.now), (&vec![Figure(2.0)], &vec![Figure(2.0)]));
        assert_eq!(entry.zero, Some(ZeroChange { was: None, now: at }));
    }

    #[test]
    fn a_zero_said_before_anything_is_read_or_renumbered_is_no_correction() {
        let old = Job::empty(Unit::Mm);
        let mut new = old.clone();
        new.pieces[0].set_zero(1, "C", Some(Zero::Plate));
        record_changes(&old, &mut new, "now", "who");
        assert_eq!(new.record, vec![]);
        let old = read_from(Some(Zero::Feature("B".to_owned())));
        let mut new = old.clone();
        let b = new.drawing.features.iter().position(|f| f.number == "B").unwrap();
        new.renumber(b, "L");
        record_changes(&old, &mut new, "now", "who");
        assert_eq!(new.record, vec![]);
    }

    #[test]
    fn a_zero_at_the_end_that_is_replaced_or_taken_back_is_recorded() {
        let mut old = Job::empty(Unit::Mm);
        old.pieces[0].serial = "7".to_owned();
        let mut new = old.clone();
        new.pieces[0].set_zero_check(2, Some(Figure(0.004)));
        record_changes(&old, &mut new, "t1", "A");
        assert_eq!(new.record, vec![], "a first one is no correction");
        let mut other = new.clone();
        other.pieces[0].set_zero_check(2, Some(Figure(0.001)));
        record_changes(&new, &mut other, "t2", "A");
        let entry = Correction {
            piece: "7".to_owned(),
            instrument: String::new(),
            orientation: 2,
            feature: String::new(),
            touch: Observed::ZeroAtEnd,
            was: vec![Figure(0.004)],
            now: vec![Figure(0.001)],
            zero: None,
            when: "t2".to_owned(),
            who: "A".to_owned(),
            why: String::new(),
        };
        assert_eq!(other.record, vec![entry]);
        let mut gone = other.clone();
        gone.pieces[0].set_zero_check(2, None);
        record_changes(&other, &mut gone, "t3", "A");
        assert_eq!((gone.record.len(), &gone.record[1].was), (2, &vec![Figure(0.001)]));
        assert_eq!(gone.record[1].now, vec![]);
    }

    #[test]
    fn a_touch_of_a_trial_that_is_replaced_is_recorded_and_a_further_one_is_not() {
        let mut old = Job::empty(Unit::Mm);
        old.plan.instruments[0].identification = "HG-3".to_owned();
        let with = |down: &[f64], up: &[f64]| {
            let figures = |values: &[f64]| values.iter().map(|v| Figure(*v)).collect();
            let mut job = old.clone();
            job.plan.instruments[0].probe_found =
                Some(ProbeTrial { down: figures(down), up: figures(up), ..ProbeTrial::default() });
            job
        };
        let first = with(&[30.0], &[26.0]);
        let mut more = with(&[30.0, 30.001], &[26.0]);
        record_changes(&first, &mut more, "t1", "A");
        assert_eq!(more.record, vec![]);
        let mut other = with(&[30.0, 30.002], &[26.0]);
        record_changes(&more, &mut other, "t2", "A");
        let entry = &other.record[0];
        assert_eq!(
            (entry.instrument.as_str(), entry.touch),
            ("Height gauge HG-3", Observed::ProbeDown)
        );
        assert_eq!(entry.was, [Figure(30.0), Figure(30.001)]);
        assert_eq!(entry.now, [Figure(30.0), Figure(30.002)]);
        // The instrument removed, its trial with it: another one in its place is not it.
        let mut gone = other.clone();
        gone.plan.instruments.clear();
        record_changes(&other, &mut gone, "t3", "A");
        assert_eq!(gone.record.len(), 3);
        assert!(gone.record[1..].iter().all(|c| c.now.is_empty() && c.piece.is_empty()));
    }

    #[test]
    fn a_sweep_that_is_replaced_is_recorded_and_a_renumbered_one_is_not() {
        let mut old = Job::empty(Unit::Mm);
        old.pieces[0].set_sweep(1, "C", Some((Figure(-0.002), Figure(0.004))));
        let mut renumbered = old.clone();
        let c = old.drawing.features.iter().position(|f| f.number == "C").unwrap();
        renumbered.renumber(c, "L");
        record_changes(&old, &mut renumbered, "now", "who");
        assert_eq!(renumbered.record, vec![]);
        let mut new = old.clone();
        new.pieces[0].set_sweep(1, "C", Some((Figure(-0.002), Figure(0.005))));
        record_changes(&old, &mut new, "now", "who");
        let entry = &new.record[0];
        assert_eq!((entry.touch, entry.feature.as_str()), (Observed::Sweep, "C"));
        assert_eq!(entry.was, [Figure(-0.002), Figure(0.004)]);
        assert_eq!(entry.now, [Figure(-0.002), Figure(0.005)]);
        let mut gone = new.clone();
        gone.pieces[0].set_sweep(1, "C", None);
        record_changes(&new, &mut gone, "now", "who");
        assert_eq!((gone.record.len(), &gone.record[1].now), (2, &vec![]));
    }

    #[test]
    fn observations_are_named_in_the_file_as_they_always_were() {
        for (touch, word) in [
            (Observed::Touch(Touch::Low), "\"low\""),
            (Observed::Touch(Touch::Centre), "\"centre\""),
            (Observed::ZeroAtEnd, "\"zero_at_end\""),
        ] {
            assert_eq!(serde_json::to_string(&touch).unwrap(), word);
            assert_eq!(serde_json::from_str::<Observed>(word).unwrap(), touch);
        }
        assert!(serde_json::from_str::<Observed>("\"lower\"").is_err());
    }
}
