//! Pages as a PDF document.
//!
//! printpdf writes the objects; what it leaves to chance or to the clock (dates,
//! identifiers) and what it rounds (advances) is then set, so that the same pages
//! give the same bytes, natively and in the browser. Clauses are those of ISO 32000-1.

use super::page::Page;
use super::pdf_font::{Fonts, finish_fonts};
use super::pdf_ops::{operations, points};
use lopdf::{Dictionary, Document, Object, StringFormat};
use printpdf::{PdfDocument, PdfPage, PdfSaveOptions, Pt};

/// What a document says of itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct About {
    /// Its title, shown by viewers in place of the file's name.
    pub title: String,
    /// Who stands for it.
    pub author: String,
    /// What it is about.
    pub subject: String,
    /// Words to find it by.
    pub keywords: Vec<String>,
    /// The program that made it, with its version.
    pub creator: String,
    /// When it was made.
    pub created: Moment,
    /// What sets it apart from every other document: random, or a fingerprint.
    pub id: [u8; 16],
}

/// A date and time of day in UTC (Gregorian calendar).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// 0 to 9999.
    pub year: u16,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
    /// 0 to 23.
    pub hour: u8,
    /// 0 to 59.
    pub minute: u8,
    /// 0 to 59.
    pub second: u8,
}

impl Default for Moment {
    /// The beginning of 1970.
    fn default() -> Self {
        Self {
            year: 1970,
            month: 1,
            day: 1,
            hour: 0,
            minute: 0,
            second: 0,
        }
    }
}

impl Moment {
    /// As a PDF date (7.9.4), `D:20240131235959Z`, if it is one.
    fn stamp(self) -> Option<String> {
        let leap = self.year.is_multiple_of(4)
            && (!self.year.is_multiple_of(100) || self.year.is_multiple_of(400));
        let days = match self.month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => return None,
        };
        let valid = self.year <= 9999
            && (1..=days).contains(&self.day)
            && self.hour < 24
            && self.minute < 60
            && self.second < 60;
        valid.then(|| {
            format!(
                "D:{:04}{:02}{:02}{:02}{:02}{:02}Z",
                self.year, self.month, self.day, self.hour, self.minute, self.second
            )
        })
    }
}

/// Why a document could not be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PdfError {
    /// There is no page to write.
    #[error("a document needs at least one page")]
    NoPages,
    /// A page has no size, or one beyond what the format allows (5 m).
    #[error("page {number} is {width} mm by {height} mm, which no document can hold")]
    PageSize {
        /// Which page, counted from 1.
        number: usize,
        /// Width in millimetres.
        width: f64,
        /// Height in millimetres.
        height: f64,
    },
    /// The date does not exist.
    #[error("the date of the document does not exist: {0:?}")]
    Date(Moment),
    /// Two or more typefaces together need more characters than one document can hold.
    #[error("the typeface {face} could not be put into the document: its table '{table}'")]
    Font {
        /// The typeface's name.
        face: &'static str,
        /// The table at fault.
        table: &'static str,
    },
    /// The document came out without a part that it must have.
    #[error("the document came out without its {0}")]
    Incomplete(&'static str),
    /// The document could not be put into bytes.
    #[error("the document could not be written: {0}")]
    Write(#[from] std::io::Error),
}

/// The pages as a PDF document: real text in embedded fonts cut down to the
/// characters used, lines and fills as vectors. The same arguments give the same
/// bytes.
///
/// # Errors
/// No pages, a page without a size, a date that does not exist; or a fault in
/// writing, which would be one of this program.
pub fn pdf(pages: &[Page], about: &About) -> Result<Vec<u8>, PdfError> {
    if pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    let stamp = about.created.stamp().ok_or(PdfError::Date(about.created))?;
    let fonts = Fonts::for_pages(pages)?;

    let mut built = PdfDocument::new(&about.title);
    fonts.add_to(&mut built);
    for (index, page) in pages.iter().enumerate() {
        // Table C.1: at most 14,400 units on a side.
        let fits = |side: f64| side > 0.0 && points(side) <= 14_400.0;
        if !(fits(page.width) && fits(page.height)) {
            return Err(PdfError::PageSize {
                number: index + 1,
                width: page.width,
                height: page.height,
            });
        }
        let sheet = printpdf::Rect::from_wh(Pt(points(page.width)), Pt(points(page.height)));
        built.pages.push(PdfPage {
            media_box: sheet.clone(),
            trim_box: sheet.clone(),
            crop_box: sheet,
            ops: operations(page),
        });
    }
    let options = PdfSaveOptions {
        // Paths are written operator by operator, which printpdf calls unknown.
        secure: false,
        ..PdfSaveOptions::default()
    };
    let mut document = built.to_lopdf_document(&options, &mut Vec::new());

    finish_fonts(&mut document, &fonts)?;
    finish_catalog(&mut document)?;
    finish_trailer(&mut document, about, &stamp);
    document.version = "1.7".to_owned();
    document.compress();
    let mut bytes = Vec::new();
    document.save_to(&mut bytes)?;
    Ok(bytes)
}

/// The catalogue: the language, and the title in the window rather than the file's
/// name; pages without the lists of annotations that they have none of.
fn finish_catalog(document: &mut Document) -> Result<(), PdfError> {
    let catalog = document
        .catalog_mut()
        .map_err(|_| PdfError::Incomplete("catalogue"))?;
    catalog.set("Lang", Object::string_literal("en"));
    let mut preferences = Dictionary::new();
    preferences.set("DisplayDocTitle", true);
    catalog.set("ViewerPreferences", preferences);
    for page in document.page_iter().collect::<Vec<_>>() {
        document
            .get_object_mut(page)
            .and_then(Object::as_dict_mut)
            .map_err(|_| PdfError::Incomplete("pages"))?
            .remove(b"Annots");
    }
    Ok(())
}

/// The document's account of itself (14.3.3) and its identifier (14.4).
fn finish_trailer(document: &mut Document, about: &About, stamp: &str) {
    let mut info = Dictionary::new();
    let keywords = about.keywords.join(", ");
    for (key, text) in [
        ("Title", about.title.as_str()),
        ("Author", &about.author),
        ("Subject", &about.subject),
        ("Keywords", &keywords),
        ("Creator", &about.creator),
        ("Producer", &about.creator),
    ] {
        if !text.is_empty() {
            info.set(key, text_string(text));
        }
    }
    info.set("CreationDate", Object::string_literal(stamp));
    info.set("ModDate", Object::string_literal(stamp));
    match document.trailer.get(b"Info").and_then(Object::as_reference) {
        Ok(reference) => {
            document.objects.insert(reference, info.into());
        }
        Err(_) => {
            let reference = document.add_object(info);
            document.trailer.set("Info", reference);
        }
    }
    let id = Object::String(about.id.to_vec(), StringFormat::Hexadecimal);
    document.trailer.set("ID", vec![id.clone(), id]);
}

/// A text string (7.9.2.2): plain where ASCII does, UTF-16 with its mark otherwise.
pub(crate) fn text_string(text: &str) -> Object {
    let plain = text.bytes().all(|byte| (0x20..0x7F).contains(&byte));
    if plain {
        Object::string_literal(text)
    } else {
        Object::String(utf16(text), StringFormat::Hexadecimal)
    }
}

/// UTF-16, big-endian, behind a byte order mark.
pub(crate) fn utf16(text: &str) -> Vec<u8> {
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    bytes
}
