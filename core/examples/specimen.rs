//! Writes `specimen.svg`, `specimen.pdf` and the typefaces to a folder (the first
//! argument, or the present one): every ink, face, symbol and shape on one page, to be
//! looked at when a renderer or a font has changed.

use quarterturn_core::mark::{
    About, Anchor, Cell, Circle, Face, Group, Ink, Line, Mark, Moment, Page, Path, Point, Rect,
    Stroke, Symbol, Tag, Text, Turn, VerdictSign, control_frame, datum_flag, missing, pdf,
    svg_file, width, wrap,
};
use std::error::Error;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let folder = std::path::Path::new(&folder);
    let page = specimen();
    let about = About {
        title: "Specimen of marks".to_owned(),
        author: "Łucja Ångström".to_owned(),
        subject: "Every ink, face, symbol and shape".to_owned(),
        keywords: vec!["specimen".to_owned(), "marks".to_owned()],
        creator: "Quarterturn specimen".to_owned(),
        created: Moment { year: 2024, month: 2, day: 29, hour: 12, minute: 0, second: 0 },
        id: *b"specimen of mark",
        attachments: Vec::new(),
    };
    std::fs::write(folder.join("specimen.svg"), svg_file(&page))?;
    std::fs::write(folder.join("specimen.pdf"), pdf(&[page], &about)?)?;
    for face in Face::ALL {
        std::fs::write(folder.join(format!("{face:?}.ttf")), face.bytes())?;
    }
    Ok(())
}

fn specimen() -> Page {
    let mut page = Page::new(210.0, 297.0, "Specimen of marks");
    page.put(Rect::new((10.0, 10.0), 190.0, 277.0).stroke(Stroke::BORDER));
    page.put(Text::new((16.0, 21.0), "Specimen of marks", 6.0).bold());
    faces(&mut page);
    figures(&mut page);
    inks(&mut page);
    symbols(&mut page);
    frames(&mut page);
    signs(&mut page);
    shapes(&mut page);
    page
}

fn heading(page: &mut Page, y: f64, text: &str) {
    page.put(Line::new((16.0, y - 5.5), (194.0, y - 5.5), Stroke::HAIR));
    page.put(Text::new((16.0, y), text, 3.0).ink(Ink::Soft));
}

fn faces(page: &mut Page) {
    let lines = [
        "Quarterly shaft, 0123456789 +.0042 −.0042 ±.005 ⌀.010 Ø12 12 × 3 ≤ 40 µm",
        "Łódź · Ελλάδα · Юрий · Nguyễn Thị Hằng · Þórður Ştefănescu · ẹ̀ · “x” — y",
        "no drawing for 王小明, ア or א: a hollow square each",
    ];
    for (row, face) in (0..).zip(Face::ALL) {
        for (line, text) in (0..).zip(lines) {
            let y = 29.0 + f64::from(3 * row + line) * 4.6;
            let text = Text::new((16.0, y), text, 3.2).face(face);
            // A bracket as long as the text should be.
            let end = 16.0 + text.width();
            page.put(Line::new((end, y - 3.0), (end, y + 0.6), Stroke::THIN.ink(Ink::Fault)));
            page.put(text);
        }
    }
    let all: String = missing(lines[2]).into_iter().collect();
    page.put(Text::new((160.0, 73.0), format!("missing: {all}"), 3.0).ink(Ink::Soft));
}

fn figures(page: &mut Page) {
    heading(page, 80.0, "Decimal points under each other; anchors; text that runs upward");
    let column = ["−.0042", "+.0039", "12.5", "1.2506", "125", "0.125", ".5"];
    for (face, x) in Face::ALL.into_iter().zip([40.0, 70.0, 100.0]) {
        page.put(Line::new((x, 83.0), (x, 113.0), Stroke::HAIR));
        for (row, figure) in (0..).zip(column) {
            let at = (x, 86.5 + 4.2 * f64::from(row));
            page.put(Text::new(at, figure, 3.4).face(face).decimal());
        }
    }
    page.put(Line::new((140.0, 83.0), (140.0, 105.0), Stroke::HAIR));
    for (y, anchor) in [(87.0, Anchor::Start), (92.0, Anchor::Middle), (97.0, Anchor::End)] {
        page.put(Text::new((140.0, y), format!("{anchor:?}"), 3.4).anchor(anchor));
    }
    for (x, anchor) in [(170.0, Anchor::Start), (178.0, Anchor::Middle), (186.0, Anchor::End)] {
        let text = Text::new((x, 90.0), "up", 3.4).turn(Turn::Up);
        page.put(text.anchor(anchor));
    }
    page.put(Line::new((164.0, 90.0), (190.0, 90.0), Stroke::HAIR));
    let room = 44.0;
    page.put(Rect::new((140.0, 101.0), room, 12.5).stroke(Stroke::HAIR));
    let text = "Keep fingers out from under a motorised carriage; clamp a tall part first.";
    for (line, y) in wrap(Face::Sans, text, 2.8, room).into_iter().zip([104.0, 107.6, 111.2]) {
        page.put(Text::new((140.0, y), line, 2.8));
    }
}

