//! How a length is written: inch without a leading zero, millimetre with one (ASME Y14.5-2018,
//! 4.6), a true minus sign, and digits that never contradict a verdict.

use crate::quantity::{Figure, Length, NOISE, Unit};

/// A unit and a number of decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figures {
    /// The unit written in.
    pub unit: Unit,
    /// Decimals.
    pub decimals: usize,
}

/// A figure of the document with all the digits it was typed with, and no more.
#[must_use]
pub fn as_typed(figure: Figure, unit: Unit) -> String {
    let length = figure.length(unit);
    Figures::new(unit, 0).exact(length).plain(length)
}

/// Most decimals ever shown, in either unit: beyond it only noise is left.
const MOST_DECIMALS: usize = 9;

impl Figures {
    /// Lengths in `unit` with `decimals` decimals.
    #[must_use]
    pub const fn new(unit: Unit, decimals: usize) -> Self {
        Self { unit, decimals }
    }

    /// Readings of a gauge of this resolution: as many decimals as it has, or the usual ones of the
    /// unit where it is not positive.
    #[must_use]
    pub fn of_resolution(unit: Unit, resolution: f64) -> Self {
        let usual = match unit {
            Unit::Mm => 3,
            Unit::Inch => 5,
        };
        Self::new(unit, decimals_of(resolution).unwrap_or(usual))
    }

    /// The same with `more` further decimals.
    #[must_use]
    pub const fn finer(self, more: usize) -> Self {
        let decimals = self.decimals + more;
        Self::new(self.unit, if decimals > MOST_DECIMALS { MOST_DECIMALS } else { decimals })
    }

    /// Enough decimals to write `length` as it is, these at least: for figures that were typed.
    #[must_use]
    pub fn exact(self, length: Length) -> Self {
        let value = length.to(self.unit);
        let decimals = (self.decimals..MOST_DECIMALS)
            .find(|d| {
                let scale = TENS[*d];
                ((value * scale).round() / scale - value).abs() < 1e-10
            })
            .unwrap_or(MOST_DECIMALS);
        Self::new(self.unit, decimals)
    }

    /// Enough decimals to write `length` as it is, where a few more do; otherwise these. A limit that was
    /// converted from the other unit has no end, and its last digits say nothing.
    #[must_use]
    pub fn exact_or_same(self, length: Length) -> Self {
        /// Further decimals that a drawing may give to one of its figures.
        const FEW: usize = 3;
        let exact = self.exact(length);
        if exact.decimals <= self.decimals + FEW && exact.decimals < MOST_DECIMALS {
            exact
        } else {
            self
        }
    }

    /// Without a sign unless negative: `.0042`, `−.0042`, `0.107`.
    #[must_use]
    pub fn plain(self, length: Length) -> String {
        self.write(length, false)
    }

    /// Always with its sign, unless it is shown as zero: `+.0042`, `−.0042`, `.0000`.
    #[must_use]
    pub fn signed(self, length: Length) -> String {
        self.write(length, true)
    }

    /// The length that [`Figures::plain`] shows.
    #[must_use]
    pub fn rounded(self, length: Length) -> Length {
        self.digits(length)
            .and_then(|(negative, digits)| {
                let value: f64 = digits.parse().ok()?;
                Some(Length::of(if negative { -value } else { value }, self.unit))
            })
            .unwrap_or(length)
    }

    /// As a number typed into a field would read: ASCII minus, leading zero, no sign otherwise.
    #[must_use]
    pub fn typed(self, length: Length) -> String {
        self.exact(length).digits(length).map_or_else(String::new, |(negative, digits)| {
            if negative { format!("-{digits}") } else { digits }
        })
    }

    fn digits(self, length: Length) -> Option<(bool, String)> {
        let value = length.to(self.unit);
        if !value.is_finite() {
            return None;
        }
        // Ties of the decimal figure go away from zero; binary noise of a tie must not decide.
        let nudged = value.abs() * (1.0 + 1e-14) + 1e-12;
        let digits = format!("{nudged:.*}", self.decimals);
        let zero = digits.bytes().all(|b| b == b'0' || b == b'.');
        Some((value < 0.0 && !zero, digits))
    }

