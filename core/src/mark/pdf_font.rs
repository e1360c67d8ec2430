//! The fonts of a document: cut down to its characters, and described exactly.

use super::cut::{Purpose, cut};
use super::font::{Face, MISSING};
use super::pdf::PdfError;
use super::sfnt::{FontError, Sfnt};
use lopdf::{Dictionary, Document, Object};
use printpdf::{
    FontId, FontMetrics, FontType, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle,
    PdfFontMetricsStub, Pt, TextItem,
};
use std::collections::BTreeMap;

/// The codes of the characters that a document shows, face by face. A code is the number of the glyph
/// in the cut font; they are given out in the order in which the characters come, so that a page
/// can be written before the next one is known.
#[derive(Default)]
pub(crate) struct Codes(BTreeMap<Face, Coded>);

/// The characters of one face.
#[derive(Default)]
struct Coded {
    /// The character with code 1 is the first.
    characters: Vec<char>,
    /// Codes by character for those that are near, 0 for none.
    near: Vec<u16>,
    far: BTreeMap<char, u16>,
}

/// Characters below this are looked up in one step.
const NEAR: usize = 0x2800;

impl Codes {
    /// The code of a character.
    pub(crate) fn of(&mut self, face: Face, character: char) -> u16 {
        let coded = self.0.entry(face).or_default();
        let index = character as usize;
        let known = if index < NEAR {
            coded.near.get(index).copied().unwrap_or(0)
        } else {
            coded.far.get(&character).copied().unwrap_or(0)
        };
        if known > 0 {
            return known;
        }
        coded.characters.push(character);
        // More than a font can hold: refused when the font is cut.
        let code = u16::try_from(coded.characters.len()).unwrap_or(0);
        if index < NEAR {
            coded.near.resize(NEAR, 0);
            coded.near[index] = code;
        } else {
            coded.far.insert(character, code);
        }
        code
    }
}

/// The fonts that some pages need.
pub(crate) struct Fonts(Vec<Font>);

/// One face, cut down.
struct Font {
    face: Face,
    /// The name with its tag, `QABCDE+DejaVuSansMono` (9.6.4).
    name: String,
    /// The characters by their codes; the first has code and glyph 1.
    characters: Vec<char>,
    /// Advance of each in font units.
    advances: Vec<u16>,
    units_per_em: u16,
    program: Vec<u8>,
}

/// The name of a face among a page's resources.
pub(crate) const fn resource(face: Face) -> &'static str {
    match face {
        Face::Sans => "Sans",
        Face::SansBold => "SansBold",
        Face::Mono => "Mono",
    }
}

impl Fonts {
    /// Cuts each face down to the characters that have a code in it.
    pub(crate) fn of(codes: &Codes) -> Result<Self, PdfError> {
        let fonts: Result<Vec<Font>, PdfError> = codes
            .0
            .iter()
            .map(|(face, coded)| {
                Font::new(*face, &coded.characters).map_err(|FontError(table)| PdfError::Font {
                    face: face.postscript_name(),
                    table,
                })
            })
            .collect();
        fonts.map(Self)
    }

    /// Hands the fonts to the document under their resource names.
    pub(crate) fn add_to(&self, document: &mut PdfDocument) {
        for font in &self.0 {
            let parsed = PdfFont::new(font.parsed());
            document.resources.fonts.map.insert(id(font.face), parsed);
        }
    }

    /// Operators that show every character once: printpdf embeds what it sees shown.
    pub(crate) fn shown(&self) -> Vec<Op> {
        let show = |font: &Font| {
            let text = TextItem::Text(font.characters.iter().collect());
            let handle = PdfFontHandle::External(id(font.face));
            [Op::SetFont { font: handle, size: Pt(1.0) }, Op::ShowText { items: vec![text] }]
        };
        self.0.iter().flat_map(show).collect()
    }
}

fn id(face: Face) -> FontId {
    FontId(resource(face).to_owned())
}

impl Font {
    fn new(face: Face, characters: &[char]) -> Result<Self, FontError> {
        let font = Sfnt::read(face.bytes())?;
        // A character that cannot be drawn is drawn as the mark for it, by a glyph of
        // its own: copied text still says which it was.
        let missing = font.glyph(MISSING).ok_or(FontError("cmap"))?;
        let wanted: Vec<(char, u16)> = characters
            .iter()
            .map(|&character| (character, font.glyph(character).unwrap_or(missing)))
            .collect();
        let advances: Option<Vec<u16>> =
            wanted.iter().map(|&(_, glyph)| Some(font.metrics(glyph)?.0)).collect();
        Ok(Self {
            face,
            name: format!("{}+{}", tag(characters), face.postscript_name()),
            characters: characters.to_vec(),
            advances: advances.ok_or(FontError("hmtx"))?,
            units_per_em: font.units_per_em(),
            program: cut(&font, &wanted, Purpose::Document)?,
        })
    }

