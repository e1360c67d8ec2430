//! Reading and writing a job file, and its published schema.
//!
//! A file is taken whole or not at all: nothing is repaired, and the error names the place.

use super::{
    BOUNDS, Datum, Drawing, DrawingPlace, Feature, Job, Orientation, Piece, PieceChange,
    ProbeTrial, RelationLimits, Touch, older,
};
use crate::quantity::{Figure, Unit};
use std::collections::HashSet;
use std::fmt;

/// The value of `format` in every job file.
pub const FORMAT: &str = "quarterturn job";
/// The version that this program writes. It reads the ones before as well: version 1 knew no
/// zeros of single readings, no uncertainty and no guarded acceptance, version 2 no boundaries of
/// datums, no patterns and no lines of the drawing between features, version 3 no standard, no
/// translation modifier, no uncertainty of how the part stands, no other reference of a squareness
/// than the first orientation, and of what is judged together only separate requirements.
pub const VERSION: u32 = 4;

/// Why a file is no job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// Where: a path of names such as `drawing.features[3].size`, or line and column.
    pub place: String,
    /// What is wrong there.
    pub what: String,
    /// What to do about it.
    pub hint: String,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "At {}: {} {}", self.place, self.what, self.hint)
    }
}

impl std::error::Error for ReadError {}

pub(super) fn refuse<T>(
    place: impl Into<String>,
    what: impl Into<String>,
    hint: &str,
) -> Result<T, ReadError> {
    Err(ReadError { place: place.into(), what: what.into(), hint: hint.to_owned() })
}

/// Reads a job file.
///
/// # Errors
/// The first thing that makes the text no job of this version: not JSON, another format or
/// version, a field missing, unknown or of the wrong kind, a number out of [`BOUNDS`], or
/// two orientations or readings under one name. Two features under one number are a fault of
/// the drawing, which [`crate::findings`] says: a drawing is typed in bit by bit.
pub fn read(text: &str) -> Result<Job, ReadError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut value: serde_json::Value = match serde_json::from_str(text) {
        Ok(value) => value,
        Err(e) => {
            let what = if text.trim().is_empty() {
                "the file is empty."
            } else if e.is_eof() {
                "the text ends in the middle of a job."
            } else {
                "what stands there is not JSON text."
            };
            return refuse(
                format!("line {}, column {}", e.line(), e.column()),
                what,
                "The file is not a job of this program, or it is damaged. Open a file that \
                 Quarterturn has saved; it ends in .json.",
            );
        }
    };
    let named = value.get("format").and_then(serde_json::Value::as_str);
    if named != Some(FORMAT) {
        return refuse(
            "format",
            format!("this is not a Quarterturn job: `format` should be \"{FORMAT}\"."),
            "Open a file that Quarterturn has saved.",
        );
    }
    match value.get("version").and_then(serde_json::Value::as_u64) {
        Some(v) if v == u64::from(VERSION) => {}
        Some(1..=3) => older::separate_requirements(&mut value),
        Some(v) => {
            return refuse(
                "version",
                format!(
                    "the file is of version {v}, and this program reads versions up to {VERSION}."
                ),
                "Open it with the program that saved it, or with a newer Quarterturn.",
            );
        }
        None => {
            return refuse(
                "version",
                "the file does not say which version it is.",
                "Open a file that Quarterturn has saved.",
            );
        }
    }
    let mut job: Job = serde_path_to_error::deserialize(value).map_err(|e| {
        let path = e.path().to_string();
        let line = line_of(text, &path).map_or_else(String::new, |n| format!("In line {n} "));
        let the = if line.is_empty() { "The" } else { "the" };
        ReadError {
            place: if path == "." { "the top of the file".to_owned() } else { path },
            what: format!("{}.", in_words(&plain(e.inner()))),
            hint: format!(
                "{line}{the} file is damaged, or was changed by hand. Correct it there, or open the \
                 copy saved before."
            ),
        }
    })?;
    check(&job)?;
    job.version = VERSION;
    Ok(job)
}

/// The line of the text in which what stands at `path` cannot be read.
fn line_of(text: &str, path: &str) -> Option<usize> {
    let mut from = serde_json::Deserializer::from_str(text);
    let e = serde_path_to_error::deserialize::<_, Job>(&mut from).err()?;
    (e.path().to_string() == path).then(|| e.inner().line())
}

