//! Features and what is asked of them.

use super::{DatumRef, FeatureField, NotUnderstood, Together};
use crate::feature::{Kind, Modifier, SizeLimits};
use crate::quantity::{Axis, Figure, Length, Point, Side, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A feature of the part. Its figures are in the drawing's unit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feature {
    /// Its number or letter on the drawing; unique.
    pub number: String,
    /// What it is.
    pub kind: Kind,
    /// Slot or tab: the axis along which its width is measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<Axis>,
    /// Face: where it looks, out of the material.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub looks: Option<Side>,
    /// Basic X of the axis, the centre plane or the face. A face needs only the
    /// coordinate along its normal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<Figure>,
    /// Basic Y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<Figure>,
    /// Limits of the diameter or the width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<SizeLimits>,
    /// What else is asked of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub callouts: Vec<Callout>,
    /// A remark for the sheet: "gauged over a thread plug".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// What was typed of it and is not understood, each field once. It is kept until it is corrected,
    /// and the feature cannot be judged before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_understood: Vec<NotUnderstood>,
}

impl Feature {
    /// What it is called: `hole 4`, `slot 7`, `face C`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.kind.word(), self.number)
    }

    /// What was typed for a field and is not understood.
    #[must_use]
    pub fn refused(&self, field: FeatureField) -> Option<&str> {
        let refused = self.not_understood.iter().find(|n| n.field == field);
        refused.map(|n| n.typed.as_str())
    }

    /// Keeps what was typed for a field and is not understood; `None` takes away what was kept.
    pub fn set_refused(&mut self, field: FeatureField, typed: Option<&str>) {
        self.not_understood.retain(|n| n.field != field);
        let kept = typed.map(|typed| NotUnderstood { field, typed: typed.to_owned() });
        self.not_understood.extend(kept);
        self.not_understood.sort_by_key(|n| n.field);
    }

    /// Its basic coordinate along an axis.
    #[must_use]
    pub fn basic(&self, axis: Axis, unit: Unit) -> Option<Length> {
        match axis {
            Axis::X => self.x,
            Axis::Y => self.y,
        }
        .map(|f| f.length(unit))
    }

    /// Its basic position; a coordinate that the drawing does not give counts as zero.
    #[must_use]
    pub fn basic_point(&self, unit: Unit) -> Point {
        let along = |axis| self.basic(axis, unit).unwrap_or_default();
        Point::new(along(Axis::X), along(Axis::Y))
    }

    /// The axis along which a face, slot or tab has its one coordinate; `None` for what is round, and
    /// while the drawing does not say.
    #[must_use]
    pub fn plane_axis(&self) -> Option<Axis> {
        match self.kind {
            Kind::Face => self.looks.map(Side::axis),
            Kind::Slot | Kind::Tab => self.across,
            Kind::Hole | Kind::Boss => None,
        }
    }

    /// Its first position callout, if it has one.
    #[must_use]
    pub fn position(&self) -> Option<&Position> {
        self.positions().next()
    }

    /// Its position callouts, in the order of the drawing: two for single segments, or for a zone
    /// that is narrower along one axis.
    pub fn positions(&self) -> impl Iterator<Item = &Position> {
        self.callouts.iter().map(|Callout::Position(p)| p)
    }
}

/// One requirement beside the size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Callout {
    /// Position of the axis or of the centre plane.
    Position(Position),
}

/// A position callout (ASME Y14.5-2018, clause 10; ISO 1101, 17.12; ISO 5458).
///
/// Round features: the zone is a cylinder and the tolerance its diameter. Slots and tabs, and
/// round features whose callout names an axis: two planes, the tolerance their distance.
///
/// Callouts that are judged together have one common shift where the datums leave any. Which ones
/// are follows from the drawing's standard and from `together`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// Diameter or width of the zone.
    pub tolerance: Figure,
    /// The axis across the two planes of the zone of a round feature; absent: a cylinder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along: Option<Axis>,
    /// Material condition of the toleranced feature.
    #[serde(default)]
    pub modifier: Modifier,
    /// Datum letters, primary first, with their boundaries.
    #[serde(default)]
    pub datums: Vec<DatumRef>,
    /// Lower segments of a composite callout: the same pattern held closer, free to move.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lower: Vec<Segment>,
    /// A word that tells patterns apart whose callouts are alike; empty for most drawings.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub pattern: String,
    /// What the drawing says of the others that the callout is judged with; of a composite
    /// callout, its upper segment.
    #[serde(default, skip_serializing_if = "Together::is_default")]
    pub together: Together,
}

/// A lower segment of a composite position callout (ASME Y14.5-2018, 10.5.1): its datums stop
/// rotation only. Under ISO, a further tolerance indicator below the first, which locates in its
/// own datum system.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Segment {
    /// Diameter or width of the zone.
    pub tolerance: Figure,
    /// Datum letters.
    #[serde(default)]
    pub datums: Vec<DatumRef>,
    /// What the drawing says of the others that the segment is judged with.
    #[serde(default, skip_serializing_if = "Together::is_default")]
    pub together: Together,
}