    fn write(self, length: Length, sign: bool) -> String {
        let Some((negative, digits)) = self.digits(length) else { return "?".to_owned() };
        let zero = digits.bytes().all(|b| b == b'0' || b == b'.');
        let digits = match (self.unit, digits.strip_prefix("0.")) {
            (Unit::Inch, Some(rest)) => format!(".{rest}"),
            _ => digits,
        };
        let mark = match (negative, sign && !zero) {
            (true, _) => "−",
            (false, true) => "+",
            (false, false) => "",
        };
        format!("{mark}{digits}")
    }
}

const TENS: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

/// Decimals of a resolution such as 0.00005; `None` for one that is not positive.
fn decimals_of(resolution: f64) -> Option<usize> {
    if resolution <= 0.0 {
        return None;
    }
    (0..MOST_DECIMALS).find(|d| {
        let scaled = resolution * TENS[*d];
        (scaled - scaled.round()).abs() < 1e-6 && scaled.round() >= 1.0
    })
}

/// A value and its limit as text, with as many further decimals as it takes for the rounded
/// pair to stand in the same relation as the unrounded one: a value that fails by a hair must
/// not look equal to its limit.
#[must_use]
pub fn against(value: Length, limit: Length, figures: Figures) -> (String, String) {
    let mut f = figures;
    let tie = (value - limit).abs() <= NOISE;
    while !tie && f.decimals < MOST_DECIMALS && f.plain(value) == f.plain(limit) {
        f = f.finer(1);
    }
    (f.plain(value), f.plain(limit))
}

/// A figure, its limit and the margin between them, as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Compared {
    /// The decimals of all three.
    pub figures: Figures,
    /// The figure.
    pub value: String,
    /// Its limit.
    pub limit: String,
    /// The margin, with its sign.
    pub margin: String,
}

