//! A table of features pasted from a spreadsheet or a text.
//!
//! Columns are told by their headings, in the words people use, or by their order where there are
//! none; whoever pastes can change what each means. A row that cannot be read is refused by its line
//! and its reason; the others stand. Nothing of the text is passed over in silence: what is no
//! feature is among the refused rows, or in a column that is listed as not used.

mod column;
mod heading;
mod other_text;
mod place;
mod row;
mod size_cells;
mod split;

pub use column::Column;
pub(super) use heading::folded;

use super::{EntryError, refuse};
use crate::job::{BOUNDS, Drawing, Feature};
use row::Cells;
use rustc_hash::FxHashMap;
use split::{Row, Separator};
use std::collections::HashSet;

/// What a pasted table gives.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pasted {
    /// Why the text as a whole is no table; then there is nothing else.
    pub no_table: Option<String>,
    /// The columns with what each was taken for.
    pub columns: Vec<PastedColumn>,
    /// Whether the columns have headings.
    pub headed: bool,
    /// Features read, in the order of their rows.
    pub features: Vec<Feature>,
    /// Rows that were not taken.
    pub refused: Vec<Refused>,
}

impl Pasted {
    /// The headings as one text, by which what was chosen for them is found again; `None` where there
    /// are none.
    #[must_use]
    pub fn headings(&self) -> Option<String> {
        let folded: Vec<String> = self.columns.iter().map(|c| folded(&c.heading)).collect();
        self.headed.then(|| folded.join("|"))
    }

    /// What the columns mean, from the left.
    #[must_use]
    pub fn meanings(&self) -> Vec<Column> {
        self.columns.iter().map(|c| c.meaning).collect()
    }
}

/// A column of a pasted table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastedColumn {
    /// Its heading; empty without one.
    pub heading: String,
    /// The first thing that stands in it.
    pub sample: String,
    /// What it means.
    pub meaning: Column,
    /// Why it is not used although something stands in it.
    pub why_unused: Option<String>,
}

/// A row that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Line of the pasted text, from 1.
    pub row: usize,
    /// The row as it was pasted.
    pub text: String,
    /// Why, in a sentence.
    pub why: String,
}

impl Refused {
    fn new(row: &Row, why: impl Into<String>) -> Self {
        Self { row: row.line, text: row.text(), why: why.into() }
    }
}

/// Reads a pasted table for `drawing`, in the drawing's unit. `meanings` says what the columns mean,
/// from the left; without it, or behind its end, their headings tell.
///
/// Separated by tabs, semicolons, bars, commas or blanks; with commas between the cells, decimals take
/// a point. Numbers already on the drawing, or twice in the table, are refused.
#[must_use]
pub fn table(text: &str, drawing: &Drawing, meanings: Option<&[Column]>) -> Pasted {
    if let Some(why) = other_text::refusal(text) {
        return Pasted { no_table: Some(why), ..Pasted::default() };
    }
    let separator = split::separator(text);
    let rows = split::rows(text, separator);
    let mut pasted = Pasted::default();
    let header = heading::find(&rows, drawing.unit);
    pasted.headed = header.is_some();
    let data = header.map_or(0, |at| at + 1);
    let headings = header.and_then(|at| rows.get(at));
    for title in rows.iter().take(header.unwrap_or(0)) {
        pasted.refused.push(Refused::new(title, "It stands above the headings."));
    }
    let mut body: Vec<&Row> = rows.iter().skip(data).collect();
    let units = body.first().copied().filter(|row| headings.is_some() && heading::only_units(row));
    if units.is_some() {
        body.remove(0);
    }
    pasted.columns = columns(headings, &body, meanings);
    let foreign = headings.into_iter().chain(units).find_map(|row| {
        let cells = row.cells.iter();
        let head = cells.zip(&pasted.columns).find(|(h, c)| {
            c.meaning != Column::Unused && heading::foreign_unit(h, drawing.unit)
        });
        head.map(|(head, _)| {
            Refused::new(row, format!(
                "The column “{head}” is in another unit than the drawing, which is in {}. No row was taken: convert the table, or change the drawing's unit first.",
                drawing.unit.word()
            ))
        })
    });
    if let Some(foreign) = foreign {
        pasted.refused.push(foreign);
        return pasted;
    }
    let meanings = pasted.meanings();
    let mut names = Names::new(drawing);
    let mut groups: FxHashMap<Vec<&str>, usize> = FxHashMap::default();
    for row in &body {
        *groups.entry(Cells::new(row, &meanings).group()).or_default() += 1;
    }
    for row in &body {
        let room = BOUNDS.features.saturating_sub(drawing.features.len() + pasted.features.len());
        let like_it = groups.get(&Cells::new(row, &meanings).group()).copied().unwrap_or(1);
        let width = (headings.map_or(meanings.len(), |h| h.cells.len()), separator);
        let read = whole(row, width)
            .and_then(|()| features(row, &meanings, like_it, &mut names, drawing))
            .and_then(|all| match all.len() <= room {
                true => Ok(all),
                false => refuse(format!("A drawing holds {} features at most.", BOUNDS.features)),
            })
            .and_then(|all| names.take(all));
        match read {
            Ok(all) => pasted.features.extend(all),
            Err(why) => pasted.refused.push(Refused::new(row, why.0)),
        }
    }
    pasted
}

