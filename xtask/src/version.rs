//! Versions as programs print them.

/// A version's numbers, compared from the left.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Version(Vec<u64>);

impl Version {
    /// The first word of the text that starts with a digit: `wasm-opt version 132 (x)` is 132,
    /// `rustc 1.96.0 (..)` is 1.96.0. None if no word does.
    pub(crate) fn first_in(text: &str) -> Option<Self> {
        let word = text
            .split_whitespace()
            .map(|word| word.trim_start_matches('v'))
            .find(|word| word.starts_with(|c: char| c.is_ascii_digit()))?;
        let numbers = word
            .split('.')
            .map_while(|part| {
                let digits: String = part.chars().take_while(char::is_ascii_digit).collect();
                digits.parse().ok()
            })
            .collect();
        Some(Self(numbers))
    }

    /// The number in front of the first point.
    pub(crate) fn major(&self) -> u64 {
        self.0.first().copied().unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(text: &str) -> Version {
        Version::first_in(text).unwrap()
    }

    #[test]
    fn the_version_is_found_among_the_words() {
        assert_eq!(v("trunk 0.21.14"), Version(vec![0, 21, 14]));
        assert_eq!(v("wasm-opt version 132 (version_132)").major(), 132);
        assert_eq!(v("Chromium 156.0.8078.79 built on Debian GNU/Linux 12").major(), 156);
        assert_eq!(v("rustc 1.95.0 (59807616e 2026-04-14)"), v("1.95.0"));
        assert_eq!(Version::first_in("no version at all"), None);
    }

    #[test]
    fn versions_compare_as_numbers() {
        assert!(v("1.96.0") > v("1.90"));
        assert!(v("1.9") < v("1.90"));
    }
}
