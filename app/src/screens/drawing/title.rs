//! What identifies the drawing, its standard, its unit and its outline.

use super::{outline, standard, text, unit};
use crate::desk::Desk;
use crate::widgets::Field;
use leptos::prelude::*;

/// The fields above the table.
#[component]
pub(super) fn Title() -> impl IntoView {
    let desk = Desk::here();
    let (part, take_part) = text(
        desk,
        "the part number",
        |j| j.drawing.part_number.clone(),
        |j, t| j.drawing.part_number = t,
    );
    let (name, take_name) = text(
        desk,
        "the part's name",
        |j| j.drawing.part_name.clone(),
        |j, t| j.drawing.part_name = t,
    );
    let (number, take_number) = text(
        desk,
        "the drawing's number",
        |j| j.drawing.number.clone(),
        |j, t| j.drawing.number = t,
    );
    let (revision, take_revision) =
        text(desk, "the revision", |j| j.drawing.revision.clone(), |j, t| j.drawing.revision = t);
    let (material, take_material) =
        text(desk, "the material", |j| j.drawing.material.clone(), |j, t| j.drawing.material = t);
    view! {
        <div class="title" role="group" aria-label="The drawing">
            <Field id="part-number" class="w3" label="Part number" value=part take=take_part/>
            <Field class="w6" label="Name" value=name take=take_name/>
            <Field class="w3" label="Drawing no. (if different)" value=number take=take_number/>
            <Field class="w2" label="Revision" value=revision take=take_revision/>
            <Field class="w3" label="Material" value=material take=take_material/>
            <standard::StandardChoice/>
            <unit::UnitChoice/>
            <unit::Decimals/>
            <outline::Outline/>
        </div>
    }
}
