//! What the page says of the gauge.

use crate::gauge::{Became, Source};
use quarterturn_core::capture::LineFault;
use quarterturn_core::show::line_fault;

/// Where a line came from.
pub(crate) const fn source(source: Source) -> &'static str {
    match source {
        Source::Serial => "serial line",
        Source::Keyboard => "keyboard",
    }
}

/// A line that is no value, and why.
pub(crate) fn not_taken(line: &str, fault: &LineFault) -> String {
    format!(
        "“{line}” from the gauge was not taken. {} Alt G shows how lines are read.",
        line_fault(fault)
    )
}

/// What became of a line.
pub(crate) fn became(became: &Became) -> String {
    match became {
        Became::Taken(value) => format!("{value} taken"),
        Became::NotWanted(value) => format!("{value} not taken"),
        Became::Again => "sent twice by one press; taken once".to_owned(),
        Became::Fault(fault) => line_fault(fault),
    }
}

pub(crate) const GAUGE: &str = "Gauge";
pub(crate) const SERIAL: &str = "Serial line";
pub(crate) const NOT_THERE: &str = "This browser cannot read serial ports; Chromium and the browsers made from it can. A gauge that \
     types like a keyboard works in every browser.";
pub(crate) const KEYBOARD: &str = "A gauge that types like a keyboard needs no setting: on the Bench, what comes at its pace and ends in \
     Enter or Tab is a reading, wherever the cursor is.";
pub(crate) const CONNECT: &str = "Connect …";
pub(crate) const DISCONNECT: &str = "Disconnect";
pub(crate) const SETTINGS: &str = "Baud rate and frame";
pub(crate) const SETTINGS_WRONG: &str = "Write it like 9600 8N1: baud rate, data bits (7 or 8), parity (N, E or O), stop bits (1 or 2).";
pub(crate) const LINE_ENDS: &str = "A line ends";
pub(crate) const BY_MARK: &str = "by CR, LF or both";
pub(crate) const BY_IDLE: &str = "when nothing more comes";
pub(crate) const REQUEST: &str = "Sent to ask for a value (G)";
pub(crate) const RULE: &str = "How a line is read";
pub(crate) const WORDS: &str = "Words beside the value";
pub(crate) const WORDS_HINT: &str = "none; # for any digit";
pub(crate) const NUMBER: &str = "Which number";
pub(crate) const ONLY_ONE: &str = "the only one";
pub(crate) const MARK: &str = "Decimal mark";
pub(crate) const EITHER: &str = "point or comma";
pub(crate) const POINT: &str = "point";
pub(crate) const COMMA: &str = "comma";
pub(crate) const UNIT: &str = "Unit of lines without one";
pub(crate) const OF_THE_JOB: &str = "that of the readings";
pub(crate) const LINES: &str = "Lines as they came";
pub(crate) const NO_LINES: &str = "Nothing has come yet.";
pub(crate) const SAVE_LINES: &str = "Save all lines to a file";

/// Which of several numbers.
pub(crate) fn nth(n: usize) -> String {
    format!("number {n}")
}

/// Accepts a word as the channel's.
pub(crate) fn accept(word: &str) -> String {
    format!("Accept “{word}”")
}

/// Takes one of several numbers from now on.
pub(crate) fn take_number(value: &str) -> String {
    format!("The value is {value}")
}

/// The line is open.
pub(crate) fn open(settings: &str) -> String {
    format!("Connected, {settings}.")
}

pub(crate) const OFF: &str = "Not connected.";
pub(crate) const OPENING: &str = "Connecting …";
pub(crate) const LOST: &str =
    "The connection is lost. It is taken up again when the device is back.";

/// The port was not opened.
pub(crate) fn refused(why: &str) -> String {
    format!("The port could not be opened. {why}")
}

/// Every touch is taken: what came has no place.
pub(crate) const ALL_TAKEN: &str =
    "every touch of this orientation is taken; go to a touch to replace its reading";
/// There is nothing to touch.
pub(crate) const NOTHING_TO_TOUCH: &str = "nothing is touched in this orientation";