/// A serde message without the names of types that only a program knows.
fn in_words(message: &str) -> String {
    let Some((before, expected)) = message.rsplit_once("expected ") else {
        return message.to_owned();
    };
    let words = match expected {
        "u8" | "u16" | "u32" | "u64" | "usize" | "i32" | "i64" => "a whole number",
        "f64" => "a number",
        "a nonzero u8" => "a whole number from 1 to 255",
        other => match other.strip_prefix("struct ") {
            Some(_) => "an object",
            None => other,
        },
    };
    format!("{before}expected {words}")
}

/// A serde message without the line and column it ends in; those are said by the place.
fn plain(e: &serde_json::Error) -> String {
    let text = e.to_string();
    match text.rfind(" at line ") {
        Some(cut) => text[..cut].to_owned(),
        None => text,
    }
}

/// The text of a job file: indented, ending in a newline.
#[must_use]
pub fn write(job: &Job) -> String {
    // A document of plain structs, strings and finite numbers always serialises.
    let mut text = serde_json::to_string_pretty(job).unwrap_or_default();
    text.push('\n');
    text
}

/// The same without white space, for the store in the browser.
#[must_use]
pub fn write_compact(job: &Job) -> String {
    serde_json::to_string(job).unwrap_or_default()
}

/// The JSON Schema of a job file, made from the types.
#[must_use]
pub fn schema() -> String {
    let mut schema = schemars::schema_for!(Job);
    schema.insert("title".to_owned(), "Quarterturn job".into());
    let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    text.push('\n');
    text
}

fn within(place: &str, figure: Figure, unit: Unit, most_mm: f64) -> Result<(), ReadError> {
    let mm = figure.length(unit).to_mm();
    if mm.is_finite() && mm.abs() <= most_mm {
        return Ok(());
    }
    refuse(
        place,
        format!("{} {} is beyond what can be measured here ({most_mm} mm).", figure.0, unit.word()),
        "Check the figure and its unit.",
    )
}

fn at_most(place: &str, count: usize, most: usize) -> Result<(), ReadError> {
    if count <= most {
        return Ok(());
    }
    refuse(place, format!("{count} entries are more than the {most} allowed."), "Split the job.")
}

fn label(place: &str, text: &str) -> Result<(), ReadError> {
    if text.chars().count() <= BOUNDS.label_chars {
        return Ok(());
    }
    refuse(
        place,
        format!("a number or letter may have {} characters.", BOUNDS.label_chars),
        "Shorten it.",
    )
}

fn text(place: &str, text: &str) -> Result<(), ReadError> {
    if text.chars().count() <= BOUNDS.text_chars {
        return Ok(());
    }
    refuse(place, format!("a text may have {} characters.", BOUNDS.text_chars), "Shorten it.")
}

/// What the types alone cannot refuse: bounds, counts and names used twice.
fn check(job: &Job) -> Result<(), ReadError> {
    check_drawing(job)?;
    check_plan(job)?;
    let s = &job.shipment;
    for (name, said) in [
        ("issuer", &s.issuer),
        ("issuer_address", &s.issuer_address),
        ("customer", &s.customer),
        ("order", &s.order),
        ("lot", &s.lot),
        ("quantity", &s.quantity),
        ("inspected", &s.inspected),
        ("report_number", &s.report_number),
        ("report_revision", &s.report_revision),
        ("approved_by", &s.approved_by),
        ("notes", &s.notes),
    ] {
        text(&format!("shipment.{name}"), said)?;
    }
    at_most("pieces", job.pieces.len(), BOUNDS.pieces)?;
    for (p, piece) in job.pieces.iter().enumerate() {
        for (name, said) in [
            ("serial", &piece.serial),
            ("inspector", &piece.inspector),
            ("date", &piece.date),
            ("temperature", &piece.temperature),
            ("notes", &piece.notes),
        ] {
            text(&format!("pieces[{p}].{name}"), said)?;
        }
        check_sweeps(job, piece, &format!("pieces[{p}].sweeps"))?;
        check_grids(job, p)?;
        let mut seen = HashSet::new();
        for (i, reading) in piece.readings.iter().enumerate() {
            let place = format!("pieces[{p}].readings[{i}]");
            if !seen.insert((reading.orientation, reading.feature.as_str())) {
                return refuse(
                    place,
                    format!(
                        "feature {} has two entries in orientation {}.",
                        reading.feature, reading.orientation
                    ),
                    "Put repeats of a touch into one entry.",
                );
            }
            label(&place, &reading.feature)?;
            let unit = job
                .orientation(reading.orientation)
                .map_or(job.drawing.unit, |o: &Orientation| job.reading_unit(o));
            for touch in Touch::ALL {
                at_most(&place, reading.values(touch).len(), BOUNDS.repeats)?;
                for value in reading.values(touch) {
                    within(&place, *value, unit, BOUNDS.length_mm)?;
                }
            }
        }
    }
    check_piece_record(job)?;
    for (i, entry) in job.document_record.iter().enumerate() {
        for said in [&entry.when, &entry.who, &entry.why] {
            text(&format!("document_record[{i}]"), said)?;
        }
    }
    Ok(())
}

