//! The drawing: its identity, its frame and its features.

use super::{DrawingPlace, DrawingText, Feature, Kind, Relation, Standard};
use crate::notation::Figures;
use crate::quantity::{Figure, Side, Unit};
use crate::relation::OnDrawing;
use rustc_hash::FxHashMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the drawing says. All its figures are in [`Drawing::unit`].
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// Unit of every figure of the drawing.
    pub unit: Unit,
    /// Decimals that the drawing writes; results are shown with one more.
    pub decimals: u8,
    /// Part number.
    #[serde(default)]
    pub part_number: String,
    /// Part name.
    #[serde(default)]
    pub part_name: String,
    /// Drawing number, where it differs from the part number.
    #[serde(default)]
    pub number: String,
    /// Revision letter or number of the drawing.
    #[serde(default)]
    pub revision: String,
    /// Material, for the sheet.
    #[serde(default)]
    pub material: String,
    /// The standard that the drawing is made by, with its edition; absent: the drawing does not
    /// state one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard: Option<Standard>,
    /// Outline of the part in the drawing frame, where it is a rectangle or its envelope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Datum letters of the frame, primary first.
    #[serde(default)]
    pub datums: Vec<Datum>,
    /// Features, in the order in which they are measured and listed.
    #[serde(default)]
    pub features: Vec<Feature>,
    /// What is asked between features, and of the form of faces, in the order of the sheet.
    #[serde(rename = "lines", default, skip_serializing_if = "Vec::is_empty")]
    pub relations: Vec<Relation>,
    /// What was typed of datums, lines and the outline and is not understood, each place once. It is
    /// kept until it is corrected, and no piece conforms before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_understood: Vec<DrawingText>,
}

impl Drawing {
    /// Returns the standard that the drawing is judged by: the one that it states, else ASME
    /// Y14.5-2018.
    #[must_use]
    pub fn standard(&self) -> Standard {
        self.standard.unwrap_or_default()
    }

    /// Whether the drawing states its standard. One that does not is judged by a standard that
    /// was assumed, which is an open point of the drawing.
    #[must_use]
    pub const fn standard_is_stated(&self) -> bool {
        self.standard.is_some()
    }

    /// What was typed for a place and is not understood.
    #[must_use]
    pub fn refused(&self, place: &DrawingPlace) -> Option<&str> {
        let refused = self.not_understood.iter().find(|n| n.place == *place);
        refused.map(|n| n.typed.as_str())
    }

    /// Keeps what was typed for a place and is not understood; `None` takes away what was kept.
    pub fn set_refused(&mut self, place: &DrawingPlace, typed: Option<&str>) {
        self.not_understood.retain(|n| n.place != *place);
        let kept = typed.map(|t| DrawingText { place: place.clone(), typed: t.to_owned() });
        self.not_understood.extend(kept);
    }

    /// Gives a datum another letter; what is kept as it was typed of the datum follows it. Callouts
    /// keep the letter that they name.
    pub fn rename_datum(&mut self, index: usize, letter: &str) {
        let Some(datum) = self.datums.get_mut(index) else { return };
        let old = std::mem::replace(&mut datum.letter, letter.to_owned());
        let places = self.not_understood.iter_mut().filter_map(|n| n.place.datum_mut());
        for place in places.filter(|place| **place == old) {
            letter.clone_into(place);
        }
    }

    /// Removes a datum, with what is kept as it was typed of it.
    pub fn remove_datum(&mut self, index: usize) {
        if index < self.datums.len() {
            let gone = self.datums.remove(index).letter;
            let another = self.datums.iter().any(|d| d.letter == gone);
            self.not_understood.retain(|n| another || n.place.datum() != Some(&gone));
        }
    }

    /// Removes a relation, with what is kept as it was typed of it.
    pub fn remove_relation(&mut self, index: usize) {
        if index < self.relations.len() {
            let gone = self.relations.remove(index).number;
            self.not_understood.retain(|n| n.place.line() != Some(&gone));
        }
    }

