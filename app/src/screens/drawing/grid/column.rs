//! The columns of the table of features: what each shows, and what may be typed into it.

use quarterturn_core::entry::{self, EntryError};
use quarterturn_core::job::{
    BOUNDS, Callout, DatumRef, Drawing, Feature, FeatureField, Job, Kind, Modifier, Position,
    SizeLimits,
};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};
use quarterturn_core::show::{Figures, callouts_text, datums_text, size_text};

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) enum Column {
    Number,
    Kind,
    Direction,
    X,
    Y,
    Size,
    Tolerance,
    Modifier,
    Datums,
    Note,
}

impl Column {
    /// In the order of the table.
    pub(crate) const ALL: [Self; 10] = [
        Self::Number,
        Self::Kind,
        Self::Direction,
        Self::X,
        Self::Y,
        Self::Size,
        Self::Tolerance,
        Self::Modifier,
        Self::Datums,
        Self::Note,
    ];

    /// Place in the table, from 0.
    pub(super) const fn index(self) -> usize {
        self as usize
    }

    /// The field of the document that it is about; none for remarks, which are never refused.
    pub(super) const fn field(self) -> Option<FeatureField> {
        Some(match self {
            Self::Number => FeatureField::Number,
            Self::Kind => FeatureField::Kind,
            Self::Direction => FeatureField::Direction,
            Self::X => FeatureField::X,
            Self::Y => FeatureField::Y,
            Self::Size => FeatureField::Size,
            Self::Tolerance => FeatureField::Position,
            Self::Modifier => FeatureField::Modifier,
            Self::Datums => FeatureField::Datums,
            Self::Note => return None,
        })
    }

    /// The column of a field.
    pub(crate) const fn of(field: FeatureField) -> Self {
        match field {
            FeatureField::Number => Self::Number,
            FeatureField::Kind => Self::Kind,
            FeatureField::Direction => Self::Direction,
            FeatureField::X => Self::X,
            FeatureField::Y => Self::Y,
            FeatureField::Size => Self::Size,
            FeatureField::Position => Self::Tolerance,
            FeatureField::Modifier => Self::Modifier,
            FeatureField::Datums => Self::Datums,
        }
    }