/// Writes a figure, its limit and its margin, all with the same decimals: those of `figures`, or as many
/// more as it takes for the margin not to look like nothing, and for limit and figure to differ by the
/// margin as they are written.
#[must_use]
pub fn compared(value: Length, limit: Length, margin: Length, figures: Figures) -> Compared {
    /// Further decimals that are tried for the last digit of the difference.
    const FOR_THE_LAST_DIGIT: usize = 5;
    let tie = margin.abs() <= NOISE;
    // Where the limit is not the one that the margin counts to, the three do not follow from each other.
    let difference = (limit - value).abs();
    let follows = (difference - margin.abs()).abs() <= NOISE;
    let differs = |f: Figures| tie || f.plain(margin.abs()) != f.plain(Length::ZERO);
    let apart = |f: Figures| tie || !follows || f.plain(value) != f.plain(limit);
    let adds_up = |f: Figures| {
        let shown = (f.rounded(limit) - f.rounded(value)).abs();
        !follows || f.plain(shown) == f.plain(margin.abs())
    };
    let all = || (0..=MOST_DECIMALS).map(|more| figures.finer(more));
    let first = all().find(|f| differs(*f) && apart(*f)).unwrap_or(figures.finer(MOST_DECIMALS));
    let tried = (0..=FOR_THE_LAST_DIGIT).map(|more| first.finer(more));
    let f = tried.into_iter().find(|f| adds_up(*f)).unwrap_or(first);
    let margin = if tie { Length::ZERO } else { margin };
    Compared { figures: f, value: f.plain(value), limit: f.plain(limit), margin: f.signed(margin) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_is_what_its_figures_differ_by_as_they_are_written() {
        let f = Figures::new(Unit::Mm, 3);
        // 0.1234 less 0.1016 is 0.0218: rounded to three decimals 0.123 - 0.102 is not 0.022.
        let one = compared(Length::mm(0.1016), Length::mm(0.1234), Length::mm(0.0218), f);
        assert_eq!([&*one.value, &*one.limit, &*one.margin], ["0.1016", "0.1234", "+0.0218"]);
        let exact = compared(Length::mm(0.1016), Length::mm(0.12), Length::mm(0.0184), f);
        assert_eq!([&*exact.value, &*exact.limit, &*exact.margin], ["0.102", "0.120", "+0.018"]);
        let hair = compared(Length::mm(0.120_000_4), Length::mm(0.12), Length::mm(-0.000_000_4), f);
        assert_eq!(
            [&*hair.value, &*hair.limit, &*hair.margin],
            ["0.1200004", "0.1200000", "−0.0000004"]
        );
        let tie = compared(Length::mm(0.12 + 1e-9), Length::mm(0.12), Length::mm(-1e-9), f);
        assert_eq!([&*tie.value, &*tie.limit, &*tie.margin], ["0.120", "0.120", "0.000"]);
    }

    fn inch(v: f64) -> Length {
        Length::of(v, Unit::Inch)
    }

    #[test]
    fn a_converted_limit_does_not_ask_for_nine_decimals() {
        let f = Figures::new(Unit::Inch, 4);
        assert_eq!(f.exact_or_same(inch(0.00505)).decimals, 5);
        assert_eq!(f.exact_or_same(Length::mm(0.1)).decimals, 4);
    }

    #[test]
    fn inches_have_no_leading_zero_and_millimetres_do() {
        let i = Figures::new(Unit::Inch, 4);
        assert_eq!(i.plain(inch(0.0042)), ".0042");
        assert_eq!(i.signed(inch(-0.0042)), "−.0042");
        assert_eq!(i.plain(inch(1.25)), "1.2500");
        let m = Figures::new(Unit::Mm, 3);
        assert_eq!(m.signed(Length::mm(0.107)), "+0.107");
        assert_eq!(m.plain(Length::mm(-12.5)), "−12.500");
    }

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        let i = Figures::new(Unit::Inch, 4);
        assert_eq!(i.signed(inch(-0.000_01)), ".0000");
        assert_eq!(i.signed(inch(0.0)), ".0000");
    }

    #[test]
    fn decimal_ties_go_away_from_zero_whatever_binary_makes_of_them() {
        let m = Figures::new(Unit::Mm, 2);
        for (value, text) in [(1.005, "1.01"), (2.675, "2.68"), (-0.125, "−0.13"), (0.285, "0.29")]
        {
            assert_eq!(m.plain(Length::mm(value)), text);
        }
    }

    #[test]
    fn what_is_rounded_is_what_is_shown() {
        for f in [Figures::new(Unit::Inch, 4), Figures::new(Unit::Mm, 3)] {
            for value in [0.46755, -0.00004, 12.345_678, -1.0005, 0.0] {
                let length = Length::of(value, f.unit);
                assert_eq!(f.plain(f.rounded(length)), f.plain(length));
                assert!((f.rounded(length) - length).abs() < Length::of(0.000_501, f.unit));
            }
        }
    }

    #[test]
    fn a_value_a_hair_beyond_its_limit_never_looks_equal_to_it() {
        let f = Figures::new(Unit::Inch, 4);
        let (value, limit) = against(inch(0.010_02), inch(0.01), f);
        assert_eq!((value.as_str(), limit.as_str()), (".01002", ".01000"));
        let (value, limit) = against(inch(0.003 + 0.007), inch(0.01), f);
        assert_eq!(value, limit);
    }

    #[test]
    fn readings_show_as_many_decimals_as_the_resolution() {
        assert_eq!(decimals_of(0.00005), Some(5));
        assert_eq!(decimals_of(0.001), Some(3));
        assert_eq!(decimals_of(0.0005), Some(4));
        assert_eq!(decimals_of(1.0), Some(0));
        assert_eq!(decimals_of(0.0), None);
    }

    #[test]
    fn typed_figures_keep_every_digit() {
        let f = Figures::new(Unit::Inch, 4);
        assert_eq!(f.typed(inch(0.56055)), "0.56055");
        assert_eq!(f.typed(inch(-3.4)), "-3.4000");
    }
}