fn inks(page: &mut Page) {
    heading(page, 122.0, "Inks");
    for (column, ink) in (0..).zip(Ink::ALL) {
        let x = 16.0 + 22.5 * f64::from(column);
        page.put(Rect::new((x, 125.0), 18.0, 8.0).fill(ink).stroke(Stroke::HAIR));
        page.put(Text::new((x, 137.0), ink.name(), 3.0));
        page.put(Line::new((x, 139.5), (x + 18.0, 139.5), Stroke::new(ink, 0.5)));
    }
}

fn symbols(page: &mut Page) {
    heading(page, 149.0, "Symbols");
    for (index, symbol) in (0..).zip(Symbol::ALL) {
        let (row, column) = (index / 9, index % 9);
        let (x, y) = (25.0 + 20.0 * f64::from(column), 156.0 + 13.0 * f64::from(row));
        for mark in symbol.draw((x, y), 5.0, Stroke::new(Ink::Ink, 0.35)) {
            page.put(mark);
        }
        let name = format!("{symbol:?}");
        page.put(Text::new((x, y + 6.2), name, 2.3).middle().ink(Ink::Soft));
    }
}

fn frames(page: &mut Page) {
    heading(page, 184.0, "Control frames and datums");
    let position = [
        Cell::new().symbol(Symbol::Position),
        Cell::new().symbol(Symbol::Diameter).text(".010").symbol(Symbol::MaximumMaterial),
        Cell::new().text("A"),
        Cell::new().text("B").symbol(Symbol::MaximumMaterial),
        Cell::new().text("C"),
    ];
    let least = [
        Cell::new().symbol(Symbol::Position),
        Cell::new().symbol(Symbol::Diameter).text("0.25").symbol(Symbol::LeastMaterial),
        Cell::new().text("A"),
    ];
    let flat = [Cell::new().symbol(Symbol::Flatness), Cell::new().text("0.01")];
    let mut x = 16.0;
    for (cells, height) in [(&position[..], 7.0), (&least[..], 6.0), (&flat[..], 5.0)] {
        let (marks, wide) = control_frame((x, 188.0), height, cells);
        page.marks.extend(marks);
        x += wide + 6.0;
    }
    page.put(Circle::new((164.0, 196.0), 5.0).stroke(Stroke::OUTLINE));
    for (letter, angle) in [("A", 0.0), ("B", 3.6), ("C", FRAC_PI_2), ("AA", -0.7)] {
        let at = Point::new(164.0, 196.0).toward(angle, 5.0);
        page.put(datum_flag(at, angle, letter, 4.0));
    }
}

fn signs(page: &mut Page) {
    heading(page, 215.0, "Verdicts");
    for (column, sign) in (0..).zip(VerdictSign::ALL) {
        let x = 18.0 + 36.0 * f64::from(column);
        page.put(sign.draw((x, 220.0), 3.2));
        let word = match sign {
            VerdictSign::Conforms => "conforms",
            VerdictSign::DoesNotConform => "does not conform",
            VerdictSign::NotProven => "not proven",
            VerdictSign::NotMeasured => "not measured",
            VerdictSign::CannotBeJudged => "cannot be judged",
        };
        page.put(Text::new((x + 3.5, 221.2), word, 3.2));
        page.put(sign.draw((x + 5.0, 230.0), 10.0));
    }
}

fn shapes(page: &mut Page) {
    heading(page, 245.0, "Shapes");
    let outline = Stroke::OUTLINE;
    let marks: Vec<Mark> = vec![
        Rect::new((16.0, 249.0), 60.0, 32.0).fill(Ink::Shade).stroke(outline).into(),
        Circle::new((28.0, 260.0), 7.0).fill(Ink::Paper).stroke(outline).into(),
        Circle::new((28.0, 260.0), 8.5).stroke(Stroke::THIN.dash(Stroke::DASHED)).into(),
        Rect::new((42.0, 256.0), 6.0, 16.0).radius(3.0).fill(Ink::Paper).stroke(outline).into(),
        Rect::new((54.0, 254.0), 16.0, 20.0)
            .radius(2.0)
            .fill(Ink::Wash)
            .stroke(Stroke::THIN.ink(Ink::Accent))
            .into(),
        Line::new((12.0, 265.0), (80.0, 265.0), Stroke::HAIR.dash(Stroke::CHAIN)).into(),
    ];
    page.put(Group::new(Tag::new("part").feature("1 & \"2\""), marks));

    let mut x = 88.0;
    for sweep in [FRAC_PI_2, PI, -PI, 0.75 * TAU] {
        page.put(
            Path::new()
                .arc((x + 6.0, 262.0), 6.0, 0.4, sweep)
                .stroke(Stroke::THIN.ink(Ink::Accent)),
        );
        page.put(Circle::new(Point::new(x + 6.0, 262.0).toward(0.4, 6.0), 0.6).fill(Ink::Fault));
        x += 17.0;
    }
    let figure = Path::new()
        .move_to((160.0, 256.0))
        .cubic_to((168.0, 250.0), (176.0, 274.0), (186.0, 262.0))
        .line_to((186.0, 272.0))
        .line_to((160.0, 272.0))
        .close()
        .fill(Ink::Wash)
        .stroke(Stroke::THIN);
    page.put(figure);
    let text = "as long as its sum of advances";
    page.put(Text::new((88.0, 279.0), text, 4.0));
    let end = 88.0 + width(Face::Sans, text, 4.0);
    page.put(Line::new((88.0, 280.5), (end, 280.5), Stroke::THIN));
}