/// Removed pieces and changed serial numbers: the texts, and nothing about what was read. It was
/// within bounds when it was read, and its orientation may be gone, without which its unit is unknown.
fn check_piece_record(job: &Job) -> Result<(), ReadError> {
    for (i, entry) in job.piece_record.iter().enumerate() {
        let place = format!("piece_record[{i}]");
        let texts: &[&String] = match &entry.change {
            PieceChange::Removed(p) => {
                &[&p.serial, &p.inspector, &p.date, &p.temperature, &p.notes]
            }
            PieceChange::PutBack(serial) => &[serial],
            PieceChange::SerialNumber { was, now } => &[was, now],
        };
        for said in texts.iter().copied().chain([&entry.when, &entry.who, &entry.why]) {
            text(&place, said)?;
        }
    }
    Ok(())
}

fn check_sweeps(job: &Job, piece: &Piece, place: &str) -> Result<(), ReadError> {
    let mut seen = HashSet::new();
    for (i, sweep) in piece.sweeps.iter().enumerate() {
        let place = format!("{place}[{i}]");
        if !seen.insert((sweep.orientation, sweep.feature.as_str())) {
            return refuse(
                place,
                format!(
                    "feature {} has two sweeps in orientation {}.",
                    sweep.feature, sweep.orientation
                ),
                "Keep one of them.",
            );
        }
        label(&place, &sweep.feature)?;
        let unit =
            job.orientation(sweep.orientation).map_or(job.drawing.unit, |o| job.reading_unit(o));
        for reading in [sweep.lowest, sweep.highest] {
            within(&place, reading, unit, BOUNDS.length_mm)?;
        }
        if sweep.lowest > sweep.highest {
            return refuse(
                place,
                "the lowest reading of a sweep is above its highest.",
                "Exchange the two, or correct them.",
            );
        }
    }
    Ok(())
}

fn check_drawing(job: &Job) -> Result<(), ReadError> {
    let drawing = &job.drawing;
    let unit = drawing.unit;
    if drawing.decimals > BOUNDS.decimals {
        return refuse(
            "drawing.decimals",
            format!("a drawing may write up to {} decimals.", BOUNDS.decimals),
            "Correct the number.",
        );
    }
    for (name, said) in [
        ("part_number", &drawing.part_number),
        ("part_name", &drawing.part_name),
        ("number", &drawing.number),
        ("revision", &drawing.revision),
        ("material", &drawing.material),
    ] {
        text(&format!("drawing.{name}"), said)?;
    }
    for (i, datum) in drawing.datums.iter().enumerate() {
        label(&format!("drawing.datums[{i}].letter"), &datum.letter)?;
        text(&format!("drawing.datums[{i}].what"), &datum.what)?;
        if let Some(boundary) = datum.boundary {
            within(&format!("drawing.datums[{i}].boundary"), boundary, unit, BOUNDS.size_mm)?;
        }
        check_pattern(&format!("drawing.datums[{i}].pattern"), datum)?;
    }
    at_most("drawing.features", drawing.features.len(), BOUNDS.features)?;
    if let Some(o) = &drawing.outline {
        for figure in [o.left, o.bottom, o.right, o.top] {
            within("drawing.outline", figure, unit, BOUNDS.length_mm)?;
        }
    }
    for (i, f) in drawing.features.iter().enumerate() {
        let place = format!("drawing.features[{i}]");
        label(&format!("{place}.number"), &f.number)?;
        text(&format!("{place}.note"), &f.note)?;
        for (name, figure) in [("x", f.x), ("y", f.y)] {
            if let Some(figure) = figure {
                within(&format!("{place}.{name}"), figure, unit, BOUNDS.length_mm)?;
            }
        }
        if let Some(size) = f.size {
            for figure in size.figures() {
                within(&format!("{place}.size"), figure, unit, BOUNDS.size_mm)?;
            }
        }
        check_not_understood(f, &format!("{place}.not_understood"))?;
        at_most(&format!("{place}.callouts"), f.callouts.len(), BOUNDS.callouts)?;
        for (c, p) in f.positions().enumerate() {
            let place = format!("{place}.callouts[{c}]");
            at_most(&format!("{place}.lower"), p.lower.len(), BOUNDS.callouts)?;
            label(&format!("{place}.pattern"), &p.pattern)?;
            let lower = p.lower.iter().map(|s| (s.tolerance, &s.datums));
            for (tolerance, datums) in std::iter::once((p.tolerance, &p.datums)).chain(lower) {
                within(&place, tolerance, unit, BOUNDS.tolerance_mm)?;
                for datum in datums {
                    label(&format!("{place}.datums"), &datum.letter)?;
                }
            }
        }
    }
    check_drawing_texts(&job.drawing)?;
    check_relations(job)
}

