//! Pages as a PDF document.
//!
//! printpdf builds the catalogue, the pages and the fonts. What it leaves to chance or to
//! the clock (dates, identifiers) and what it rounds (advances) is then set, so that the
//! same pages give the same bytes, natively and in the browser. What it lacks is put in
//! beside it: contents that are written page by page, an outline of two levels, XMP for
//! documents that are not PDF/A. Clauses are those of ISO 32000-1.
//!
//! Tables are not tagged (14.8): printpdf has no structure tree, no marked-content
//! identifiers and no parent tree, and a tree that holds part of the content only is
//! worse for a reader than none. Control frames carry their wording as `/ActualText`.

use super::mark::Mark;
use super::page::{Bookmark, Page};
use super::pdf_attachment::{self, Attachment};
use super::pdf_content::{Place, content, points};
use super::pdf_font::{Codes, Fonts, finish_fonts};
use super::pdf_outline::{self, Entry};
use super::pdf_xmp::packet;
use flate2::{Compress, Compression, FlushCompress, Status};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat};
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
    /// Files that travel with it.
    pub attachments: Vec<Attachment>,
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
        Self { year: 1970, month: 1, day: 1, hour: 0, minute: 0, second: 0 }
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

/// A document that is written page by page: what a page holds is kept as the bytes that it takes in
/// the document, and its marks can go. So a lot of fifty pieces takes little more memory than its
/// document.
pub struct PdfWriter {
    pages: Vec<Written>,
    codes: Codes,
    deflate: Compress,
}

/// A page as it is kept.
struct Written {
    width: f64,
    height: f64,
    /// Its contents, compressed: what was there first, and what was drawn over it.
    contents: Vec<Vec<u8>>,
    bookmarks: Vec<Bookmark>,
}

impl Default for PdfWriter {
    fn default() -> Self {
        Self {
            pages: Vec::new(),
            codes: Codes::default(),
            deflate: Compress::new(Compression::new(EFFORT), true),
        }
    }
}

/// How hard contents are compressed, of 9: beyond this a lot takes a tenth longer for a sixtieth less.
const EFFORT: u32 = 4;

impl PdfWriter {
    /// Adds a page behind the others.
    pub fn add(&mut self, page: Page) {
        let written = self.written(page);
        self.pages.push(written);
    }

    /// Adds pages before all others.
    pub fn add_in_front(&mut self, pages: Vec<Page>) {
        let pages: Vec<Written> = pages.into_iter().map(|page| self.written(page)).collect();
        self.pages.splice(0..0, pages);
    }

    /// How many pages there are.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.pages.len()
    }

    /// Draws marks over what is on the page with this index, if there is such a page.
    pub fn draw_over(&mut self, index: usize, marks: &[Mark]) {
        let Some(page) = self.pages.get_mut(index) else { return };
        let bytes = content(page.height, marks, &mut self.codes, Place::Behind);
        page.contents.push(compressed(&mut self.deflate, &bytes));
    }

    fn written(&mut self, page: Page) -> Written {
        let bytes = content(page.height, &page.marks, &mut self.codes, Place::First);
        Written {
            width: page.width,
            height: page.height,
            contents: vec![compressed(&mut self.deflate, &bytes)],
            bookmarks: page.bookmarks,
        }
    }

    /// The document: real text in embedded fonts cut down to the characters used, lines
    /// and fills as vectors. The same pages give the same bytes.
    ///
    /// # Errors
    /// No pages, a page without a size, a date that does not exist; or a fault in
    /// writing, which would be one of this program.
    pub fn finish(self, about: &About) -> Result<Vec<u8>, PdfError> {
        if self.pages.is_empty() {
            return Err(PdfError::NoPages);
        }
        let stamp = about.created.stamp().ok_or(PdfError::Date(about.created))?;
        let fonts = Fonts::of(&self.codes)?;
        let mut document = skeleton(&self.pages, &fonts, &about.title)?;
        let ids: Vec<ObjectId> = document.page_iter().collect();
        if ids.len() != self.pages.len() {
            return Err(PdfError::Incomplete("pages"));
        }
        let bookmarks = |(page, id): (&Written, ObjectId)| {
            let height = page.height;
            let entries = page.bookmarks.clone().into_iter();
            entries.map(move |bookmark| (id, height, bookmark)).collect::<Vec<_>>()
        };
        let bookmarks: Vec<_> =
            self.pages.iter().zip(ids.iter().copied()).flat_map(bookmarks).collect();
        for (page, id) in self.pages.into_iter().zip(ids) {
            set_contents(&mut document, id, page.contents)?;
        }
        finish_fonts(&mut document, &fonts)?;
        finish_catalog(&mut document)?;
        let entries: Vec<Entry<'_>> = bookmarks
            .iter()
            .map(|(page, height, bookmark)| Entry { page: *page, height: *height, bookmark })
            .collect();
        pdf_outline::put(&mut document, &entries)?;
        pdf_attachment::put(&mut document, &about.attachments)?;
        finish_trailer(&mut document, about, &stamp);
        put_xmp(&mut document, about)?;
        document.version = "1.7".to_owned();
        document.compress();
        let mut bytes = Vec::new();
        document.save_to(&mut bytes)?;
        Ok(bytes)
    }
}

