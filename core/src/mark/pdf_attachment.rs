//! Files within a document (ISO 32000-1, 7.11.4): what it was made of travels with it.

use super::pdf::{PdfError, text_string};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};

/// A file within a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its name.
    pub name: String,
    /// What it is, for the list that a viewer shows.
    pub about: String,
    /// Its kind, as `application/json`.
    pub kind: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// Puts the files into the document; nothing where there is none.
pub(crate) fn put(document: &mut Document, files: &[Attachment]) -> Result<(), PdfError> {
    if files.is_empty() {
        return Ok(());
    }
    // A name tree is in the order of its names (7.9.6).
    let mut files: Vec<&Attachment> = files.iter().collect();
    files.sort_by(|a, b| a.name.cmp(&b.name));
    let mut names: Vec<Object> = Vec::new();
    let mut all: Vec<Object> = Vec::new();
    for file in files {
        let id = specification(document, file);
        names.push(text_string(&file.name));
        names.push(id.into());
        all.push(id.into());
    }
    let mut embedded = Dictionary::new();
    embedded.set("Names", names);
    let mut trees = Dictionary::new();
    trees.set("EmbeddedFiles", embedded);
    let catalog = document.catalog_mut().map_err(|_| PdfError::Incomplete("catalogue"))?;
    catalog.set("Names", trees);
    // What they are to the document, where a reader asks (ISO 32000-2, 14.13).
    catalog.set("AF", all);
    Ok(())
}

fn specification(document: &mut Document, file: &Attachment) -> ObjectId {
    let mut parameters = Dictionary::new();
    parameters.set("Size", i64::try_from(file.bytes.len()).unwrap_or(i64::MAX));
    let mut entries = Dictionary::new();
    entries.set("Type", Object::Name(b"EmbeddedFile".to_vec()));
    entries.set("Subtype", Object::Name(file.kind.clone().into_bytes()));
    entries.set("Params", parameters);
    let stream = document.add_object(Stream::new(entries, file.bytes.clone()));
    let mut embedded = Dictionary::new();
    embedded.set("F", stream);
    embedded.set("UF", stream);
    let mut specification = Dictionary::new();
    specification.set("Type", Object::Name(b"Filespec".to_vec()));
    specification.set("F", text_string(&file.name));
    specification.set("UF", text_string(&file.name));
    specification.set("Desc", text_string(&file.about));
    specification.set("AFRelationship", Object::Name(b"Source".to_vec()));
    specification.set("EF", embedded);
    document.add_object(specification)
}

/// The file of this name within a document; `None` where there is none, or it cannot be read.
pub(crate) fn get(document: &Document, name: &str) -> Option<Vec<u8>> {
    let tree = document.catalog().ok()?.get(b"Names").ok()?;
    let (_, tree) = document.dereference(tree).ok()?;
    let (_, files) = document.dereference(tree.as_dict().ok()?.get(b"EmbeddedFiles").ok()?).ok()?;
    let names = files.as_dict().ok()?.get(b"Names").and_then(Object::as_array).ok()?;
    let wanted = text_string(name);
    let pair = names.chunks_exact(2).find(|pair| pair[0].as_str().ok() == wanted.as_str().ok())?;
    let (_, specification) = document.dereference(&pair[1]).ok()?;
    let embedded = specification.as_dict().ok()?.get(b"EF").and_then(Object::as_dict).ok()?;
    let (_, stream) = document.dereference(embedded.get(b"F").ok()?).ok()?;
    let stream = stream.as_stream().ok()?;
    stream.decompressed_content().ok().or_else(|| Some(stream.content.clone()))
}
