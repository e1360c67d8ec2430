//! The standard that a drawing is made by, and the rules that differ between standards.

use super::{DatumRef, JudgedWith, Together};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A drawing standard in one edition.
///
/// The clauses of ASME Y14.5 and the rules of ISO named here are from memory and from secondary
/// sources; the standards themselves were not at hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Standard {
    /// ASME Y14.5-2018.
    #[default]
    #[serde(rename = "asme_y14.5_2018")]
    Asme2018,
    /// ASME Y14.5-2009.
    #[serde(rename = "asme_y14.5_2009")]
    Asme2009,
    /// ISO geometrical product specifications: ISO 1101:2017, ISO 5458:2018, ISO 5459:2011.
    #[serde(rename = "iso_gps")]
    IsoGps,
}

impl Standard {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Asme2018, Self::Asme2009, Self::IsoGps];

    /// The standard with its edition, as the sheet prints it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Asme2018 => "ASME Y14.5-2018",
            Self::Asme2009 => "ASME Y14.5-2009",
            Self::IsoGps => "ISO 1101:2017, ISO 5458:2018, ISO 5459:2011",
        }
    }

    /// Whether it is an edition of ASME Y14.5.
    #[must_use]
    pub const fn is_asme(self) -> bool {
        matches!(self, Self::Asme2018 | Self::Asme2009)
    }

    /// Whether callouts with the same datums in the same order at the same boundaries are judged
    /// together without a word on the drawing.
    ///
    /// ASME Y14.5: yes, simultaneous requirements (2018: 7.19; 2009: 4.19, from memory), except in
    /// the lower segments of composite callouts. ISO 5458:2018: no, only where SIM says so
    /// (secondary sources).
    #[must_use]
    pub const fn simultaneous_by_default(self) -> bool {
        self.is_asme()
    }

    /// Whether the features of one callout form one pattern without a word on the drawing.
    ///
    /// ASME Y14.5: yes (2018, clause 10). ISO 5458:2018: no, each zone stands for itself unless CZ
    /// combines them or SIM joins callouts (secondary sources).
    #[must_use]
    pub const fn pattern_by_default(self) -> bool {
        self.is_asme()
    }

    /// Whether the simulator of a lower-precedence datum stands at its basic place from those
    /// before it, where the datum reference has no translation modifier.
    ///
    /// ASME Y14.5-2009 and 2018: yes. ISO 5459:2011: no, a datum of a system is bound to those
    /// before it in its orientation only (from memory). A maximum material virtual condition
    /// stands at its basic place under ISO 2692 as well; this is about datums regardless of size.
    #[must_use]
    pub const fn tertiary_stands_at_basic(self) -> bool {
        self.is_asme()
    }

    /// Whether `datum`, regardless of size and not the first of its frame, stands at its basic
    /// place: [`tertiary_stands_at_basic`](Self::tertiary_stands_at_basic) and no translation
    /// modifier.
    #[must_use]
    pub const fn stands_at_basic(self, datum: &DatumRef) -> bool {
        self.tertiary_stands_at_basic() && !datum.translation
    }

    /// Whether the datums of a lower segment stop rotation only, so that its pattern may move as a
    /// whole.
    ///
    /// ASME Y14.5, composite tolerances: yes (2018: 10.5.1). ISO has no composite callout: each of
    /// two stacked tolerance indicators locates in its own datum system, and only what that system
    /// leaves unlocked is free (ISO 1101:2017, from memory).
    #[must_use]
    pub const fn lower_segment_frees_translation(self) -> bool {
        self.is_asme()
    }

    /// With which others a segment of a callout is judged: an upper segment, or a `lower` one of a
    /// composite callout, that the drawing marks as `together` says.
    ///
    /// | | ASME, upper | ASME, lower | ISO |
    /// |---|---|---|---|
    /// | no mark | frame | pattern | alone |
    /// | SEP REQT, SZ | pattern | pattern | alone |
    /// | CZ | frame | pattern | pattern |
    /// | SIM REQT, SIM | frame | number | number |
    /// | SIM n | number | number | number |
    ///
    /// CZ is no symbol of ASME Y14.5 and changes nothing there.
    #[must_use]
    pub const fn judged_with(self, together: Together, lower: bool) -> JudgedWith {
        match (together, self.is_asme(), lower) {
            (Together::Simultaneous(None), true, false)
            | (Together::Default | Together::Combined, true, false) => JudgedWith::Frame,
            (Together::Simultaneous(number), _, _) => JudgedWith::Number(number),
            (Together::Default | Together::Separate, false, _) => JudgedWith::Alone,
            (Together::Separate, true, _)
            | (Together::Default, true, true)
            | (Together::Combined, _, _) => JudgedWith::Pattern,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::num::NonZeroU8;

    #[test]
    fn what_is_judged_together_follows_from_standard_and_mark() {
        use JudgedWith::{Alone, Frame, Number, Pattern};
        let two = NonZeroU8::new(2);
        for (mark, upper, lower, iso) in [
            (Together::Default, Frame, Pattern, Alone),
            (Together::Separate, Pattern, Pattern, Alone),
            (Together::Combined, Frame, Pattern, Pattern),
            (Together::Simultaneous(None), Frame, Number(None), Number(None)),
            (Together::Simultaneous(two), Number(two), Number(two), Number(two)),
        ] {
            for asme in [Standard::Asme2018, Standard::Asme2009] {
                assert_eq!(asme.judged_with(mark, false), upper, "{mark:?}");
                assert_eq!(asme.judged_with(mark, true), lower, "{mark:?}");
            }
            for segment in [false, true] {
                assert_eq!(Standard::IsoGps.judged_with(mark, segment), iso, "{mark:?}");
            }
        }
    }

    #[test]
    fn the_translation_modifier_lets_a_datum_leave_its_basic_place() {
        let [fixed, free] = ["C", "C▷"].map(DatumRef::from);
        assert!(Standard::Asme2018.stands_at_basic(&fixed));
        assert!(!Standard::Asme2018.stands_at_basic(&free));
        assert!(!Standard::IsoGps.stands_at_basic(&fixed));
    }
}
