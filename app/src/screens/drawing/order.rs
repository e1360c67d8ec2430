//! What the sheet says of the order and of itself.

use super::text;
use crate::desk::Desk;
use crate::widgets::{Choice, Field, TextArea};
use leptos::prelude::*;
use quarterturn_core::job::Paper;

/// The fields.
#[component]
pub(super) fn Order() -> impl IntoView {
    let desk = Desk::here();
    let (customer, take_customer) =
        text(desk, "the customer", |j| j.shipment.customer.clone(), |j, t| j.shipment.customer = t);
    let (order, take_order) =
        text(desk, "the order", |j| j.shipment.order.clone(), |j, t| j.shipment.order = t);
    let (lot, take_lot) =
        text(desk, "the lot", |j| j.shipment.lot.clone(), |j, t| j.shipment.lot = t);
    let (quantity, take_quantity) =
        text(desk, "the quantity", |j| j.shipment.quantity.clone(), |j, t| j.shipment.quantity = t);
    let (report, take_report) = text(
        desk,
        "the report's number",
        |j| j.shipment.report_number.clone(),
        |j, t| j.shipment.report_number = t,
    );
    let (revision, take_revision) = text(
        desk,
        "the report's revision",
        |j| j.shipment.report_revision.clone(),
        |j, t| j.shipment.report_revision = t,
    );
    let (notes, take_notes) =
        text(desk, "the notes", |j| j.shipment.notes.clone(), |j, t| j.shipment.notes = t);
    let take_notes = Callback::new(move |typed| {
        // A text area holds no longer text than this; nothing else is refused.
        let _ = take_notes.run(typed);
    });
    let papers = Signal::derive(|| {
        vec![("a4".to_owned(), "A4".to_owned()), ("letter".to_owned(), "US Letter".to_owned())]
    });
    let paper = Memo::new(move |_| {
        match desk.job().shipment.paper {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
        .to_owned()
    });
    let take_paper = Callback::new(move |word: String| {
        let paper = if word == "letter" { Paper::Letter } else { Paper::A4 };
        desk.change("the paper", |job| job.shipment.paper = paper);
    });
    view! {
        <div class="title order">
            <Field class="w5" label="Customer" value=customer take=take_customer/>
            <Field class="w3" label="Order" value=order take=take_order/>
            <Field class="w2" label="Lot" value=lot take=take_lot/>
            <Field class="w2" label="Quantity" value=quantity take=take_quantity/>
            <Field class="w3" label="Report number" value=report take=take_report/>
            <Field class="w2" label="Report revision" value=revision take=take_revision/>
            <Choice class="w2" label="Paper" choices=papers value=paper take=take_paper/>
            <TextArea class="w12" label="Notes on the sheet" value=notes take=take_notes/>
        </div>
        <p class="help">"Everything here is printed in the title block of the sheet. What is left empty stays blank there."</p>
    }
}