/// What was typed beside the features: each place once, and of what is on the drawing, since it could
/// not be corrected elsewhere.
fn check_drawing_texts(drawing: &Drawing) -> Result<(), ReadError> {
    let mut places = HashSet::new();
    for (i, refused) in drawing.not_understood.iter().enumerate() {
        let place = format!("drawing.not_understood[{i}]");
        typed_text(&place, &refused.typed)?;
        let on_drawing = match (refused.place.datum(), refused.place.line()) {
            (Some(letter), _) => drawing.datums.iter().any(|d| d.letter == *letter),
            (_, Some(number)) => drawing.relations.iter().any(|r| r.number == *number),
            (None, None) => true,
        };
        if !on_drawing {
            let name = place_name(&refused.place);
            return refuse(
                format!("{place}.place"),
                format!("the {name} is not on the drawing."),
                "Leave the entry out.",
            );
        }
        if !places.insert(&refused.place) {
            return refuse(place, "two texts stand for one place.", "Keep one of them.");
        }
    }
    Ok(())
}

/// The datum or the line that was typed of.
fn place_name(place: &DrawingPlace) -> String {
    match (place.datum(), place.line()) {
        (Some(letter), _) => format!("datum {letter}"),
        (_, Some(number)) => format!("line {number}"),
        (None, None) => "outline".to_owned(),
    }
}

/// A text that is kept as it was typed.
fn typed_text(place: &str, typed: &str) -> Result<(), ReadError> {
    text(&format!("{place}.typed"), typed)?;
    if typed.trim().is_empty() {
        return refuse(
            format!("{place}.typed"),
            "nothing was typed there.",
            "Leave the entry out.",
        );
    }
    Ok(())
}

fn check_not_understood(feature: &Feature, place: &str) -> Result<(), ReadError> {
    let mut fields = HashSet::new();
    for (i, refused) in feature.not_understood.iter().enumerate() {
        let place = format!("{place}[{i}]");
        typed_text(&place, &refused.typed)?;
        if !fields.insert(refused.field) {
            return refuse(place, "two texts stand for one field.", "Keep one of them.");
        }
    }
    Ok(())
}

/// Relations. A feature that is not on the drawing is no fault of the file: a relation keeps
/// the name of one that was removed.
fn check_relations(job: &Job) -> Result<(), ReadError> {
    let (relations, unit) = (&job.drawing.relations, job.drawing.unit);
    at_most("drawing.lines", relations.len(), BOUNDS.relations)?;
    let mut numbers = HashSet::new();
    for (i, relation) in relations.iter().enumerate() {
        let place = format!("drawing.lines[{i}]");
        label(&format!("{place}.number"), &relation.number)?;
        text(&format!("{place}.note"), &relation.note)?;
        if !numbers.insert(relation.number.as_str()) {
            return refuse(
                format!("{place}.number"),
                format!("two lines have the number {}.", relation.number),
                "Give each its own.",
            );
        }
        let features = relation.kind.features();
        at_most(&format!("{place}.asks"), features.len(), BOUNDS.relation_features)?;
        for feature in features {
            match relation.kind.takes_words() {
                true => text(&format!("{place}.asks"), feature)?,
                false => label(&format!("{place}.asks"), feature)?,
            }
        }
        for figure in relation.kind.limits().map(RelationLimits::figures).unwrap_or_default() {
            within(&format!("{place}.asks"), figure, unit, BOUNDS.length_mm)?;
        }
        for tolerance in relation.kind.tolerances() {
            within(&format!("{place}.asks"), tolerance, unit, BOUNDS.tolerance_mm)?;
        }
    }
    Ok(())
}