/// The pages as a PDF document; see [`PdfWriter`], which takes them one by one.
///
/// # Errors
/// Those of [`PdfWriter::finish`].
pub fn pdf(pages: &[Page], about: &About) -> Result<Vec<u8>, PdfError> {
    let mut writer = PdfWriter::default();
    pages.iter().for_each(|page| writer.add(page.clone()));
    writer.finish(about)
}

/// The files of these names within a document, where it has them.
///
/// # Errors
/// It is no document that can be read.
pub fn attached(pdf: &[u8], names: &[&str]) -> Result<Vec<Option<Vec<u8>>>, PdfError> {
    let document = Document::load_mem(pdf).map_err(|_| PdfError::Incomplete("document"))?;
    Ok(names.iter().map(|name| pdf_attachment::get(&document, name)).collect())
}

/// Bytes as the filter `FlateDecode` reads them.
fn compressed(deflate: &mut Compress, bytes: &[u8]) -> Vec<u8> {
    deflate.reset();
    // Room for the worst case, so that one call does it; a page of text takes a fifth.
    let mut out = Vec::with_capacity(bytes.len() + bytes.len() / 1000 + 64);
    let mut read = 0;
    loop {
        let rest = bytes.get(read..).unwrap_or_default();
        let before = deflate.total_in();
        let status = deflate.compress_vec(rest, &mut out, FlushCompress::Finish);
        read += usize::try_from(deflate.total_in() - before).unwrap_or(0);
        match status {
            Ok(Status::StreamEnd) | Err(_) => break,
            Ok(_) => out.reserve(4096),
        }
    }
    out.shrink_to_fit();
    out
}

/// The document with fonts and pages, whose contents are not there yet.
fn skeleton(pages: &[Written], fonts: &Fonts, title: &str) -> Result<Document, PdfError> {
    let mut built = PdfDocument::new(title);
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
            ops: if index == 0 { fonts.shown() } else { Vec::new() },
        });
    }
    Ok(built.to_lopdf_document(&PdfSaveOptions::default(), &mut Vec::new()))
}

/// Gives a page its contents (7.8.2: an array of streams is read as one), and takes the list of
/// annotations away that it has none of.
fn set_contents(
    document: &mut Document,
    page: ObjectId,
    contents: Vec<Vec<u8>>,
) -> Result<(), PdfError> {
    const FAULT: PdfError = PdfError::Incomplete("pages");
    let mut streams = contents.into_iter().map(|bytes| {
        let mut entries = Dictionary::new();
        entries.set("Filter", Object::Name(b"FlateDecode".to_vec()));
        Stream::new(entries, bytes)
    });
    let of_page = document.get_dictionary(page).map_err(|_| FAULT)?;
    let first = of_page.get(b"Contents").and_then(Object::as_reference).map_err(|_| FAULT)?;
    // printpdf's own content gives way to the first.
    document.objects.insert(first, streams.next().ok_or(FAULT)?.into());
    let mut all: Vec<Object> = vec![first.into()];
    all.extend(streams.map(|stream| document.add_object(stream).into()));
    let of_page = document.get_object_mut(page).and_then(Object::as_dict_mut).map_err(|_| FAULT)?;
    of_page.remove(b"Annots");
    if all.len() > 1 {
        of_page.set("Contents", all);
    }
    Ok(())
}