/// What each column means: as it is stated, by its heading, or by its place where there are none.
fn columns(headings: Option<&Row>, body: &[&Row], stated: Option<&[Column]>) -> Vec<PastedColumn> {
    let widest = body.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    let count = match headings {
        Some(row) => row.cells.len(),
        None => widest.min(stated.map_or(Column::ORDER.len(), <[_]>::len).max(Column::ORDER.len())),
    };
    let mut taken = HashSet::new();
    let column = |i: usize| {
        let heading = headings.and_then(|row| row.cells.get(i)).cloned().unwrap_or_default();
        let mut cells = body.iter().filter_map(|row| row.cells.get(i));
        let sample = cells.find(|c| !c.is_empty()).cloned().unwrap_or_default();
        let by_heading = match headings {
            Some(_) => Column::of(&heading),
            None => Column::ORDER.get(i).copied().unwrap_or(Column::Unused),
        };
        let chosen = stated.and_then(|s| s.get(i)).copied();
        let meant = chosen.unwrap_or(by_heading);
        let repeated = !meant.repeats() && !taken.insert(meant);
        let meaning = if repeated { Column::Unused } else { meant };
        let why_unused = if sample.is_empty() || meaning != Column::Unused {
            None
        } else if repeated {
            Some(format!("an earlier column is the {} already", meant.words()))
        } else if chosen.is_some() {
            Some("set to not used".to_owned())
        } else {
            Some("its heading is not known".to_owned())
        };
        PastedColumn { heading, sample, meaning, why_unused }
    };
    (0..count).map(column).collect()
}

/// Refuses a row whose cells cannot belong to the columns.
fn whole(row: &Row, (columns, separator): (usize, Separator)) -> Result<(), EntryError> {
    let cells = row.cells.len();
    let more = row.cells.iter().skip(columns).any(|c| !c.is_empty());
    match separator {
        Separator::Blank | Separator::Blanks if cells != columns => refuse(format!(
            "It has {cells} cells for {columns} columns. With blanks between cells, an empty cell takes a dash, and a cell of several words needs two blanks around it."
        )),
        Separator::Sign(b',') if more => refuse(format!(
            "It has {cells} cells for {columns} columns. With commas between cells, write decimals with a point."
        )),
        _ if more => refuse(format!("It has {cells} cells for {columns} columns.")),
        _ => Ok(()),
    }
}

/// The features of a row: one, or as many as it says it is for where it gives them no place.
/// `like_it` rows of the table are for the same group.
fn features(
    row: &Row,
    columns: &[Column],
    like_it: usize,
    names: &mut Names,
    drawing: &Drawing,
) -> Result<Vec<Feature>, EntryError> {
    let named = columns.contains(&Column::Number);
    let free = (!named).then(|| names.free());
    let feature = row::feature(row, columns, free.as_deref(), drawing.unit)?;
    let count = Cells::new(row, columns).quantity()?;
    // Each of four rows may say that there are four.
    if count == 1 || like_it.is_multiple_of(count) {
        return Ok(vec![feature]);
    }
    if feature.x.is_some() || feature.y.is_some() {
        return refuse(format!(
            "It is for {count} features and gives one place. Write a row for each of them."
        ));
    }
    let each = |i: usize| Feature { number: format!("{}.{i}", feature.number), ..feature.clone() };
    let all: Vec<Feature> = (1..=count).map(each).collect();
    match all.iter().all(|f| f.number.chars().count() <= BOUNDS.label_chars) {
        true => Ok(all),
        false => {
            refuse(format!("“{}” is too long for a number of several features.", feature.number))
        }
    }
}

/// The numbers that are in use.
struct Names(HashSet<String>);

impl Names {
    fn new(drawing: &Drawing) -> Self {
        Self(drawing.features.iter().map(|f| f.number.clone()).collect())
    }

    /// The first number that is free, for a table that has no column of numbers.
    fn free(&self) -> String {
        (1_usize..).map(|n| n.to_string()).find(|n| !self.0.contains(n)).unwrap_or_default()
    }