    /// Head of the column.
    pub(super) const fn head(self) -> &'static str {
        match self {
            Self::Number => "no.",
            Self::Kind => "kind",
            Self::Direction => "direction",
            Self::X => "x",
            Self::Y => "y",
            Self::Size => "size limits",
            Self::Tolerance => "position",
            Self::Modifier => "modifier",
            Self::Datums => "datums",
            Self::Note => "note",
        }
    }

    /// Class of its cells.
    pub(super) const fn class(self) -> &'static str {
        match self {
            Self::Number => "no",
            Self::Kind => "kind",
            Self::Direction => "direction",
            Self::X => "x fig right",
            Self::Y => "y fig right",
            Self::Size => "size fig right",
            Self::Tolerance => "tolerance fig right",
            Self::Modifier => "modifier",
            Self::Datums => "datums",
            Self::Note => "note",
        }
    }

    /// What to type, for the line under the table.
    pub(super) fn help(self, kind: Kind, unit: Unit) -> String {
        let words = match (self, kind) {
            (Self::Number, _) => "Its number or letter on the drawing.",
            (Self::Kind, _) => "hole, boss, slot, tab or face; the first letter will do.",
            (Self::Direction, Kind::Slot | Kind::Tab) => "The axis its width lies along: x or y.",
            (Self::Direction, Kind::Face) => {
                "Where the face looks to, out of the material: +x, -x, +y or -y. A left-hand edge looks to -x."
            }
            (Self::Direction, _) => {
                "Only for a slot or tab (the axis of its width) and a face (where it looks to)."
            }
            (Self::X, Kind::Face) => "The face's own x, if it looks to +x or -x.",
            (Self::Y, Kind::Face) => "The face's own y, if it looks to +y or -y.",
            (Self::X, _) => "Basic x of its axis or centre plane.",
            (Self::Y, _) => "Basic y of its axis or centre plane.",
            (Self::Size, _) => {
                return format!("Limits of size: {}.", entry::size_examples(unit));
            }
            (Self::Tolerance, Kind::Slot | Kind::Tab) => {
                "Position tolerance: the distance of the two planes. Empty if none is asked."
            }
            (Self::Tolerance, _) => {
                return format!(
                    "Position tolerance: the diameter of the zone. Or the whole callout as drawn: {}; \
                     lower segments behind /, further callouts behind ;. CZ, SIM 2 or SEP REQT where \
                     the drawing has them.",
                    entry::callout_example(unit)
                );
            }
            (Self::Modifier, _) => "M at maximum material, L at least material, empty for none.",
            (Self::Datums, _) => {
                "Datum letters of the position, primary first: A B C; at their boundary A B(M) C(M); C> with the translation modifier."
            }
            (Self::Note, _) => "A remark for the sheet.",
        };
        words.to_owned()
    }

    /// Whether the drawing can say anything here about `feature`.
    pub(crate) fn applies(self, feature: &Feature) -> bool {
        match (self, feature.kind) {
            (Self::Number | Self::Kind | Self::Note, _) => true,
            (Self::Direction, kind) => !kind.is_round(),
            (Self::X, Kind::Face) => feature.looks.is_none_or(|s| s.axis() == Axis::X),
            (Self::Y, Kind::Face) => feature.looks.is_none_or(|s| s.axis() == Axis::Y),
            (_, Kind::Face) => false,
            _ => true,
        }
    }

    /// What the cell of `feature` shows; also what it holds when it is typed into.
    pub(super) fn text(self, feature: &Feature, figures: Figures) -> String {
        let figure = |f: Option<Figure>| {
            f.map_or_else(String::new, |f| {
                let length = f.length(figures.unit);
                figures.exact(length).plain(length)
            })
        };
        let position = feature.position();
        match self {
            Self::Number => feature.number.clone(),
            Self::Kind => feature.kind.word().to_owned(),
            Self::Direction => match (feature.kind, feature.across, feature.looks) {
                (Kind::Face, _, Some(side)) => side.label().to_owned(),
                (Kind::Slot | Kind::Tab, Some(axis), _) => axis.letter().to_owned(),
                _ => String::new(),
            },
            Self::X => figure(feature.x),
            Self::Y => figure(feature.y),
            Self::Size => feature
                .size
                .map_or_else(String::new, |s| size_text(s, figures.unit, figures.decimals)),
            Self::Tolerance if more_than_columns(feature) => callouts_text(feature, figures),
            Self::Tolerance => figure(position.map(|p| p.tolerance)),
            Self::Modifier => match position.map(|p| p.modifier) {
                Some(Modifier::Mmc) => "M".to_owned(),
                Some(Modifier::Lmc) => "L".to_owned(),
                Some(Modifier::None) | None => String::new(),
            },
            Self::Datums => position.map_or_else(String::new, |p| datums_text(&p.datums)),
            Self::Note => feature.note.clone(),
        }
    }

    /// Decimals of the figure in the cell of `feature`; 0 where there is none.
    pub(super) fn decimals(self, feature: &Feature, figures: Figures) -> usize {
        let figure = match self {
            Self::X => feature.x,
            Self::Y => feature.y,
            Self::Tolerance => feature.position().map(|p| p.tolerance),
            _ => None,
        };
        figure.map_or(0, |f| figures.exact(f.length(figures.unit)).decimals)
    }

    /// Reads what was typed for row `row` of the table.
    ///
    /// # Errors
    /// A sentence that says what would be right.
    pub(super) fn read(self, typed: &str, job: &Job, row: usize) -> Result<Entry, EntryError> {
        let typed = typed.trim();
        let unit = job.drawing.unit;
        let feature = job.drawing.features.get(row);
        let kind = feature.map(|f| f.kind).unwrap_or_default();
        let figure =
            || if typed.is_empty() { Ok(None) } else { entry::number(typed, unit).map(Some) };
        let refuse = |why: &str| Err(EntryError(why.to_owned()));
        if !typed.is_empty() && feature.is_some_and(|f| !self.applies(f)) {
            return match (self, kind) {
                (Self::Direction, _) => refuse("A hole or a boss is round and has no direction."),
                (_, Kind::Face) => {
                    refuse("A face has a place along one axis only, and no size or position.")
                }
                _ => refuse("Nothing can be said here."),
            };
        }
        Ok(match self {
            Self::Number => {
                if typed.is_empty() {
                    return refuse("A feature needs the number it has on the drawing.");
                }
                if typed.chars().count() > BOUNDS.label_chars {
                    return Err(EntryError(format!(
                        "A number may have {} characters.",
                        BOUNDS.label_chars
                    )));
                }
                if let Some(at) = job
                    .drawing
                    .features
                    .iter()
                    .position(|f| f.number == typed)
                    .filter(|at| *at != row)
                {
                    return Err(EntryError(format!(
                        "Number {typed} is already in row {}.",
                        at + 1
                    )));
                }
                Entry::Number(typed.to_owned())
            }
            Self::Kind => Entry::Kind(entry::kind(typed)?),
            Self::Direction if typed.is_empty() => Entry::Direction(None, None),
            Self::Direction if kind == Kind::Face => {
                Entry::Direction(None, Some(entry::side(typed)?))
            }
            Self::Direction => Entry::Direction(Some(entry::axis(typed)?), None),
            Self::X => Entry::X(figure()?),
            Self::Y => Entry::Y(figure()?),
            Self::Size if typed.is_empty() => Entry::Size(None),
            Self::Size => Entry::Size(Some(entry::size(typed, unit)?)),
            Self::Tolerance if typed.is_empty() => Entry::Tolerance(None),
            Self::Tolerance => position(typed, unit)?,
            Self::Modifier | Self::Datums
                if !typed.is_empty() && feature.is_none_or(|f| f.position().is_none()) =>
            {
                // What is no modifier or datum is said first.
                if self == Self::Modifier {
                    entry::modifier(typed).map(drop)?
                } else {
                    entry::datums(typed).map(drop)?
                };
                return refuse("It belongs to a position: type the position tolerance first.");
            }
            Self::Modifier => Entry::Modifier(entry::modifier(typed)?),
            Self::Datums => Entry::Datums(entry::datums(typed)?),
            Self::Note => Entry::Note(typed.chars().take(BOUNDS.text_chars).collect()),
        })
    }
}