    /// The characters with their glyphs.
    fn glyphs(&self) -> impl Iterator<Item = (char, u16)> {
        self.characters.iter().copied().zip(1..)
    }

    /// As printpdf takes it: not parsed from the program, which has no character map.
    fn parsed(&self) -> ParsedFont {
        ParsedFont {
            original_bytes: self.program.clone(),
            font_index: 0,
            font_name: Some(self.name.clone()),
            codepoint_to_glyph: self
                .glyphs()
                .map(|(character, glyph)| (u32::from(character), glyph))
                .collect(),
            glyph_widths: (1..).zip(self.advances.iter().copied()).collect(),
            units_per_em: self.units_per_em,
            font_metrics: FontMetrics { ascent: 1901, descent: -483 },
            font_type: FontType::TrueType,
            pdf_font_metrics: PdfFontMetricsStub {
                units_per_em: self.units_per_em,
                ..PdfFontMetricsStub::default()
            },
        }
    }

    /// The `/W` array (9.7.4.3), unrounded: printpdf cuts the fraction off, and a line
    /// of text would drift from its measure.
    fn widths(&self) -> Object {
        let widths: Vec<Object> = self
            .advances
            .iter()
            .map(|&advance| {
                let width = f32::from(advance) * 1000.0 / f32::from(self.units_per_em);
                Object::Real(width)
            })
            .collect();
        Object::Array(vec![Object::Integer(1), Object::Array(widths)])
    }

    /// What a reader needs to know to stand in for the font (9.8), from its tables.
    fn describe(&self, descriptor: &mut Dictionary) -> Option<()> {
        const FIXED_PITCH: i64 = 1;
        const NONSYMBOLIC: i64 = 1 << 5;
        let font = Sfnt::read(self.face.bytes()).ok()?;
        let scale = |table: &[u8], at| {
            let value = i64::from(super::sfnt::u16_at(table, at)?.cast_signed());
            Some(Object::Integer(value * 1000 / i64::from(self.units_per_em)))
        };
        let (head, hhea) = (font.table(b"head")?, font.table(b"hhea")?);
        let bounds: Option<Vec<Object>> =
            [36, 38, 40, 42].into_iter().map(|at| scale(head, at)).collect();
        descriptor.set("FontBBox", bounds?);
        descriptor.set("Ascent", scale(hhea, 4)?);
        descriptor.set("Descent", scale(hhea, 6)?);
        descriptor.set("CapHeight", 729);
        descriptor.set("StemV", if self.face == Face::SansBold { 165 } else { 88 });
        let pitch = if self.face == Face::Mono { FIXED_PITCH } else { 0 };
        descriptor.set("Flags", NONSYMBOLIC | pitch);
        Some(())
    }
}

/// Sets in the written document what printpdf rounds or guesses.
pub(crate) fn finish_fonts(document: &mut Document, fonts: &Fonts) -> Result<(), PdfError> {
    const FAULT: PdfError = PdfError::Incomplete("fonts");
    let by_name: BTreeMap<&[u8], &Font> =
        fonts.0.iter().map(|font| (font.name.as_bytes(), font)).collect();
    let mut finished = 0;
    let mut descriptors = Vec::new();
    for object in document.objects.values_mut() {
        let Ok(dictionary) = object.as_dict_mut() else {
            continue;
        };
        let name = dictionary.get(b"BaseFont").and_then(Object::as_name);
        let Some(font) = name.ok().and_then(|name| by_name.get(name)) else {
            continue;
        };
        let descendant = dictionary
            .get_mut(b"DescendantFonts")
            .and_then(Object::as_array_mut)
            .ok()
            .and_then(|fonts| fonts.first_mut())
            .and_then(|font| font.as_dict_mut().ok())
            .ok_or(FAULT)?;
        descendant.set("W", font.widths());
        let descriptor =
            descendant.get(b"FontDescriptor").and_then(Object::as_reference).map_err(|_| FAULT)?;
        descriptors.push((descriptor, *font));
        finished += 1;
    }
    for (descriptor, font) in descriptors {
        let descriptor =
            document.get_object_mut(descriptor).and_then(Object::as_dict_mut).map_err(|_| FAULT)?;
        font.describe(descriptor).ok_or(FAULT)?;
    }
    if finished == fonts.0.len() { Ok(()) } else { Err(FAULT) }
}

/// Six capital letters that tell one selection of characters from another (9.6.4),
/// by the FNV-1a hash of their codes.
fn tag(characters: &[char]) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in characters.iter().flat_map(|&c| u32::from(c).to_be_bytes()) {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
    let mut tag = String::new();
    for _ in 0..6 {
        tag.push(char::from(b'A' + u8::try_from(hash % 26).unwrap_or(0)));
        hash /= 26;
    }
    tag
}
