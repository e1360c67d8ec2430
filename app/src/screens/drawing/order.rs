//! The data of order and report: issuer, customer, lot, report number, approval.

use super::text;
use crate::desk::Desk;
use crate::widgets::{Choice, Field, TextArea};
use leptos::prelude::*;
use quarterturn_core::job::{Paper, Shipment};

/// The fields.
#[component]
pub(super) fn Order() -> impl IntoView {
    let desk = Desk::here();
    let field = move |what,
                      get: fn(&Shipment) -> &String,
                      put: fn(&mut Shipment) -> &mut String| {
        text(desk, what, move |j| get(&j.shipment).clone(), move |j, t| *put(&mut j.shipment) = t)
    };
    let (issuer, take_issuer) = field("the issuer", |s| &s.issuer, |s| &mut s.issuer);
    let (address, take_address) =
        field("the issuer's address", |s| &s.issuer_address, |s| &mut s.issuer_address);
    let (customer, take_customer) = field("the customer", |s| &s.customer, |s| &mut s.customer);
    let (order, take_order) = field("the order", |s| &s.order, |s| &mut s.order);
    let (lot, take_lot) = field("the lot", |s| &s.lot, |s| &mut s.lot);
    let (quantity, take_quantity) = field("the lot size", |s| &s.quantity, |s| &mut s.quantity);
    let (inspected, take_inspected) =
        field("the quantity inspected", |s| &s.inspected, |s| &mut s.inspected);
    let (report, take_report) =
        field("the report's number", |s| &s.report_number, |s| &mut s.report_number);
    let (revision, take_revision) =
        field("the report's revision", |s| &s.report_revision, |s| &mut s.report_revision);
    let (approved, take_approved) =
        field("who approves the report", |s| &s.approved_by, |s| &mut s.approved_by);
    let (notes, take_notes) = field("the notes", |s| &s.notes, |s| &mut s.notes);
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
            <Field class="w5" label="Issued by" value=issuer take=take_issuer/>
            <Field class="w7" label="Issuer's address" value=address take=take_address/>
            <Field class="w5" label="Approved by" value=approved take=take_approved/>
            <Field class="w5" label="Customer" value=customer take=take_customer/>
            <Field class="w3" label="Order" value=order take=take_order/>
            <Field class="w3" label="Lot" value=lot take=take_lot/>
            <Field class="w3" label="Lot size" value=quantity take=take_quantity/>
            <Field class="w3" label="Quantity inspected" value=inspected take=take_inspected/>
            <Field class="w5" label="Report number" value=report take=take_report/>
            <Field class="w3" label="Report revision" value=revision take=take_revision/>
            <Choice class="w3" label="Paper" choices=papers value=paper take=take_paper/>
            <TextArea class="w12" label="Notes on the sheet" value=notes take=take_notes/>
        </div>
        <p class="help">"Everything here is printed in the title block of the sheet. What is left empty stays blank there."</p>
    }
}
