//! A foot switch bounces: one press, and the instrument sends twice.

use std::time::Duration;

/// Two equal lines within this come of one press. Nobody moves the probe, lets it settle and presses
/// again in less; chosen by reasoning, no source.
const BOUNCE: Duration = Duration::from_millis(350);

/// Tells a value sent twice from two values.
#[derive(Clone, Debug, Default)]
pub struct DoubleSend {
    last: Option<(Vec<u8>, Duration)>,
}

impl DoubleSend {
    /// Whether the line is the one before once more. A third within the time after the second is one
    /// too: the time counts from the last that came.
    pub fn is_again(&mut self, line: &[u8], now: Duration) -> bool {
        let again = self.last.as_ref().is_some_and(|(last, at)| {
            last == line && now.checked_sub(*at).is_some_and(|since| since < BOUNCE)
        });
        self.last = Some((line.to_owned(), now));
        again
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bounce_is_one_value_and_a_second_press_is_another() {
        let ms = Duration::from_millis;
        let mut sent = DoubleSend::default();
        assert!(!sent.is_again(b"+1.5", ms(0)));
        assert!(sent.is_again(b"+1.5", ms(40)));
        assert!(sent.is_again(b"+1.5", ms(380)));
        // Another height is another touch, however soon.
        assert!(!sent.is_again(b"+1.6", ms(400)));
        assert!(!sent.is_again(b"+1.5", ms(410)));
        // The same height again after a while is a repeat.
        assert!(!sent.is_again(b"+1.5", ms(760)));
    }
}