/// Grids of heights of the piece with index `p`.
fn check_grids(job: &Job, p: usize) -> Result<(), ReadError> {
    let Some(piece) = job.pieces.get(p) else { return Ok(()) };
    let mut relations = HashSet::new();
    for (i, grid) in piece.grids.iter().enumerate() {
        let place = format!("pieces[{p}].grids[{i}]");
        label(&format!("{place}.line"), &grid.relation)?;
        if !relations.insert(grid.relation.as_str()) {
            return refuse(
                format!("{place}.line"),
                format!("line {} has two grids.", grid.relation),
                "Put all points into one.",
            );
        }
        at_most(&format!("{place}.points"), grid.points.len(), BOUNDS.grid_points)?;
        let unit = job.plan.instruments.get(grid.instrument).map_or(job.drawing.unit, |i| i.unit);
        for figure in grid.points.iter().flatten() {
            within(&format!("{place}.points"), *figure, unit, BOUNDS.length_mm)?;
        }
    }
    Ok(())
}

/// A number that no feature has is a fault of the drawing, as it is of a single datum feature: a
/// feature may have been taken away for a moment.
fn check_pattern(place: &str, datum: &Datum) -> Result<(), ReadError> {
    let Some(pattern) = &datum.pattern else { return Ok(()) };
    if datum.feature.is_some() {
        return refuse(
            place,
            "a datum stands on a single feature or on a pattern, not on both.",
            "Keep one of them.",
        );
    }
    let fewest = pattern.kind.fewest();
    if pattern.features.len() < fewest {
        let what = format!("a {} is made of {fewest} features or more.", pattern.kind.word());
        return refuse(place, what, "Name the others too.");
    }
    at_most(place, pattern.features.len(), BOUNDS.pattern)?;
    pattern.features.iter().try_for_each(|number| label(place, number))
}

/// A plain number that has no unit of length, within ± `most`.
fn moderate(place: &str, value: f64, most: f64) -> Result<(), ReadError> {
    if value.is_finite() && value.abs() <= most {
        return Ok(());
    }
    refuse(place, format!("{value} is not between -{most} and {most}."), "Check the figure.")
}

fn not_negative(place: &str, standard: Figure) -> Result<(), ReadError> {
    if standard.0 < 0.0 {
        return refuse(place, "a standard uncertainty is not negative.", "Correct the figure.");
    }
    Ok(())
}

fn check_conditions(job: &Job) -> Result<(), ReadError> {
    let (unit, c) = (job.drawing.unit, &job.plan.conditions);
    let place = |name: &str| format!("plan.conditions.{name}");
    if let Some(flatness) = c.plate_flatness {
        within(&place("plate_flatness"), flatness, unit, BOUNDS.tolerance_mm)?;
    }
    if let Some(standard) = c.rest_standard {
        within(&place("rest_standard"), standard, unit, BOUNDS.tolerance_mm)?;
        not_negative(&place("rest_standard"), standard)?;
    }
    if let Some(s) = c.squareness {
        within(&place("squareness"), s.deviation, unit, BOUNDS.tolerance_mm)?;
        within(&place("squareness"), s.over, unit, BOUNDS.length_mm)?;
    }
    for (name, value) in [
        ("part_expansion", c.part_expansion),
        ("gauge_expansion", c.gauge_expansion),
        ("temperature_limit", c.temperature_limit),
    ] {
        moderate(&place(name), value.unwrap_or(0.0), BOUNDS.celsius)?;
    }
    let guard = job.plan.decision_rule.guard();
    moderate("plan.decision_rule", guard, BOUNDS.guard)?;
    if guard < 0.0 {
        return refuse(
            "plan.decision_rule",
            "a guard band is not negative.",
            "Correct the multiple; 0 keeps none.",
        );
    }
    for (p, piece) in job.pieces.iter().enumerate() {
        for value in [piece.part_celsius, piece.gauge_celsius].into_iter().flatten() {
            moderate(&format!("pieces[{p}]: a temperature"), value, BOUNDS.celsius)?;
        }
        for s in &piece.squareness {
            let place = format!("pieces[{p}].squareness");
            within(&place, s.farther_out, unit, BOUNDS.tolerance_mm)?;
            within(&place, s.over, unit, BOUNDS.length_mm)?;
            if let Some(standard) = s.standard {
                within(&format!("{place}.standard"), standard, unit, BOUNDS.tolerance_mm)?;
                not_negative(&format!("{place}.standard"), standard)?;
            }
            if s.against == Some(s.orientation) {
                return refuse(
                    format!("{place}.against"),
                    "an edge is not out of square to itself.",
                    "Name the orientation that stands on the other edge.",
                );
            }
        }
        for z in &piece.zero_checks {
            let unit = job.orientation(z.orientation).map_or(unit, |o| job.reading_unit(o));
            within(&format!("pieces[{p}].zero_checks"), z.end, unit, BOUNDS.length_mm)?;
        }
    }
    Ok(())
}