/// A position as it is typed: its tolerance alone, with its modifier, or whole callouts.
fn position(typed: &str, unit: Unit) -> Result<Entry, EntryError> {
    let all = entry::callouts(typed, unit)?;
    if let [Callout::Position(p)] = all.as_slice() {
        let (tolerance, modifier) = (p.tolerance, p.modifier);
        // Without bars and without datums the others of its cells stay as they are.
        let bare = Position { tolerance, modifier, ..Position::default() };
        if *p == bare && !typed.contains('|') {
            return Ok(match modifier {
                Modifier::None => Entry::Tolerance(Some(tolerance)),
                _ => Entry::Modified(tolerance, modifier),
            });
        }
    }
    Ok(Entry::Callouts(all))
}

/// Something typed that was understood.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Entry {
    Number(String),
    Kind(Kind),
    Direction(Option<Axis>, Option<Side>),
    X(Option<Figure>),
    Y(Option<Figure>),
    Size(Option<SizeLimits>),
    Tolerance(Option<Figure>),
    /// A tolerance with its modifier.
    Modified(Figure, Modifier),
    Modifier(Modifier),
    Datums(Vec<DatumRef>),
    Callouts(Vec<Callout>),
    Note(String),
}

impl Entry {
    /// Puts it into row `row` of the table. The row behind the last one becomes a new feature.
    pub(super) fn put(self, job: &mut Job, row: usize) {
        if row == job.drawing.features.len() {
            let feature = fresh(&job.drawing);
            job.drawing.features.push(feature);
        }
        if let Self::Number(number) = &self {
            job.renumber(row, number);
            return;
        }
        let like = usual_datums(&job.drawing, row);
        let Some(feature) = job.drawing.features.get_mut(row) else { return };
        match self {
            Self::Number(_) => {}
            Self::Kind(kind) => {
                feature.kind = kind;
                if kind != Kind::Face {
                    feature.looks = None;
                }
                if !matches!(kind, Kind::Slot | Kind::Tab) {
                    feature.across = None;
                }
                if kind == Kind::Face {
                    feature.size = None;
                    feature.callouts.clear();
                }
                // Nothing that was refused stays where nothing can be said.
                let refused = std::mem::take(&mut feature.not_understood);
                let stay = refused.into_iter().filter(|n| Column::of(n.field).applies(feature));
                let stay: Vec<_> = stay.collect();
                feature.not_understood = stay;
            }
            Self::Direction(across, looks) => (feature.across, feature.looks) = (across, looks),
            Self::X(x) => feature.x = x,
            Self::Y(y) => feature.y = y,
            Self::Size(size) => feature.size = size,
            Self::Tolerance(None) => feature.callouts.retain(|Callout::Position(_)| false),
            Self::Tolerance(Some(tolerance)) => match position_mut(feature) {
                Some(position) => position.tolerance = tolerance,
                None => feature.callouts.push(Callout::Position(Position {
                    tolerance,
                    modifier: Modifier::None,
                    datums: like,
                    ..Position::default()
                })),
            },
            Self::Modified(tolerance, modifier) => match position_mut(feature) {
                Some(position) => {
                    (position.tolerance, position.modifier) = (tolerance, modifier);
                }
                None => feature.callouts.push(Callout::Position(Position {
                    tolerance,
                    modifier,
                    datums: like,
                    ..Position::default()
                })),
            },
            Self::Modifier(modifier) => {
                if let Some(position) = position_mut(feature) {
                    position.modifier = modifier;
                }
            }
            Self::Datums(datums) => {
                if let Some(position) = position_mut(feature) {
                    position.datums = datums;
                }
            }
            Self::Callouts(callouts) => {
                feature.callouts = callouts;
                // They say modifier and datums as well.
                for field in [FeatureField::Modifier, FeatureField::Datums] {
                    feature.set_refused(field, None);
                }
            }
            Self::Note(note) => feature.note = note,
        }
    }
}

