//! Pages as SVG text, for the screen and for print.
//!
//! Colours are written out, so that a picture saved to a file looks right anywhere;
//! classes beside them (`f-ink`, `s-accent`, see [`Ink::name`](super::Ink::name))
//! let a style sheet change them.

use super::cut::{Purpose, cut};
use super::font::{Face, MISSING, has_glyph};
use super::ink::Ink;
use super::mark::{Circle, Group, Line, Mark, Rect, Stroke};
use super::number::push;
use super::page::Page;
use super::path::{Path, Step};
use super::place::{Anchor, Text, Turn};
use super::sfnt::Sfnt;
use super::text::drawn;
use std::collections::{BTreeMap, BTreeSet};

/// A page as a picture of its own: paper and marks, in millimetres, with its title.
/// It draws text in the faces of [`Face::stack`], which the page around it has to
/// load; [`svg_file`] brings them along.
#[must_use]
pub fn svg(page: &Page) -> String {
    let mut out = String::with_capacity(256 + 160 * page.marks.len());
    open(&mut out, page);
    close(&mut out, page);
    out
}

/// A page as a picture to be kept in a file: as [`svg`], with the characters it
/// needs of each face inside it.
#[must_use]
pub fn svg_file(page: &Page) -> String {
    let mut out = String::new();
    open(&mut out, page);
    out.push_str("<style>");
    for (face, characters) in used(std::slice::from_ref(page)) {
        let Ok(font) = Sfnt::read(face.bytes()) else {
            continue;
        };
        let wanted: Vec<(char, u16)> = characters
            .into_iter()
            .map(shown)
            .collect::<BTreeSet<_>>()
            .into_iter()
            .filter_map(|character| Some((character, font.glyph(character)?)))
            .collect();
        let Ok(bytes) = cut(&font, &wanted, Purpose::Page) else {
            continue;
        };
        out.push_str("@font-face{font-family:'");
        out.push_str(face.family());
        out.push_str("';font-weight:");
        push(&mut out, f64::from(face.weight()));
        out.push_str(";src:url(data:font/ttf;base64,");
        push_base64(&mut out, &bytes);
        out.push_str(")}");
    }
    out.push_str("</style>\n");
    close(&mut out, page);
    out
}

/// Marks as the inside of a picture that the caller opens and closes.
#[must_use]
pub fn svg_marks(marks: &[Mark]) -> String {
    let mut out = String::with_capacity(160 * marks.len());
    push_marks(&mut out, marks);
    out
}

/// The characters that each face draws on these pages.
pub(crate) fn used(pages: &[Page]) -> BTreeMap<Face, BTreeSet<char>> {
    fn look(marks: &[Mark], found: &mut BTreeMap<Face, BTreeSet<char>>) {
        for mark in marks {
            match mark {
                Mark::Text(text) => {
                    for (face, character) in text.face.drawing(&drawn(&text.text)) {
                        found.entry(face).or_default().insert(character);
                    }
                }
                Mark::Group(group) => look(&group.marks, found),
                Mark::Line(_) | Mark::Path(_) | Mark::Rect(_) | Mark::Circle(_) => {}
            }
        }
    }
    let mut found = BTreeMap::new();
    for page in pages {
        look(&page.marks, &mut found);
    }
    found
}

/// The character itself, or the mark that stands for it.
fn shown(character: char) -> char {
    if has_glyph(character) { character } else { MISSING }
}

fn open(out: &mut String, page: &Page) {
    out.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 ");
    push(out, page.width);
    out.push(' ');
    push(out, page.height);
    out.push_str("\" width=\"");
    push(out, page.width);
    out.push_str("mm\" height=\"");
    push(out, page.height);
    out.push_str("mm\">\n<title>");
    push_escaped(out, &page.title);
    out.push_str("</title>\n");
}

fn close(out: &mut String, page: &Page) {
    out.push_str("<rect class=\"f-paper\" fill=\"");
    out.push_str(Ink::Paper.hex());
    out.push('"');
    attribute(out, "width", page.width);
    attribute(out, "height", page.height);
    out.push_str("/>\n");
    push_marks(out, &page.marks);
    out.push_str("</svg>\n");
}

fn push_marks(out: &mut String, marks: &[Mark]) {
    // What holds for every mark: nothing is filled unless it says so, and text is as
    // long as the sum of its advances.
    out.push_str("<g fill=\"none\" stroke-linejoin=\"round\" font-family=\"");
    out.push_str(Face::Sans.stack());
    out.push_str(
        "\" text-rendering=\"geometricPrecision\" style=\"font-kerning:none;font-variant-ligatures:\
         none;letter-spacing:0;word-spacing:0\">\n",
    );
    for mark in marks {
        push_mark(out, mark);
    }
    out.push_str("</g>\n");
}