    /// The face with this number.
    #[must_use]
    pub fn face(&self, number: &str) -> Option<&Feature> {
        self.features.iter().find(|f| f.kind == Kind::Face && f.number == number)
    }

    /// A datum of this letter as it is when it is added: a face that has the letter for its number
    /// carries it, and without one it is not seen in this view.
    #[must_use]
    pub fn new_datum(&self, letter: &str) -> Datum {
        let feature = self.face(letter).map(|f| f.number.clone());
        Datum { letter: letter.to_owned(), feature, ..Datum::default() }
    }

    /// Index of each feature by its number; the first of two with one number counts.
    #[must_use]
    pub fn by_number(&self) -> FxHashMap<&str, usize> {
        let features = self.features.iter().enumerate().rev();
        features.map(|(i, f)| (f.number.as_str(), i)).collect()
    }
}

impl OnDrawing for Drawing {
    fn figures(&self) -> Figures {
        Figures::new(self.unit, self.decimals as usize)
    }

    fn kind(&self, number: &str) -> Option<Kind> {
        self.features.iter().find(|f| f.number == number).map(|f| f.kind)
    }

    fn datum<'a>(&'a self, number: &'a str) -> &'a str {
        let mut datums = self.datums.iter();
        let letter = datums.find(|d| d.carriers().any(|n| n == number));
        letter.map_or(number, |d| d.letter.as_str())
    }
}

/// The rectangle around the part, in the drawing frame (X right, Y up).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// X of the left edge.
    pub left: Figure,
    /// Y of the bottom edge.
    pub bottom: Figure,
    /// X of the right edge.
    pub right: Figure,
    /// Y of the top edge.
    pub top: Figure,
}

impl Outline {
    /// Coordinate of the edge on `side`, along that side's axis.
    #[must_use]
    pub const fn edge(&self, side: Side) -> Figure {
        match side {
            Side::PlusX => self.right,
            Side::PlusY => self.top,
            Side::MinusX => self.left,
            Side::MinusY => self.bottom,
        }
    }
}

/// A datum letter and what it stands on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The letter, as in the feature control frame.
    pub letter: String,
    /// Number of the feature that carries the letter; absent for the face that lies against
    /// the angle plate and is not measured in the plane (the primary datum, mostly).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feature: Option<String>,
    /// Size of its boundary where the drawing states it; absent: it follows from the limits of the
    /// feature and its own tolerance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boundary: Option<Figure>,
    /// In words, for the sheet: "large face".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub what: String,
    /// Several features that carry the letter together, in place of a single one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pattern: Option<DatumPattern>,
}

impl Datum {
    /// The numbers of the features that carry the letter: none, one, or those of its pattern.
    pub fn carriers(&self) -> impl Iterator<Item = &String> {
        self.feature.iter().chain(self.pattern.iter().flat_map(|p| &p.features))
    }

    /// The same, to change them.
    pub fn carriers_mut(&mut self) -> impl Iterator<Item = &mut String> {
        self.feature.iter_mut().chain(self.pattern.iter_mut().flat_map(|p| &mut p.features))
    }
}

/// Several round features that are one datum (ASME Y14.5-2018, clause 7, patterns of features of size;
/// ISO 5459, common datum). That it is fitted by least squares is common practice, no source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DatumPattern {
    /// What is made of them.
    pub kind: PatternKind,
    /// Their numbers on the drawing.
    pub features: Vec<String>,
}

/// What is made of the features of a datum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PatternKind {
    /// The centre of the least-squares circle through their axes, as one round feature there would
    /// be: it gives both translations, and no rotation.
    Circle,
    /// The place of the whole pattern: moved and turned until the squares of the distances of
    /// their axes from the basic positions are least.
    BestFit,
}

impl PatternKind {
    /// Fewest features that it can be made of.
    #[must_use]
    pub const fn fewest(self) -> usize {
        match self {
            Self::Circle => 3,
            Self::BestFit => 2,
        }
    }

    /// The word for it, as it is typed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Circle => "circle",
            Self::BestFit => "fit",
        }
    }
}