    /// Gives the numbers away, unless one of them is.
    fn take(&mut self, all: Vec<Feature>) -> Result<Vec<Feature>, EntryError> {
        if let Some(twice) = all.iter().find(|f| self.0.contains(&f.number)) {
            return refuse(format!("Number {} is there already.", twice.number));
        }
        self.0.extend(all.iter().map(|f| f.number.clone()));
        Ok(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Kind, Modifier};
    use crate::quantity::{Axis, Figure, Length, Unit};

    fn drawing() -> Drawing {
        Drawing { unit: Unit::Inch, decimals: 4, ..Drawing::default() }
    }

    #[test]
    fn a_table_from_a_spreadsheet_with_its_header() {
        let text = "No\tFeature\tX\tY\tSize\tPosition\tModifier\tDatums\n\
                    1\thole\t0.7500\t.75\t.3750 to .3780\t.010 dia\tMMC\tA B C\n\
                    7\tslot, width along x\t2.0\t2.62\t.2480 .2520\t0.008 (two planes, along x)\tnone\tA|B|C\n";
        let p = table(text, &drawing(), None);
        assert_eq!(p.refused, vec![]);
        assert_eq!(p.features.len(), 2);
        assert_eq!(p.features[0].position().map(|p| p.modifier), Some(Modifier::Mmc));
        assert_eq!(p.features[1].across, Some(Axis::X));
        assert_eq!(
            p.features[1].x.map(|f| f.length(Unit::Inch)),
            Some(Length::of(2.0, Unit::Inch))
        );
    }

    #[test]
    fn semicolons_and_decimal_commas() {
        let p =
            table("no;kind;x;y;lower;upper;tol\n1;h;10,5;20,25;6,6;6,75;0,1\n", &drawing(), None);
        assert_eq!(p.refused, vec![]);
        assert_eq!(p.features[0].x, Some(Figure(10.5)));
    }

    #[test]
    fn commas_without_a_header_and_a_table_drawn_with_bars() {
        let p = table("1,hole,.75,.75,.375 .378,.010,M,ABC", &drawing(), None);
        assert_eq!((p.features.len(), p.refused.len()), (1, 0));
        let p = table(
            "| no | feature | x | y |\n|---|---|---|---|\n| 1 | boss | 1 | 2 |\n",
            &drawing(),
            None,
        );
        assert_eq!((p.features.len(), p.refused.len()), (1, 0));
        assert_eq!(p.features[0].kind, Kind::Boss);
    }

    #[test]
    fn bad_rows_are_refused_by_number_and_reason_and_the_others_stand() {
        let mut d = drawing();
        d.features.push(Feature { number: "9".to_owned(), ..Feature::default() });
        let text = "no\tkind\tx\ty\n1\thole\t1\t2\n2\tcone\t1\t2\n3\thole\t1.2.3\t2\n1\thole\t4\t5\n9\thole\t1\t1\n\thole\t1\t1\n4\thole\t5\t6";
        let p = table(text, &d, None);
        assert_eq!(p.features.iter().map(|f| f.number.as_str()).collect::<Vec<_>>(), ["1", "4"]);
        assert_eq!(p.refused.iter().map(|r| r.row).collect::<Vec<_>>(), [3, 4, 5, 6, 7]);
        assert!(p.refused[1].why.contains("1.2.3"), "{:?}", p.refused[1]);
        let p = table("no\tkind\tx\ty\n5\tcone\t1\t7..8", &d, None);
        let why = &p.refused[0].why;
        assert!(why.contains("cone") && why.contains("7..8"), "all that is wrong at once: {why}");
    }

    #[test]
    fn another_unit_is_refused_and_no_sign_is_lost() {
        let p = table("no\tkind\tX (mm)\tY (mm)\n1\thole\t10\t20", &drawing(), None);
        assert_eq!((p.features.len(), p.refused.len()), (0, 1));
        let p = table(
            "no\tkind\tx\ty\ttol\n1\thole\t1\t2\t0.25 mm\n2\thole\t1\t2\t.010 in",
            &drawing(),
            None,
        );
        assert_eq!((p.features.len(), p.refused.len()), (1, 1), "{:?}", p.refused);
        let p = table(
            "no;kind;nominal;upper deviation;lower deviation\n1;boss;10;0,028;0,015",
            &drawing(),
            None,
        );
        let limits = p.features[0].size.and_then(|s| s.limits(Unit::Inch)).unwrap();
        assert!((limits.lower.to(Unit::Inch) - 10.015).abs() < 1e-12);
    }

    #[test]
    fn decimal_commas_between_comma_cells_are_not_guessed() {
        let p = table("no,kind,x,y\n1,hole,1,5,2,5", &drawing(), None);
        assert_eq!(p.features.len(), 0);
        assert!(p.refused[0].why.contains("point"));
    }
}
