//! The outline of a document (12.3.3): what a reader shows beside the pages to go to.
//!
//! printpdf's own bookmarks have one level and no height on the page, and it writes the catalogue's
//! `/PageMode` as a string, where the format wants a name.

use super::page::{Bookmark, Level};
use super::pdf::{PdfError, text_string};
use super::pdf_content::points;
use lopdf::{Dictionary, Document, Object, ObjectId};

/// A bookmark with the page it is on and the height of that page in millimetres.
pub(crate) struct Entry<'a> {
    pub(crate) page: ObjectId,
    pub(crate) height: f64,
    pub(crate) bookmark: &'a Bookmark,
}

/// Puts the outline into the document; nothing where there is no bookmark. It is open beside the pages
/// where there are several sheets, with their sections folded away.
pub(crate) fn put(document: &mut Document, entries: &[Entry<'_>]) -> Result<(), PdfError> {
    // A section before the first sheet stands as one.
    let mut sheets: Vec<(usize, Vec<usize>)> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        match (entry.bookmark.level, sheets.last_mut()) {
            (Level::Section, Some((_, sections))) => sections.push(index),
            _ => sheets.push((index, Vec::new())),
        }
    }
    if sheets.is_empty() {
        return Ok(());
    }
    let several = sheets.len() > 1;
    let ids: Vec<ObjectId> = entries.iter().map(|_| document.new_object_id()).collect();
    let root = document.new_object_id();
    let mut items: Vec<Dictionary> = entries.iter().map(item).collect();
    let tops: Vec<usize> = sheets.iter().map(|(top, _)| *top).collect();
    link(&mut items, &ids, &tops, root);
    for (top, sections) in &sheets {
        link(&mut items, &ids, sections, ids[*top]);
        if let (Some(first), Some(last)) = (sections.first(), sections.last()) {
            let count = i64::try_from(sections.len()).unwrap_or(0);
            let item = &mut items[*top];
            item.set("First", ids[*first]);
            item.set("Last", ids[*last]);
            // What is folded away is counted with a minus.
            item.set("Count", if several { -count } else { count });
        }
    }
    let seen = if several { sheets.len() } else { entries.len() };
    let mut outline = Dictionary::new();
    outline.set("Type", Object::Name(b"Outlines".to_vec()));
    outline.set("First", ids[tops[0]]);
    outline.set("Last", ids[tops[tops.len() - 1]]);
    outline.set("Count", i64::try_from(seen).unwrap_or(0));
    document.objects.insert(root, outline.into());
    for (id, item) in ids.into_iter().zip(items) {
        document.objects.insert(id, item.into());
    }
    let catalog = document.catalog_mut().map_err(|_| PdfError::Incomplete("catalogue"))?;
    catalog.set("Outlines", root);
    let mode: &[u8] = if several { b"UseOutlines" } else { b"UseNone" };
    catalog.set("PageMode", Object::Name(mode.to_vec()));
    Ok(())
}

/// A bookmark that leads to its place and leaves the zoom as it is.
fn item(entry: &Entry<'_>) -> Dictionary {
    let top = points(entry.height - entry.bookmark.y).max(0.0);
    let place = vec![
        entry.page.into(),
        Object::Name(b"XYZ".to_vec()),
        Object::Null,
        Object::Real(top),
        Object::Null,
    ];
    let mut item = Dictionary::new();
    item.set("Title", text_string(&entry.bookmark.title));
    item.set("Dest", place);
    item
}

/// Ties those that stand under `parent` to it and to each other.
fn link(items: &mut [Dictionary], ids: &[ObjectId], under: &[usize], parent: ObjectId) {
    for (n, index) in under.iter().enumerate() {
        let item = &mut items[*index];
        item.set("Parent", parent);
        if let Some(before) = n.checked_sub(1).and_then(|n| under.get(n)) {
            item.set("Prev", ids[*before]);
        }
        if let Some(next) = under.get(n + 1) {
            item.set("Next", ids[*next]);
        }
    }
}