/// The catalogue: the language, and the title in the window rather than the file's name.
fn finish_catalog(document: &mut Document) -> Result<(), PdfError> {
    let catalog = document.catalog_mut().map_err(|_| PdfError::Incomplete("catalogue"))?;
    catalog.set("Lang", Object::string_literal("en"));
    let mut preferences = Dictionary::new();
    preferences.set("DisplayDocTitle", true);
    catalog.set("ViewerPreferences", preferences);
    Ok(())
}

/// The metadata stream (14.3.2), which stays readable for programs that know no PDF.
fn put_xmp(document: &mut Document, about: &About) -> Result<(), PdfError> {
    let mut entries = Dictionary::new();
    entries.set("Type", Object::Name(b"Metadata".to_vec()));
    entries.set("Subtype", Object::Name(b"XML".to_vec()));
    let stream = Stream::new(entries, packet(about).into_bytes()).with_compression(false);
    let id = document.add_object(stream);
    let catalog = document.catalog_mut().map_err(|_| PdfError::Incomplete("catalogue"))?;
    catalog.set("Metadata", id);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mark::{Cell, Circle, Face, Ink, Rect, Stroke, Symbol, Text, control_frame, width};
    use lopdf::content::Content;
    use std::collections::BTreeMap;

    fn about() -> About {
        About {
            title: "Layout sheet Łódź".to_owned(),
            author: "M. Ångström".to_owned(),
            subject: "Plate".to_owned(),
            keywords: vec!["BY-1".to_owned(), "lot 7".to_owned()],
            creator: "Quarterturn test".to_owned(),
            created: Moment { year: 2024, month: 2, day: 29, hour: 7, minute: 8, second: 9 },
            id: [0xA5; 16],
            attachments: Vec::new(),
        }
    }

    fn page(texts: impl IntoIterator<Item = Text>) -> Page {
        let mut page = Page::new(210.0, 297.0, "page");
        for text in texts {
            page.put(text);
        }
        page
    }

    /// A line of text as a reader of the document gets it.
    #[derive(Debug)]
    struct Shown {
        text: String,
        /// Length in points.
        advance: f64,
        at: (f64, f64),
        /// The direction the line runs in.
        along: (f64, f64),
    }

    fn number(object: &Object) -> f64 {
        f64::from(object.as_float().unwrap())
    }

    /// Reads a page's text the way a viewer does: codes by `/ToUnicode`, lengths by `/W`.
    fn read(bytes: &[u8], page: u32) -> Vec<Shown> {
        let document = Document::load_mem(bytes).unwrap();
        let page = document.get_pages()[&page];
        let fonts: BTreeMap<Vec<u8>, _> = document
            .get_page_fonts(page)
            .unwrap()
            .into_iter()
            .map(|(name, font)| {
                let map = font.get(b"ToUnicode").unwrap().as_reference().unwrap();
                let map = document.get_object(map).unwrap().as_stream().unwrap();
                let map = String::from_utf8(map.get_plain_content().unwrap()).unwrap();
                let characters: BTreeMap<u16, String> = map
                    .lines()
                    .filter_map(|line| line.strip_prefix('<')?.strip_suffix('>')?.split_once("> <"))
                    .map(|(code, target)| {
                        let units: Vec<u16> = (0..target.len())
                            .step_by(4)
                            .map(|at| u16::from_str_radix(&target[at..at + 4], 16).unwrap())
                            .collect();
                        let code = u16::from_str_radix(code, 16).unwrap();
                        (code, String::from_utf16(&units).unwrap())
                    })
                    .collect();
                let descendant =
                    font.get(b"DescendantFonts").unwrap().as_array().unwrap()[0].as_dict().unwrap();
                let widths = descendant.get(b"W").unwrap().as_array().unwrap();
                assert_eq!(widths[0].as_i64().unwrap(), 1);
                let widths: Vec<f64> = widths[1].as_array().unwrap().iter().map(number).collect();
                (name, (characters, widths))
            })
            .collect();

        let content = document.get_page_content(page);
        let mut shown: Vec<Shown> = Vec::new();
        let (mut font, mut size) = (Vec::new(), 0.0);
        for operation in Content::decode(&content).unwrap().operations {
            let operands = &operation.operands;
            match operation.operator.as_str() {
                "Tm" => {
                    let m: Vec<f64> = operands.iter().map(number).collect();
                    shown.push(Shown {
                        text: String::new(),
                        advance: 0.0,
                        at: (m[4], m[5]),
                        along: (m[0], m[1]),
                    });
                }
                "Tf" => {
                    font = operands[0].as_name().unwrap().to_vec();
                    size = number(&operands[1]);
                }
                "Tj" => {
                    let (characters, widths) = &fonts[&font];
                    let last = shown.last_mut().unwrap();
                    for code in operands[0].as_str().unwrap().chunks(2) {
                        let code = u16::from_be_bytes([code[0], code[1]]);
                        last.text.push_str(&characters[&code]);
                        last.advance += widths[usize::from(code) - 1] / 1000.0 * size;
                    }
                }
                "TJ" | "'" | "\"" => panic!("text is shown by Tj alone"),
                _ => {}
            }
        }
        shown
    }

    #[test]
    fn text_reads_back_as_it_was_written_and_is_as_long_as_measured() {
        let lines =
            ["−.0042 ± ⌀ Ø", "Łódź Ελλάδα Юрий Nguyễn µμΩ", "two  spaces, fi ffi", "王小明 🙂"];
        for face in Face::ALL {
            for (line, size) in lines.into_iter().zip([2.3, 3.2, 2.8, 10.0]) {
                let text = Text::new((20.0, 30.0), line, size).face(face);
                let shown = read(&pdf(&[page([text])], &about()).unwrap(), 1);
                assert_eq!(shown.len(), 1);
                assert_eq!(shown[0].text, line);
                let points = width(face, line, size) * 72.0 / 25.4;
                let drift = (shown[0].advance - points).abs();
                // Sizes are written to the thousandth of a point.
                assert!(drift < 1e-4 * points + 1e-3, "{line}: {drift} of {points}");
            }
        }
    }

    #[test]
    fn text_stands_where_it_was_placed() {
        let texts = [
            Text::new((20.0, 30.0), "12.5", 3.0),
            Text::new((20.0, 30.0), "12.5", 3.0).end(),
            Text::new((20.0, 30.0), "12.5", 3.0).middle(),
            Text::new((20.0, 30.0), "12.5", 3.0).decimal(),
            Text::new((20.0, 30.0), "12.5", 3.0).end().turn(crate::mark::Turn::Up),
        ];
        let starts = texts.each_ref().map(Text::start);
        let shown = read(&pdf(&[page(texts)], &about()).unwrap(), 1);
        for (shown, start) in shown.iter().zip(starts) {
            let (x, y) = (start.x * 72.0 / 25.4, (297.0 - start.y) * 72.0 / 25.4);
            assert!((shown.at.0 - x).abs() < 0.001 && (shown.at.1 - y).abs() < 0.001);
        }
        assert_eq!(shown[0].along, (1.0, 0.0));
        assert_eq!(shown[4].along, (0.0, 1.0));
    }

    #[test]
    fn the_same_pages_give_the_same_bytes() {
        let make = |text: &str| {
            let mut page = page([Text::new((20.0, 30.0), text, 3.0)]);
            page.put(Circle::new((50.0, 50.0), 9.0).fill(Ink::Wash).stroke(Stroke::THIN));
            pdf(&[page.clone(), page], &about()).unwrap()
        };
        assert_eq!(make("hole 1"), make("hole 1"));
        assert_ne!(make("hole 1"), make("hole 2"));
        assert!(make("hole 1").len() < 20_000);
    }

    #[test]
    fn the_document_says_what_it_is() {
        let bytes = pdf(&[page([])], &about()).unwrap();
        let document = Document::load_mem(&bytes).unwrap();
        assert_eq!(document.version, "1.7");
        let info = document.trailer.get(b"Info").unwrap().as_reference().unwrap();
        let info = document.get_dictionary(info).unwrap();
        let said = |key: &[u8]| {
            let bytes = info.get(key).unwrap().as_str().unwrap();
            match bytes.strip_prefix(&[0xFE, 0xFF]) {
                Some(units) => {
                    let units: Vec<u16> = units
                        .chunks(2)
                        .map(|unit| u16::from_be_bytes([unit[0], unit[1]]))
                        .collect();
                    String::from_utf16(&units).unwrap()
                }
                None => String::from_utf8(bytes.to_vec()).unwrap(),
            }
        };
        assert_eq!(said(b"Title"), "Layout sheet Łódź");
        assert_eq!(said(b"Author"), "M. Ångström");
        assert_eq!(said(b"Subject"), "Plate");
        assert_eq!(said(b"Keywords"), "BY-1, lot 7");
        assert_eq!(said(b"Creator"), "Quarterturn test");
        assert_eq!(said(b"CreationDate"), "D:20240229070809Z");
        assert_eq!(said(b"ModDate"), "D:20240229070809Z");
        let id = document.trailer.get(b"ID").unwrap().as_array().unwrap();
        assert!(id.len() == 2 && id.iter().all(|id| id.as_str().unwrap() == [0xA5; 16]));
        let catalog = document.catalog().unwrap();
        assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en");
        assert!(catalog.get(b"OutputIntents").is_err());
    }

    #[test]
    fn typefaces_are_embedded_and_cut_down() {
        let bytes = pdf(&[page([Text::new((9.0, 9.0), "abc", 3.0).bold()])], &about()).unwrap();
        let document = Document::load_mem(&bytes).unwrap();
        let page = document.get_pages()[&1];
        let fonts = document.get_page_fonts(page).unwrap();
        assert_eq!(fonts.len(), 1);
        let font = &fonts[b"SansBold".as_slice()];
        let name = font.get(b"BaseFont").unwrap().as_name().unwrap();
        let (tag, name) = name.split_at(7);
        assert!(tag[..6].iter().all(u8::is_ascii_uppercase) && tag[6] == b'+');
        assert_eq!(name, b"DejaVuSansCondensed-Bold");
        let descendant =
            font.get(b"DescendantFonts").unwrap().as_array().unwrap()[0].as_dict().unwrap();
        let descriptor = descendant.get(b"FontDescriptor").unwrap().as_reference().unwrap();
        let descriptor = document.get_dictionary(descriptor).unwrap();
        let program = descriptor.get(b"FontFile2").unwrap().as_reference().unwrap();
        let program = document.get_object(program).unwrap().as_stream().unwrap();
        let program = program.decompressed_content().unwrap();
        assert!(program.len() < 2000);
        let cut = super::super::sfnt::Sfnt::read(&program).unwrap();
        assert!(!cut.outline(3).unwrap().is_empty());
        let units = f64::from(cut.metrics(1).unwrap().0);
        assert!((units - width(Face::SansBold, "a", 2048.0)).abs() < 1e-9);
    }

    #[test]
    fn a_control_frame_is_copied_as_it_is_said() {
        let cells = [
            Cell::new().symbol(Symbol::Position),
            Cell::new().symbol(Symbol::Diameter).text(".010"),
            Cell::new().text("A"),
        ];
        let mut page = page([]);
        page.marks = control_frame((10.0, 10.0), 6.0, &cells).0;
        let bytes = pdf(&[page], &about()).unwrap();
        let document = Document::load_mem(&bytes).unwrap();
        let content = document.get_page_content(document.get_pages()[&1]);
        let operations = Content::decode(&content).unwrap().operations;
        let span = operations.iter().find(|op| op.operator == "BDC").unwrap();
        let said = span.operands[1].as_dict().unwrap().get(b"ActualText").unwrap();
        assert_eq!(said.as_str().unwrap(), utf16("position | ⌀.010 | A"));
        let count = |name: &str| operations.iter().filter(|op| op.operator == name).count();
        assert_eq!((count("BDC"), count("EMC")), (1, 1));
    }

    #[test]
    fn shapes_are_vectors_and_open_paths_stay_open() {
        let mut page = page([]);
        page.put(Rect::new((10.0, 20.0), 30.0, 40.0).fill(Ink::Shade));
        let open = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)].map(crate::mark::Point::from);
        page.put(crate::mark::Path::polyline(open).stroke(Stroke::THIN));
        let bytes = pdf(&[page], &about()).unwrap();
        let document = Document::load_mem(&bytes).unwrap();
        let content = document.get_page_content(document.get_pages()[&1]);
        let operators: Vec<String> = Content::decode(&content)
            .unwrap()
            .operations
            .into_iter()
            .map(|operation| operation.operator)
            .collect();
        assert_eq!(operators, ["j", "rg", "re", "f", "RG", "w", "m", "l", "l", "S"]);
    }

    #[test]
    fn what_is_drawn_over_a_page_comes_last_and_a_page_in_front_first() {
        let text = |says: &str| Text::new((20.0, 30.0), says, 3.0);
        let mut writer = PdfWriter::default();
        let mut dashed = page([text("second")]);
        let stroke = Stroke::THIN.dash(Stroke::DASHED);
        dashed.put(crate::mark::Line::new((0.0, 0.0), (9.0, 0.0), stroke));
        writer.add(dashed);
        writer.add_in_front(vec![page([text("first")])]);
        let line = crate::mark::Line::new((0.0, 9.0), (9.0, 9.0), Stroke::THIN);
        writer.draw_over(1, &[text("over it").into(), line.into()]);
        writer.draw_over(7, &[text("nowhere").into()]);
        assert_eq!(writer.count(), 2);
        let bytes = writer.finish(&about()).unwrap();
        let says = |page| read(&bytes, page).into_iter().map(|s| s.text).collect::<Vec<_>>();
        assert_eq!(says(1), ["first"]);
        assert_eq!(says(2), ["second", "over it"]);
        // The dashes of the line before do not go on.
        let document = Document::load_mem(&bytes).unwrap();
        let content = document.get_page_content(document.get_pages()[&2]);
        let dashes: Vec<usize> = Content::decode(&content)
            .unwrap()
            .operations
            .into_iter()
            .filter(|operation| operation.operator == "d")
            .map(|operation| operation.operands[0].as_array().unwrap().len())
            .collect();
        assert_eq!(dashes, [2, 0]);
    }

    /// A bookmark of the outline: its title, the titles below it, and where it leads.
    type Marked = (String, Vec<String>, (u32, f64));

    fn outline(document: &Document) -> Vec<Marked> {
        let text = |item: &Dictionary| {
            let bytes = item.get(b"Title").unwrap().as_str().unwrap();
            match bytes.strip_prefix(&[0xFE, 0xFF]) {
                Some(units) => String::from_utf16(
                    &units
                        .chunks(2)
                        .map(|u| u16::from_be_bytes([u[0], u[1]]))
                        .collect::<Vec<u16>>(),
                )
                .unwrap(),
                None => String::from_utf8(bytes.to_vec()).unwrap(),
            }
        };
        // From the first to the last, by what each says comes next.
        let under = |parent: &Dictionary| {
            let mut items = Vec::new();
            let mut next = parent.get(b"First").ok().map(|f| f.as_reference().unwrap());
            let mut before = None;
            while let Some(id) = next {
                let item = document.get_dictionary(id).unwrap();
                assert_eq!(item.get(b"Prev").ok().map(|p| p.as_reference().unwrap()), before);
                before = Some(id);
                next = item.get(b"Next").ok().map(|n| n.as_reference().unwrap());
                items.push(item);
            }
            assert_eq!(parent.get(b"Last").ok().map(|l| l.as_reference().unwrap()), before);
            items
        };
        let root = document.catalog().unwrap().get(b"Outlines").unwrap().as_reference().unwrap();
        let pages = document.get_pages();
        under(document.get_dictionary(root).unwrap())
            .into_iter()
            .map(|item| {
                let place = item.get(b"Dest").unwrap().as_array().unwrap();
                let id = place[0].as_reference().unwrap();
                let page = *pages.iter().find(|(_, page)| **page == id).unwrap().0;
                assert_eq!(place[1].as_name().unwrap(), b"XYZ");
                let below = under(item).into_iter().map(text).collect();
                (text(item), below, (page, number(&place[3])))
            })
            .collect()
    }

    #[test]
    fn bookmarks_stand_under_their_sheet() {
        use crate::mark::{Bookmark, Level};
        let marked = |marks: &[(&str, Level, f64)]| {
            let mut page = page([]);
            page.bookmarks = marks
                .iter()
                .map(|(title, level, y)| Bookmark {
                    title: (*title).to_owned(),
                    level: *level,
                    y: *y,
                })
                .collect();
            page
        };
        let pages = [
            marked(&[("Piece Ł1", Level::Sheet, 0.0), ("Sums", Level::Section, 297.0)]),
            marked(&[("Records", Level::Section, 20.0)]),
            marked(&[("Piece 2", Level::Sheet, 0.0)]),
        ];
        let bytes = pdf(&pages, &about()).unwrap();
        let document = Document::load_mem(&bytes).unwrap();
        let high = 297.0 * 72.0 / 25.4;
        let found = outline(&document);
        let titles: Vec<(&str, &[String], u32)> =
            found.iter().map(|(t, below, (page, _))| (t.as_str(), &below[..], *page)).collect();
        let below = ["Sums".to_owned(), "Records".to_owned()];
        assert_eq!(titles, [("Piece Ł1", &below[..], 1), ("Piece 2", &[][..], 3)]);
        assert!(found.iter().all(|(_, _, (_, top))| (top - high).abs() < 0.01));
        let mode = document.catalog().unwrap().get(b"PageMode").unwrap();
        assert_eq!(mode.as_name().unwrap(), b"UseOutlines");
        // One sheet alone is not shown with its outline, and pages without bookmarks have none.
        let document = Document::load_mem(&pdf(&pages[..2], &about()).unwrap()).unwrap();
        assert_eq!(outline(&document).len(), 1);
        let mode = document.catalog().unwrap().get(b"PageMode").unwrap();
        assert_eq!(mode.as_name().unwrap(), b"UseNone");
        let document = Document::load_mem(&pdf(&[page([])], &about()).unwrap()).unwrap();
        assert!(document.catalog().unwrap().get(b"Outlines").is_err());
    }

    #[test]
    fn the_metadata_say_the_same_to_programs_that_read_xml() {
        let about = About { title: "A<B & \u{1}C".to_owned(), ..about() };
        let document = Document::load_mem(&pdf(&[page([])], &about).unwrap()).unwrap();
        let stream = document.catalog().unwrap().get(b"Metadata").unwrap().as_reference().unwrap();
        let stream = document.get_object(stream).unwrap().as_stream().unwrap();
        assert_eq!(stream.dict.get(b"Subtype").unwrap().as_name().unwrap(), b"XML");
        assert!(stream.dict.get(b"Filter").is_err());
        let xml = String::from_utf8(stream.content.clone()).unwrap();
        let xml = roxmltree::Document::parse(&xml).unwrap();
        let says = |name: &str| {
            let node = xml.descendants().find(|n| n.tag_name().name() == name).unwrap();
            node.descendants()
                .filter(|n| n.is_text())
                .filter_map(|n| n.text())
                .collect::<String>()
                .trim()
                .to_owned()
        };
        assert_eq!(says("title"), "A<B & C");
        assert_eq!(says("creator"), "M. Ångström");
        assert_eq!(says("description"), "Plate");
        assert_eq!(says("Keywords"), "BY-1, lot 7");
        assert_eq!(says("CreateDate"), "2024-02-29T07:08:09Z");
        assert_eq!(says("DocumentID"), format!("urn:quarterturn:{}", "a5".repeat(16)));
    }

    #[test]
    fn what_cannot_be_a_document_is_refused() {
        let blank = page([]);
        assert!(matches!(pdf(&[], &about()), Err(PdfError::NoPages)));
        let flat = Page::new(210.0, f64::NAN, "");
        let refused = pdf(&[blank.clone(), flat], &about());
        assert!(matches!(refused, Err(PdfError::PageSize { number: 2, .. })));
        for (year, month, day) in [(2023, 2, 29), (2024, 13, 1), (2024, 0, 1), (2024, 4, 31)] {
            let created = Moment { year, month, day, ..Moment::default() };
            let about = About { created, ..about() };
            let refused = pdf(std::slice::from_ref(&blank), &about);
            assert!(matches!(refused, Err(PdfError::Date(_))), "{created:?}");
        }
    }
}
