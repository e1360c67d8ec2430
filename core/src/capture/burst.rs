//! Gauges that type: what they send comes as keystrokes, told from a hand's by its pace.

use std::time::Duration;

/// Between two keystrokes of a gauge passes less than this. A fast typist takes about 100 ms on average
/// and some 50 ms between two letters of one movement; a keyboard interface sends every 1 to 20 ms.
/// Chosen between the two, no source.
const PACE: Duration = Duration::from_millis(40);

/// Fewer characters are no reading of a gauge: two keys can be hit at once by a hand.
const FEWEST: usize = 4;

/// A key, as far as a gauge types it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// A character.
    Character(char),
    /// Enter or Tab, which ends a line.
    End,
    /// Any other key: no gauge presses it.
    Other,
}

/// What a keystroke makes of those before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pressed {
    /// A hand's so far, or the first of something.
    Hand,
    /// It goes on at the pace of a gauge; so many characters belong together by now.
    Gauge(usize),
    /// It ends a line of a gauge.
    Line(String),
}

/// The keystrokes that may be a line of a gauge.
#[derive(Clone, Debug, Default)]
pub struct Burst {
    text: String,
    last: Duration,
    /// A pause parted characters that came at the pace of a gauge: what follows may be the tail of a line.
    parted: bool,
}

impl Burst {
    /// How many characters belong together by now.
    #[must_use]
    pub fn count(&self) -> usize {
        self.text.chars().count()
    }

    /// Takes a key that was pressed at `now`: when the keyboard sent it, and not when the page got round to
    /// it.
    pub fn press(&mut self, key: Key, now: Duration) -> Pressed {
        let at_pace = now.checked_sub(self.last).is_some_and(|since| since < PACE);
        if !at_pace {
            self.parted |= self.count() > 1;
            self.text.clear();
        }
        self.last = now;
        match key {
            Key::Character(c) => {
                self.text.push(c);
                let count = self.text.chars().count();
                if count >= FEWEST { Pressed::Gauge(count) } else { Pressed::Hand }
            }
            Key::End => {
                let text = std::mem::take(&mut self.text);
                // A tail is no line: the field at hand has all of it.
                let parted = std::mem::take(&mut self.parted);
                if text.chars().count() >= FEWEST && !parted {
                    Pressed::Line(text)
                } else {
                    Pressed::Hand
                }
            }
            Key::Other => {
                self.text.clear();
                self.parted = false;
                Pressed::Hand
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str, step: u64) -> Vec<Pressed> {
        let mut burst = Burst::default();
        let keys = text.chars().map(|c| if c == '\n' { Key::End } else { Key::Character(c) });
        let at = (1_u64..).map(|i| Duration::from_millis(i * step));
        keys.zip(at).map(|(key, at)| burst.press(key, at)).collect()
    }

    #[test]
    fn a_burst_that_ends_in_enter_is_a_line_of_a_gauge() {
        for step in [0, 1, 8, 20, 39] {
            let last = typed("+12,345\n", step).pop().unwrap();
            assert_eq!(last, Pressed::Line("+12,345".to_owned()), "every {step} ms");
        }
    }

    #[test]
    fn a_hand_is_no_gauge_however_fast() {
        for step in [40, 60, 100, 300] {
            assert!(
                typed("12.3456\n", step).iter().all(|p| *p == Pressed::Hand),
                "every {step} ms"
            );
        }
    }

    #[test]
    fn the_tail_of_a_line_that_a_pause_parted_is_no_line() {
        let mut burst = Burst::default();
        let mut at = 0;
        let mut press = |key, after| {
            at += after;
            burst.press(key, Duration::from_millis(at))
        };
        for c in "0.9".chars() {
            press(Key::Character(c), 5);
        }
        press(Key::Character('3'), 80);
        for c in "681".chars() {
            press(Key::Character(c), 5);
        }
        assert_eq!(press(Key::End, 5), Pressed::Hand);
        for c in "0.94".chars() {
            press(Key::Character(c), 5);
        }
        assert_eq!(press(Key::End, 5), Pressed::Line("0.94".to_owned()));
    }

    #[test]
    fn a_hand_before_a_burst_has_no_part_in_it() {
        let mut burst = Burst::default();
        let ms = Duration::from_millis;
        burst.press(Key::Character('9'), ms(0));
        burst.press(Key::Character('9'), ms(200));
        for (i, c) in "1.50".chars().enumerate() {
            burst.press(Key::Character(c), ms(500 + 5 * i as u64));
        }
        assert_eq!(burst.press(Key::End, ms(521)), Pressed::Line("1.50".to_owned()));
        // Two keys hit at once are not four, and Enter alone ends nothing.
        burst.press(Key::Character('1'), ms(900));
        burst.press(Key::Character('2'), ms(905));
        assert_eq!(burst.press(Key::End, ms(910)), Pressed::Hand);
        assert_eq!(burst.press(Key::End, ms(911)), Pressed::Hand);
        // A key that no gauge presses parts what stands before and behind it.
        burst.press(Key::Character('1'), ms(950));
        burst.press(Key::Other, ms(955));
        for (i, c) in "234".chars().enumerate() {
            burst.press(Key::Character(c), ms(960 + i as u64));
        }
        assert_eq!(burst.press(Key::End, ms(965)), Pressed::Hand);
    }
}
