//! What must hold of any page whatever stands on it.

use super::boxes::{Bounds, Seen, Written, border};
use quarterturn_core::mark::{Ink, Page};

/// Point of typography in millimetres.
const POINT: f64 = 25.4 / 72.0;
/// Labels, heads of columns, letters in pictures: at least this size.
const LABEL: f64 = 6.5 * POINT;
/// Text and figures that are read: at least this size.
const TEXT: f64 = 8.0 * POINT;
/// Height of the strip at the foot of a page.
const STRIP: f64 = 12.0;
/// Rounding of widths.
const HAIR: f64 = 0.05;

fn place(w: &Written) -> String {
    let b = w.bounds;
    let group = w.group.as_deref().unwrap_or("page");
    format!("“{}” at {:.1} {:.1} ({group})", w.says, b.x[0], b.y[1])
}

/// Everything that is wrong with how this page, one of several, is laid out.
///
/// `in_full`: what the title block has no room for stands elsewhere in full.
pub(super) fn faults(page: &Page, [number, of]: [usize; 2], in_full: bool) -> Vec<String> {
    let seen = Seen::of(page);
    let frame = border(page);
    let mut found = Vec::new();
    outside(&seen, frame, page, &mut found);
    overlaps(&seen, &mut found);
    if !in_full || number > 1 {
        cut(&seen, frame, &mut found);
    }
    small(&seen, &mut found);
    let numbered = format!("{number} of {of}");
    if !seen.text.iter().any(|w| w.says == numbered) {
        found.push(format!("the page does not say that it is {numbered}"));
    }
    if !page.title.ends_with(&format!("page {numbered}")) {
        found.push(format!("its title is {}", page.title));
    }
    found
}

fn outside(seen: &Seen, frame: Bounds, page: &Page, found: &mut Vec<String>) {
    let paper = Bounds { x: [0.0, page.width], y: [0.0, page.height] };
    if frame.beyond(paper) > -5.0 {
        found.push(format!("the border {frame:?} is not on the paper"));
    }
    for w in seen.text.iter().filter(|w| !w.says.trim().is_empty()) {
        if w.bounds.beyond(frame) > HAIR {
            found.push(format!("outside the border: {}", place(w)));
        }
    }
    for (_, b) in seen.drawn.iter().filter(|(_, b)| b.beyond(frame) > HAIR) {
        found.push(format!("drawn outside the border: {b:?}"));
    }
}

fn overlaps(seen: &Seen, found: &mut Vec<String>) {
    let text: Vec<&Written> = seen.text.iter().filter(|w| !w.says.trim().is_empty()).collect();
    for (i, a) in text.iter().enumerate() {
        for b in &text[i + 1..] {
            if a.bounds.overlap(b.bounds) > HAIR && !are_crowded(a, b) {
                found.push(format!("one on the other: {} and {}", place(a), place(b)));
            }
        }
        for (order, cover) in &seen.covers {
            if a.order < *order && a.bounds.overlap(*cover) > HAIR {
                found.push(format!("covered: {}", place(a)));
            }
        }
    }
}

/// Numbers of features that lie closer to each other than their letters are wide, or that are so long
/// that a small picture has no room for them. They stand in full in every table.
fn are_crowded(a: &Written, b: &Written) -> bool {
    let number = |w: &Written| w.group.as_deref() == Some("feature");
    number(a) && b.group.is_some() || number(b) && a.group.is_some()
}

/// Nothing is cut short but in the strip at the foot, which repeats what stands in full elsewhere.
fn cut(seen: &Seen, frame: Bounds, found: &mut Vec<String>) {
    for w in &seen.text {
        // The set-up is said in full beside its picture.
        let standing = w.group.as_deref() == Some("standing");
        if !standing && w.says.contains('…') && w.bounds.y[1] < frame.y[1] - STRIP {
            found.push(format!("cut short: {}", place(w)));
        }
    }
}

fn small(seen: &Seen, found: &mut Vec<String>) {
    for w in &seen.text {
        let label = w.group.is_some() || w.ink == Ink::Soft;
        if w.size < if label { LABEL } else { TEXT } - 0.005 {
            found.push(format!("too small, {:.2} mm: {}", w.size, place(w)));
        }
    }
}