fn push_mark(out: &mut String, mark: &Mark) {
    match mark {
        Mark::Text(text) => push_text(out, text),
        Mark::Line(line) => push_line(out, line),
        Mark::Path(path) => push_path(out, path),
        Mark::Rect(rect) => push_rect(out, rect),
        Mark::Circle(circle) => push_circle(out, circle),
        Mark::Group(group) => push_group(out, group),
    }
}

/// Text is set a hundred times larger and scaled down: browsers cut font sizes down to
/// steps of 1/64 unit, and a line three units high would come out half a hundredth
/// shorter than its measure.
fn push_text(out: &mut String, text: &Text) {
    let settled = text.settled();
    out.push_str("<text transform=\"translate(");
    push(out, settled.at.x);
    out.push(' ');
    push(out, settled.at.y);
    out.push_str(match text.turn {
        Turn::Level => ")scale(.01)\"",
        Turn::Up => ")rotate(-90)scale(.01)\"",
    });
    attribute(out, "font-size", 100.0 * text.size);
    match text.face {
        Face::Sans => {}
        Face::SansBold => out.push_str(" font-weight=\"700\""),
        Face::Mono => {
            out.push_str(" font-family=\"");
            out.push_str(text.face.stack());
            out.push('"');
        }
    }
    match settled.anchor {
        Anchor::Start | Anchor::Decimal => {}
        Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
        Anchor::End => out.push_str(" text-anchor=\"end\""),
    }
    push_paint(out, None, Some(text.ink));
    let said = drawn(&text.text);
    // Otherwise two spaces would be drawn as one, and those at the ends not at all.
    if said.starts_with(' ') || said.ends_with(' ') || said.contains("  ") {
        out.push_str(" xml:space=\"preserve\"");
    }
    out.push('>');
    for character in said.chars() {
        push_escaped_char(out, shown(character));
    }
    out.push_str("</text>\n");
}

fn push_line(out: &mut String, line: &Line) {
    out.push_str("<line");
    attribute(out, "x1", line.from.x);
    attribute(out, "y1", line.from.y);
    attribute(out, "x2", line.to.x);
    attribute(out, "y2", line.to.y);
    push_paint(out, Some(line.stroke), None);
    out.push_str("/>\n");
}

fn push_path(out: &mut String, path: &Path) {
    out.push_str("<path d=\"");
    for step in &path.steps {
        let (letter, points) = match *step {
            Step::Move(to) => ('M', [Some(to), None, None]),
            Step::Line(to) => ('L', [Some(to), None, None]),
            Step::Cubic(first, second, to) => ('C', [Some(first), Some(second), Some(to)]),
            Step::Close => ('Z', [None; 3]),
        };
        out.push(letter);
        for (index, point) in points.into_iter().flatten().enumerate() {
            if index > 0 {
                out.push(' ');
            }
            push(out, point.x);
            out.push(' ');
            push(out, point.y);
        }
    }
    out.push('"');
    push_paint(out, path.stroke, path.fill);
    out.push_str("/>\n");
}

fn push_rect(out: &mut String, rect: &Rect) {
    out.push_str("<rect");
    attribute(out, "x", rect.at.x);
    attribute(out, "y", rect.at.y);
    attribute(out, "width", rect.width);
    attribute(out, "height", rect.height);
    if rect.radius > 0.0 {
        attribute(out, "rx", rect.radius);
    }
    push_paint(out, rect.stroke, rect.fill);
    out.push_str("/>\n");
}

fn push_circle(out: &mut String, circle: &Circle) {
    out.push_str("<circle");
    attribute(out, "cx", circle.centre.x);
    attribute(out, "cy", circle.centre.y);
    attribute(out, "r", circle.radius);
    push_paint(out, circle.stroke, circle.fill);
    out.push_str("/>\n");
}

fn push_group(out: &mut String, group: &Group) {
    out.push_str("<g");
    if !group.tag.role.is_empty() {
        out.push_str(" class=\"");
        push_escaped(out, group.tag.role);
        out.push('"');
    }
    if let Some(feature) = &group.tag.feature {
        out.push_str(" data-feature=\"");
        push_escaped(out, feature);
        out.push('"');
    }
    out.push('>');
    if let Some(label) = &group.tag.label {
        out.push_str("<title>");
        push_escaped(out, label);
        out.push_str("</title>");
    }
    out.push('\n');
    for mark in &group.marks {
        push_mark(out, mark);
    }
    out.push_str("</g>\n");
}

