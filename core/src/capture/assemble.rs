//! Bytes into lines. They come chopped in any way and at any time; a line is whole when its end has
//! come, or when nothing has come for a while.

use super::LineEnd;
use std::time::Duration;

/// A line is never longer than this; what is, is no line of an instrument and is given in pieces.
pub const MOST_BYTES: usize = 512;

/// At an end by idle time, a line is over when nothing has come for this long.
const IDLE: Duration = Duration::from_millis(60);

/// Where lines end by a mark, what came without one is given after this long: the end got lost, or
/// the instrument sends none.
const STUCK: Duration = Duration::from_millis(1500);

/// A line as it came, without its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawLine {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// When its last byte came.
    pub at: Duration,
    /// Whether its end was there. Of a line without one the rest may be lost.
    pub whole: bool,
}

/// Puts bytes together to lines.
#[derive(Clone, Debug)]
pub struct Assembler {
    end: LineEnd,
    bytes: Vec<u8>,
    last: Duration,
    /// The beginning of the line is gone, or may be: it was too long, the connection broke within it, or
    /// reading began within it.
    cut: bool,
}

impl Assembler {
    /// One for lines that end so. Reading begins at `now`, perhaps within a line: what comes at once
    /// is no line from its beginning.
    #[must_use]
    pub const fn new(end: LineEnd, now: Duration) -> Self {
        Self { end, bytes: Vec::new(), last: now, cut: true }
    }

    /// Takes bytes that came at `now`, and gives the lines that they complete. Empty lines, as between
    /// the carriage return and the line feed of one end, are none.
    pub fn take(&mut self, bytes: &[u8], now: Duration) -> Vec<RawLine> {
        // What waited too long is over before these came, however late anyone asks.
        let mut lines: Vec<RawLine> = self.wait(now).into_iter().collect();
        if self.bytes.is_empty() && now.checked_sub(self.last).is_some_and(|quiet| quiet >= IDLE) {
            // After silence a line begins.
            self.cut = false;
        }
        for &byte in bytes {
            self.last = now;
            // In both ways of ending: an instrument that sends marks is understood by idle time too.
            if byte == b'\r' || byte == b'\n' {
                lines.extend(self.give(true));
                // Behind an end a line begins.
                self.cut = false;
                continue;
            }
            if self.bytes.len() == MOST_BYTES {
                lines.extend(self.give(false));
                self.cut = true;
            }
            self.bytes.push(byte);
        }
        lines
    }

    /// What is over at `now` because nothing more came.
    pub fn wait(&mut self, now: Duration) -> Option<RawLine> {
        let over = now.checked_sub(self.last)? >= self.patience();
        over.then(|| self.give(self.end == LineEnd::Idle)).flatten()
    }

    /// How long to wait after the last byte before asking [`Assembler::wait`].
    #[must_use]
    pub const fn patience(&self) -> Duration {
        match self.end {
            LineEnd::Mark => STUCK,
            LineEnd::Idle => IDLE,
        }
    }

    /// What came of a line when a byte was lost or the connection broke, at `now`. What comes of it after
    /// that is not its beginning.
    pub fn broken(&mut self, now: Duration) -> Option<RawLine> {
        let line = self.give(false);
        self.last = now;
        self.cut = true;
        line
    }

    fn give(&mut self, whole: bool) -> Option<RawLine> {
        let whole = whole && !self.cut;
        let bytes = std::mem::take(&mut self.bytes);
        (!bytes.is_empty()).then_some(RawLine { bytes, at: self.last, whole })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    /// One that has listened for a while.
    fn quiet(end: LineEnd) -> Assembler {
        Assembler::new(end, ms(0))
    }

    fn texts(lines: &[RawLine]) -> Vec<String> {
        lines.iter().map(|l| String::from_utf8_lossy(&l.bytes).into_owned()).collect()
    }

    #[test]
    fn every_way_to_end_a_line_gives_the_same_lines() {
        for text in ["+1.5\r\n+2.5\r\n", "+1.5\r+2.5\r", "+1.5\n+2.5\n", "\r\n+1.5\r\r\n+2.5\n"] {
            let lines = quiet(LineEnd::Mark).take(text.as_bytes(), ms(100));
            assert_eq!(texts(&lines), ["+1.5", "+2.5"], "{text:?}");
            assert!(lines.iter().all(|l| l.whole));
        }
    }

    #[test]
    fn it_does_not_matter_how_the_bytes_are_chopped() {
        let text = b"A+0012.345\r\nB-7,5 mm\rC .5\n";
        let whole = quiet(LineEnd::Mark).take(text, ms(100));
        for step in 1..text.len() {
            let mut assembler = quiet(LineEnd::Mark);
            let mut lines = Vec::new();
            for chunk in text.chunks(step) {
                lines.extend(assembler.take(chunk, ms(100)));
            }
            assert_eq!(lines, whole, "in pieces of {step}");
        }
    }

    #[test]
    fn idle_time_ends_a_line_where_the_instrument_sends_no_end() {
        let mut assembler = quiet(LineEnd::Idle);
        assert_eq!(assembler.take(b"+12", ms(100)), []);
        assert_eq!(assembler.take(b".345", ms(150)), []);
        assert_eq!(assembler.wait(ms(209)), None);
        let line = assembler.wait(ms(210)).unwrap();
        assert_eq!((line.bytes.as_slice(), line.at, line.whole), (&b"+12.345"[..], ms(150), true));
        assert_eq!(assembler.wait(ms(1000)), None);
        // Nobody asked in between: the next bytes are another line all the same.
        assembler.take(b"+1", ms(2000));
        assert_eq!(texts(&assembler.take(b"+2", ms(3000))), ["+1"]);
    }

    #[test]
    fn a_line_that_lost_its_end_or_is_too_long_is_not_whole() {
        let mut assembler = quiet(LineEnd::Mark);
        assembler.take(b"+12.3", ms(100));
        assert_eq!(assembler.wait(ms(1599)), None);
        assert!(!assembler.wait(ms(1600)).unwrap().whole);
        let mut long = vec![b'1'; MOST_BYTES + 3];
        long.extend(b"\r\n5\r\n");
        let lines = assembler.take(&long, ms(2000));
        let whole: Vec<(usize, bool)> = lines.iter().map(|l| (l.bytes.len(), l.whole)).collect();
        // The tail of a line that was too long is not a line of its own.
        assert_eq!(whole, [(MOST_BYTES, false), (3, false), (1, true)]);
    }

    #[test]
    fn the_tail_of_a_line_is_never_taken_for_a_line() {
        // A byte was lost on the way: neither part is whole, and the next line is.
        let mut assembler = quiet(LineEnd::Mark);
        assembler.take(b"+12.3", ms(100));
        assert!(!assembler.broken(ms(101)).unwrap().whole);
        let lines = assembler.take(b"45\r\n+6.5\r\n", ms(102));
        let whole: Vec<(String, bool)> =
            lines.iter().map(|l| (texts(std::slice::from_ref(l)).remove(0), l.whole)).collect();
        assert_eq!(whole, [("45".to_owned(), false), ("+6.5".to_owned(), true)]);
        // Reading began within a line.
        let mut assembler = Assembler::new(LineEnd::Mark, ms(0));
        let lines = assembler.take(b"345\r+1\r", ms(20));
        assert_eq!(lines.iter().map(|l| l.whole).collect::<Vec<_>>(), [false, true]);
        // After silence a line begins, whatever was lost before.
        assembler.broken(ms(50));
        assert!(assembler.take(b"+2\r", ms(110))[0].whole);
    }
}
