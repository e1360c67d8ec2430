//! What a gauge sends, from bytes or keystrokes to a height: the way in that all gauges share.
//!
//! ```text
//! bytes with their times      -> Assembler -> lines, as they came, each with its time
//! keystrokes with their times -> Burst     -> lines typed faster than a hand types
//! line  -> read_line, by a LineRule that is shown beside it -> a value, or why there is none
//! value -> DoubleSend         -> once, where a foot switch bounced
//! ```
//!
//! Times are durations since any one origin, and come in as arguments: nothing in here asks a clock.
//! A line that is not understood wholly is no value: an instrument's error message never becomes a
//! number, and of several numbers none is chosen unless the rule says which.

mod assemble;
mod burst;
mod double_send;
mod line;
mod rule;
mod serial;

pub use assemble::{Assembler, MOST_BYTES, RawLine};
pub use burst::{Burst, Key, Pressed};
pub use double_send::DoubleSend;
pub use line::{LineFault, LineValue, read_line};
pub use rule::{DecimalMark, LineRule, pattern_of};
pub use serial::{LineEnd, Parity, SerialSettings};