fn check_trial(place: &str, trial: &ProbeTrial, unit: Unit) -> Result<(), ReadError> {
    if let Some(known) = trial.way.known() {
        within(&format!("{place}.way"), known, unit, BOUNDS.length_mm)?;
        if known.0 < 0.0 {
            return refuse(
                format!("{place}.way"),
                "a gap or a thickness is not negative.",
                "Correct the figure.",
            );
        }
    }
    if let Some(standard) = trial.known_standard {
        within(&format!("{place}.known_standard"), standard, unit, BOUNDS.tolerance_mm)?;
    }
    for (name, touches) in [("down", &trial.down), ("up", &trial.up)] {
        let place = format!("{place}.{name}");
        at_most(&place, touches.len(), BOUNDS.repeats)?;
        for touch in touches {
            within(&place, *touch, unit, BOUNDS.length_mm)?;
        }
    }
    Ok(())
}

fn check_plan(job: &Job) -> Result<(), ReadError> {
    let plan = &job.plan;
    at_most("plan.instruments", plan.instruments.len(), BOUNDS.instruments)?;
    at_most("plan.orientations", plan.orientations.len(), BOUNDS.orientations)?;
    for (i, instrument) in plan.instruments.iter().enumerate() {
        let place = format!("plan.instruments[{i}]");
        text(&format!("{place}.name"), &instrument.name)?;
        text(&format!("{place}.identification"), &instrument.identification)?;
        text(&format!("{place}.calibration_due"), &instrument.calibration_due)?;
        text(&format!("{place}.certificate"), &instrument.certificate)?;
        within(&place, instrument.resolution, instrument.unit, BOUNDS.length_mm)?;
        if let Some(range) = instrument.range {
            within(&format!("{place}.range"), range, instrument.unit, BOUNDS.length_mm)?;
        }
        if let Some(limit) = instrument.error_limit {
            within(&format!("{place}.error_limit"), limit, instrument.unit, BOUNDS.length_mm)?;
        }
        for (name, figure) in [
            ("repeatability", instrument.repeatability),
            ("probe_standard", instrument.probe_standard),
        ] {
            if let Some(figure) = figure {
                within(&format!("{place}.{name}"), figure, instrument.unit, BOUNDS.tolerance_mm)?;
            }
        }
        moderate(&format!("{place}.error_growth"), instrument.error_growth.unwrap_or(0.0), 1e4)?;
        if let super::Probe::Constant(k) = instrument.probe {
            within(&format!("{place}.probe"), k, instrument.unit, BOUNDS.probe_mm)?;
        }
        if let Some(trial) = &instrument.probe_found {
            check_trial(&format!("{place}.probe_found"), trial, instrument.unit)?;
        }
    }
    at_most("plan.materials", plan.materials.len(), BOUNDS.materials)?;
    for (i, material) in plan.materials.iter().enumerate() {
        if let Some(why) = plan.materials.get(..i).and_then(|before| material.refused(before)) {
            return refuse(format!("plan.materials[{i}]"), why, "Correct it, or leave it out.");
        }
    }
    check_conditions(job)?;
    let mut numbers = HashSet::new();
    for (i, o) in plan.orientations.iter().enumerate() {
        let place = format!("plan.orientations[{i}]");
        if o.number > 9_999 {
            return refuse(
                format!("{place}.number"),
                "an orientation has a number up to 9999.",
                "Correct the number.",
            );
        }
        if !numbers.insert(o.number) {
            return refuse(
                format!("{place}.number"),
                format!("two orientations have the number {}.", o.number),
                "Give each its own.",
            );
        }
        if !(o.up_degrees.is_finite() && o.up_degrees.abs() <= 360.0) {
            return refuse(
                format!("{place}.up_degrees"),
                "the direction that is up is an angle between -360 and 360 degrees.",
                "Correct the angle.",
            );
        }
        if let Some(height) = o.rest.blocks.height() {
            let place = format!("{place}.rest.blocks");
            within(&place, height, job.reading_unit(o), BOUNDS.length_mm)?;
        }
    }
    Ok(())
}