/// The callouts say more than the columns hold: several, with lower segments, along one axis, apart.
fn more_than_columns(feature: &Feature) -> bool {
    feature.callouts.len() > 1
        || feature.positions().any(|p| {
            !p.lower.is_empty()
                || p.along.is_some()
                || !p.together.is_default()
                || !p.pattern.is_empty()
        })
}

fn position_mut(feature: &mut Feature) -> Option<&mut Position> {
    feature.callouts.iter_mut().map(|Callout::Position(p)| p).next()
}

/// The datums that a new position most likely refers to: those of the position above it, or the
/// drawing's own. They stand in the cell to be changed.
fn usual_datums(drawing: &Drawing, row: usize) -> Vec<DatumRef> {
    let above = drawing.features.iter().take(row).rev().find_map(Feature::position);
    above.map_or_else(
        || drawing.datums.iter().take(3).map(|d| DatumRef::plain(&d.letter)).collect(),
        |p| p.datums.clone(),
    )
}

/// A new feature: a hole with the next free number.
pub(super) fn fresh(drawing: &Drawing) -> Feature {
    Feature { number: next_number(drawing), ..Feature::default() }
}

/// One more than the largest number.
pub(super) fn next_number(drawing: &Drawing) -> String {
    let largest = drawing.features.iter().filter_map(|f| f.number.parse::<u64>().ok()).max();
    largest.unwrap_or(0).saturating_add(1).to_string()
}

/// The columns that grow with what stands in them, and the width of each in rem with nothing long.
pub(super) const GROWING: [(Column, f64); 3] =
    [(Column::Size, 11.6), (Column::Tolerance, 5.6), (Column::Datums, 8.3)];

/// The width in rem that a column takes for a text of so many characters, and the widest it gets.
pub(super) fn room_for(longest: usize, least: f64) -> f64 {
    const CHARACTER: f64 = 0.56;
    const MOST: usize = 44;
    #[allow(clippy::cast_precision_loss, reason = "a few characters")]
    let needed = longest.min(MOST) as f64 * CHARACTER + 1.3;
    needed.max(least)
}