/// Colours and line, as attributes and as classes.
fn push_paint(out: &mut String, stroke: Option<Stroke>, fill: Option<Ink>) {
    let inks = [("f-", " fill=\"", fill), ("s-", " stroke=\"", stroke.map(|stroke| stroke.ink))];
    let mut classes = inks.iter().filter_map(|&(kind, _, ink)| Some((kind, ink?)));
    if let Some((kind, ink)) = classes.next() {
        out.push_str(" class=\"");
        out.push_str(kind);
        out.push_str(ink.name());
        if let Some((kind, ink)) = classes.next() {
            out.push(' ');
            out.push_str(kind);
            out.push_str(ink.name());
        }
        out.push('"');
    }
    for (_, name, ink) in inks {
        if let Some(ink) = ink {
            out.push_str(name);
            out.push_str(ink.hex());
            out.push('"');
        }
    }
    if let Some(stroke) = stroke {
        attribute(out, "stroke-width", stroke.width);
        if !stroke.dash.is_empty() {
            out.push_str(" stroke-dasharray=\"");
            for (index, &length) in stroke.dash.iter().enumerate() {
                if index > 0 {
                    out.push(' ');
                }
                push(out, length);
            }
            out.push('"');
        }
    }
}

fn attribute(out: &mut String, name: &str, value: f64) {
    out.push(' ');
    out.push_str(name);
    out.push_str("=\"");
    push(out, value);
    out.push('"');
}

fn push_escaped(out: &mut String, text: &str) {
    for character in text.chars() {
        push_escaped_char(out, character);
    }
}

fn push_escaped_char(out: &mut String, character: char) {
    match character {
        '&' => out.push_str("&amp;"),
        '<' => out.push_str("&lt;"),
        '>' => out.push_str("&gt;"),
        '"' => out.push_str("&quot;"),
        '\'' => out.push_str("&#39;"),
        // Line ends and tabs would come back as spaces; the others are not
        // characters of XML at all (XML 1.0, 2.2).
        '\t' | '\n' | '\r' => out.push(' '),
        '\0'..='\u{1F}' | '\u{FFFE}' | '\u{FFFF}' => out.push('\u{FFFD}'),
        other => out.push(other),
    }
}

