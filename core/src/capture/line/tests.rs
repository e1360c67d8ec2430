use super::*;
use std::time::Duration;

fn raw(bytes: &[u8]) -> RawLine {
    RawLine { bytes: bytes.to_owned(), at: Duration::ZERO, whole: true }
}

fn read(text: &str) -> Result<LineValue, LineFault> {
    read_line(&raw(text.as_bytes()), &LineRule::default())
}

fn read_by(text: &str, rule: &LineRule) -> Result<LineValue, LineFault> {
    read_line(&raw(text.as_bytes()), rule)
}

fn value(text: &str, unit: Option<Unit>) -> LineValue {
    LineValue { text: text.to_owned(), unit }
}

#[test]
fn a_number_is_found_in_every_form_that_instruments_send() {
    let (mm, inch) = (Some(Unit::Mm), Some(Unit::Inch));
    for (line, text, unit) in [
        ("12.345", "12.345", None),
        ("+12.345", "12.345", None),
        ("-12.345", "-12.345", None),
        ("- 12.345", "-12.345", None),
        ("   +   0012.345   ", "12.345", None),
        ("+00012,345", "12.345", None),
        (".5", "0.5", None),
        ("-.5000", "-0.5000", None),
        (",5", "0.5", None),
        ("12.", "12", None),
        ("0", "0", None),
        ("-000.000", "-0.000", None),
        ("+12.345mm", "12.345", mm),
        ("+12,345 MM", "12.345", mm),
        ("0.48600 in", "0.48600", inch),
        ("0.48600\"", "0.48600", inch),
        (".486 inch", "0.486", inch),
        ("\u{2}+12.345\u{3}", "12.345", None),
    ] {
        assert_eq!(read(line), Ok(value(text, unit)), "{line:?}");
    }
}

#[test]
fn an_error_line_is_never_a_number() {
    for line in [
        "ERR 12",
        "ERR12",
        "E1",
        "Error 03",
        "ERR 0.000",
        "OVER 99.9",
        "E 12.345",
        "H",
        "----",
        "LOW BAT",
        "12.345 ERR",
        "1.2E+01",
        "12.3.4",
        "+-12",
        "--1",
        "12,345.678,9 x",
        "nan",
        "inf",
        "0x12",
        "A12.345",
        "12.345cm",
        "12.345 um",
        "#12",
        "12.345!",
        "",
        "   ",
        "+",
        "-",
        ".",
        "mm",
        "+ mm",
        "1234567890123456789",
    ] {
        assert!(read(line).is_err(), "{line:?} became {:?}", read(line));
    }
}

#[test]
fn a_word_is_known_once_it_was_confirmed_and_only_as_it_was() {
    let line = "01A+00012.345";
    assert_eq!(read(line), Err(LineFault::Unknown { words: vec!["01A".to_owned()] }));
    let rule = LineRule { words: vec!["##A".to_owned()], ..LineRule::default() };
    assert_eq!(read_by(line, &rule), Ok(value("12.345", None)));
    assert_eq!(read_by("02A-1.5", &rule), Ok(value("-1.5", None)));
    assert!(read_by("91E+00000.000", &rule).is_err());
    let rule = LineRule { words: vec!["X".to_owned()], ..LineRule::default() };
    for line in ["X: 12.345 mm", "X=12.345mm", "X 12.345 mm", "12.345 mm X"] {
        assert_eq!(read_by(line, &rule), Ok(value("12.345", Some(Unit::Mm))), "{line}");
    }
}

#[test]
fn of_several_numbers_none_is_chosen_unless_the_rule_says_which() {
    let line = "0007;+12.345;mm;0.002";
    let numbers = ["7", "12.345", "0.002"].map(str::to_owned).to_vec();
    assert_eq!(read(line), Err(LineFault::Several { numbers }));
    let rule = LineRule { number: Some(2), ..LineRule::default() };
    assert_eq!(read_by(line, &rule), Ok(value("12.345", Some(Unit::Mm))));
    let rule = LineRule { number: Some(4), ..LineRule::default() };
    assert_eq!(read_by(line, &rule), Err(LineFault::Fewer { asked: 4, there: 3 }));
    // Thousands are not parted from fields by guessing.
    assert!(read("1,234.567").is_err());
    assert!(read("1.234,567").is_err());
}

#[test]
fn the_decimal_mark_is_what_the_rule_says() {
    let comma = LineRule { decimal: DecimalMark::Comma, ..LineRule::default() };
    let point = LineRule { decimal: DecimalMark::Point, ..LineRule::default() };
    assert_eq!(read_by("12,345", &comma), Ok(value("12.345", None)));
    assert!(read_by("12.345", &comma).is_err());
    assert_eq!(read_by("12.345", &point), Ok(value("12.345", None)));
    assert!(matches!(read_by("12,345", &point), Err(LineFault::Several { .. })));
}

#[test]
fn damaged_and_unfinished_lines_say_so() {
    assert_eq!(
        read_line(&raw(&[b'1', b'.', 0xb5]), &LineRule::default()),
        Err(LineFault::Damaged { high: true })
    );
    assert_eq!(
        read_line(&raw(&[b'1', 0x07, b'5']), &LineRule::default()),
        Err(LineFault::Damaged { high: false })
    );
    let unfinished = RawLine { whole: false, ..raw(b"+12.3") };
    assert_eq!(read_line(&unfinished, &LineRule::default()), Err(LineFault::Unfinished));
}

#[test]
fn the_unit_is_the_lines_own_or_the_rules() {
    let rule = LineRule { unit: Some(Unit::Inch), ..LineRule::default() };
    assert_eq!(read_by("1.5", &rule), Ok(value("1.5", Some(Unit::Inch))));
    assert_eq!(read_by("1.5 mm", &rule), Ok(value("1.5", Some(Unit::Mm))));
}