/// The columns whose decimal points stand under each other.
pub(super) const FIGURES: [Column; 3] = [Column::X, Column::Y, Column::Tolerance];

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::quantity::Unit;

    fn typed(job: &mut Job, row: usize, column: Column, text: &str) {
        let entry =
            column.read(text, job, row).unwrap_or_else(|e| panic!("{column:?} {text}: {e}"));
        entry.put(job, row);
    }

    fn plate() -> Job {
        let mut job = Job::empty(Unit::Inch);
        for (column, text) in [
            (Column::Number, "1"),
            (Column::Kind, "h"),
            (Column::X, ".75"),
            (Column::Y, "2,25"),
            (Column::Size, ".3750 .3780"),
            (Column::Tolerance, ".010"),
            (Column::Modifier, "m"),
            (Column::Datums, "abc"),
        ] {
            typed(&mut job, 2, column, text);
        }
        job
    }

    #[test]
    fn what_is_shown_can_be_typed_again_and_means_the_same() {
        let job = plate();
        for (row, feature) in job.drawing.features.iter().enumerate() {
            for column in Column::ALL.into_iter().filter(|c| c.applies(feature)) {
                let mut copy = job.clone();
                typed(
                    &mut copy,
                    row,
                    column,
                    &column.text(feature, Figures::of_drawing(&job.drawing)),
                );
                assert_eq!(copy, job, "{column:?} of row {row}");
            }
        }
    }

    #[test]
    fn marks_of_a_callout_are_shown_in_its_cells_and_can_be_typed_again() {
        for (callout, tolerance, datums) in [
            (".010 M CZ | A | B | C>", ".0100 M CZ | A | B | C▷", "A | B | C▷"),
            (".010 | A | B SEP REQT", ".0100 SEP REQT | A | B", "A | B"),
            (".010 | A | B(M)> | C (T)", ".0100", "A | B(M)▷ | C▷"),
        ] {
            let mut job = plate();
            typed(&mut job, 2, Column::Tolerance, callout);
            let figures = Figures::of_drawing(&job.drawing);
            let text = |column: Column| column.text(&job.drawing.features[2], figures);
            assert_eq!(text(Column::Tolerance), tolerance);
            assert_eq!(text(Column::Datums), datums);
            let mut again = job.clone();
            for column in [Column::Tolerance, Column::Datums] {
                typed(&mut again, 2, column, &text(column));
            }
            assert_eq!(again, job, "{callout}");
        }
    }

    #[test]
    fn a_row_reads_as_it_was_typed() {
        let job = plate();
        let row: Vec<String> = Column::ALL
            .map(|c| c.text(&job.drawing.features[2], Figures::of_drawing(&job.drawing)))
            .to_vec();
        assert_eq!(
            row,
            ["1", "hole", "", ".7500", "2.2500", ".3750 – .3780", ".0100", "M", "A | B | C", ""]
        );
    }

    #[test]
    fn a_wrong_entry_is_refused_with_a_sentence() {
        let job = plate();
        for (column, text) in [
            (Column::Number, ""),
            (Column::Number, "B"),
            (Column::Number, "a name that is far too long"),
            (Column::Kind, "cone"),
            (Column::Direction, "x"),
            (Column::X, "1.2.3"),
            (Column::Size, ".375"),
            (Column::Tolerance, "-.01"),
            (Column::Tolerance, "99"),
            (Column::Modifier, "N"),
            (Column::Datums, "A A"),
        ] {
            let error = column.read(text, &job, 2).expect_err(text);
            assert!(error.to_string().ends_with('.'), "{error}");
        }
        assert!(Column::Modifier.read("M", &job, 3).is_err(), "no position yet");
    }

    #[test]
    fn a_face_keeps_nothing_that_a_face_cannot_have() {
        let mut job = plate();
        typed(&mut job, 2, Column::Kind, "face");
        let f = &job.drawing.features[2];
        assert!(f.size.is_none() && f.callouts.is_empty());
        typed(&mut job, 2, Column::Direction, "-x");
        assert_eq!(job.drawing.features[2].looks, Some(Side::MinusX));
        assert!(!Column::Y.applies(&job.drawing.features[2]));
    }

    #[test]
    fn a_new_position_takes_the_datums_of_the_one_above() {
        let mut job = plate();
        typed(&mut job, 2, Column::Datums, "A B");
        typed(&mut job, 3, Column::Tolerance, ".02");
        assert_eq!(job.drawing.features[3].number, "2");
        assert_eq!(
            Column::Datums.text(&job.drawing.features[3], Figures::of_drawing(&job.drawing)),
            "A | B"
        );
    }
}