fn push_base64(out: &mut String, bytes: &[u8]) {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for chunk in bytes.chunks(3) {
        let mut word = 0_u32;
        for index in 0..3 {
            word = word << 8 | u32::from(chunk.get(index).copied().unwrap_or(0));
        }
        for index in 0..4_usize {
            if index > chunk.len() {
                out.push('=');
                continue;
            }
            let shift = 18 - 6 * index;
            let digit = usize::try_from(word >> shift & 63).unwrap_or(0);
            out.push(char::from(DIGITS[digit]));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mark::Tag;

    /// The first line of `svg` that holds `part`.
    fn line<'a>(svg: &'a str, part: &str) -> &'a str {
        svg.lines().find(|line| line.contains(part)).unwrap()
    }

    #[test]
    fn a_page_says_its_size_and_its_title() {
        let mut page = Page::new(210.0, 297.0, "Sheet 1 of 2");
        page.put(Circle::new((10.0, 20.0), 5.0).fill(Ink::Shade).stroke(Stroke::OUTLINE));
        let svg = svg(&page);
        assert_eq!(
            svg.lines().next(),
            Some(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 210 297\" \
                 width=\"210mm\" height=\"297mm\">"
            )
        );
        assert_eq!(line(&svg, "title"), "<title>Sheet 1 of 2</title>");
        assert_eq!(
            line(&svg, "circle"),
            "<circle cx=\"10\" cy=\"20\" r=\"5\" class=\"f-shade s-ink\" fill=\"#e6e3d8\" \
             stroke=\"#1c1e1d\" stroke-width=\"0.35\"/>"
        );
        assert!(svg.ends_with("</g>\n</svg>\n"));
    }

    #[test]
    fn text_is_placed_turned_and_anchored() {
        let text = Text::new((10.0, 20.5), "−.0042", 3.2).end().bold();
        assert_eq!(
            line(&svg_marks(&[text.into()]), "<text"),
            "<text transform=\"translate(10 20.5)scale(.01)\" font-size=\"320\" \
             font-weight=\"700\" text-anchor=\"end\" class=\"f-ink\" fill=\"#1c1e1d\">−.0042</text>"
        );
        let text = Text::new((10.0, 20.0), "up", 3.0).turn(Turn::Up);
        assert!(svg_marks(&[text.into()]).contains("translate(10 20)rotate(-90)scale(.01)"));
        let text = Text::new((10.0, 20.0), ".5", 3.0).decimal();
        assert!(!svg_marks(&[text.into()]).contains("text-anchor"));
    }

    #[test]
    fn whatever_is_written_stays_text() {
        let nasty = "</text><script>\"&'\u{0}\u{FFFE}\u{202E}\n]]>";
        let tag = Tag::new("a\"b").feature(nasty).label(nasty);
        let group = Group::new(tag, vec![Text::new((0.0, 0.0), nasty, 3.0).into()]);
        let mut page = Page::new(10.0, 10.0, nasty);
        page.put(group);
        let svg = svg(&page);
        assert!(!svg.contains("<script"));
        assert!(!svg.contains(['\u{0}', '\u{FFFE}']));
        assert_eq!(svg.matches("<text").count(), 1);
        assert_eq!(svg.matches("</text>").count(), 1);
        assert!(
            line(&svg, "<g class")
                .starts_with("<g class=\"a&quot;b\" data-feature=\"&lt;/text&gt;")
        );
        balanced(&svg);
    }

    /// Tags open and close in pairs, and attributes are all quoted: what a reader of
    /// XML asks for, as far as this writer could fail it.
    fn balanced(svg: &str) {
        let mut open = Vec::new();
        for piece in svg.split('<').skip(1) {
            let (tag, text) = piece.split_once('>').unwrap();
            assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
            assert!(!text.contains('>'), "{text}");
            let name = tag.split([' ', '/']).find(|name| !name.is_empty()).unwrap();
            if tag.starts_with('/') {
                assert_eq!(open.pop(), Some(name));
            } else if !tag.ends_with('/') {
                open.push(name);
            }
        }
        assert!(open.is_empty(), "{open:?}");
        for entity in svg.split('&').skip(1) {
            let name = entity.split(';').next().unwrap();
            assert!(["amp", "lt", "gt", "quot", "#39"].contains(&name), "{name}");
        }
    }

    #[test]
    fn a_character_without_a_drawing_is_a_hollow_square() {
        let svg = svg_marks(&[Text::new((0.0, 0.0), "王 Li", 3.0).into()]);
        assert!(line(&svg, "<text").ends_with(">□ Li</text>"));
    }

    #[test]
    fn spaces_are_kept_where_a_reader_would_drop_them() {
        let kept = |text: &str| {
            svg_marks(&[Text::new((0.0, 0.0), text, 3.0).into()]).contains("xml:space=\"preserve\"")
        };
        assert!(kept("a  b") && kept(" a") && kept("a "));
        assert!(!kept("a b"));
    }

    #[test]
    fn paths_are_written_step_by_step() {
        let path = Path::new()
            .move_to((0.0, 0.0))
            .cubic_to((1.0, 2.0), (-3.0, 4.5), (5.0, -0.0001))
            .line_to((5.0, 6.0))
            .close()
            .stroke(Stroke::THIN.dash(Stroke::DASHED));
        assert_eq!(
            line(&svg_marks(&[path.into()]), "<path"),
            "<path d=\"M0 0C1 2 -3 4.5 5 0L5 6Z\" class=\"s-ink\" stroke=\"#1c1e1d\" \
             stroke-width=\"0.18\" stroke-dasharray=\"1.6 0.9\"/>"
        );
    }

    #[test]
    fn a_file_brings_its_typefaces_along() {
        let mut page = Page::new(60.0, 40.0, "A hole");
        page.put(Text::new((5.0, 5.0), "Łódź ễ 王", 3.0).face(Face::Mono));
        let file = svg_file(&page);
        balanced(&file);
        let fonts: Vec<&str> = file.split("base64,").skip(1).collect();
        // The typewriter face, and the regular one for what it lacks.
        assert_eq!(fonts.len(), 2);
        for font in fonts {
            let bytes = from_base64(font.split(')').next().unwrap());
            // Most of it the licence.
            assert!(bytes.len() < 15_000, "{}", bytes.len());
            let cut = Sfnt::read(&bytes).unwrap();
            assert!(cut.glyph('Ł').is_some() != cut.glyph('ễ').is_some());
            assert_eq!(cut.glyph('A'), None);
        }
        assert_eq!(file, svg_file(&page));
    }

    fn from_base64(text: &str) -> Vec<u8> {
        let value = |digit: u8| match digit {
            b'A'..=b'Z' => digit - b'A',
            b'a'..=b'z' => digit - b'a' + 26,
            b'0'..=b'9' => digit - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            other => panic!("not a digit: {other}"),
        };
        let mut bytes = Vec::new();
        for chunk in text.trim_end_matches('=').as_bytes().chunks(4) {
            let word = chunk.iter().fold(0_u32, |word, &d| word << 6 | u32::from(value(d)));
            let word = word << (6 * (4 - chunk.len()));
            bytes.extend(&word.to_be_bytes()[1..chunk.len()]);
        }
        bytes
    }
}
