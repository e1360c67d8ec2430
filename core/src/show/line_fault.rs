//! Why a line of an instrument is no value, in sentences.

use crate::capture::LineFault;

/// Why the line was not taken, and what to do about it.
#[must_use]
pub fn line_fault(fault: &LineFault) -> String {
    match fault {
        LineFault::Damaged { high: true } => {
            "Characters that no instrument sends: data bits or parity may differ from the instrument's."
                .to_owned()
        }
        LineFault::Damaged { high: false } => {
            "Characters that no instrument sends: noise, or another baud rate.".to_owned()
        }
        LineFault::Unfinished => {
            "Part of the line is missing. Send the reading again.".to_owned()
        }
        LineFault::Unknown { words } => format!(
            "{} not known: an error message, or a channel that you can accept.",
            listed(words)
        ),
        LineFault::Several { numbers } => {
            format!("{} numbers: {}. Choose which one is the value.", numbers.len(), numbers.join("; "))
        }
        LineFault::Fewer { asked, there: 1 } => {
            format!("Number {asked} is to be taken, and there is only one.")
        }
        LineFault::Fewer { asked, there } => {
            format!("Number {asked} is to be taken, and there are only {there}.")
        }
        LineFault::NoNumber => "There is no number in it.".to_owned(),
        LineFault::NotANumber { text } => format!("“{text}” is not a number."),
    }
}

fn listed(words: &[String]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("“{w}”")).collect();
    let verb = if quoted.len() == 1 { "is" } else { "are" };
    format!("{} {verb}", quoted.join(", "))
}
