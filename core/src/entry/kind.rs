//! Kinds of features by the words that people use for them, in English, German and French.

use super::table::folded;
use super::{EntryError, refuse};
use crate::job::Kind;

const HOLE: [&str; 21] = [
    "hole",
    "holes",
    "h",
    "bore",
    "bores",
    "loch",
    "locher",
    "loecher",
    "bohrung",
    "bohrungen",
    "durchgangsloch",
    "durchgangsbohrung",
    "gewindebohrung",
    "gewindeloch",
    "passbohrung",
    "sackloch",
    "trou",
    "trous",
    "alesage",
    "alesages",
    "percage",
];
const BOSS: [&str; 14] = [
    "boss", "b", "pin", "pins", "stud", "spigot", "zapfen", "stift", "bolzen", "bossage", "goujon",
    "pion", "teton", "pige",
];
const SLOT: [&str; 24] = [
    "slot",
    "slots",
    "s",
    "groove",
    "grooves",
    "keyway",
    "keyways",
    "keyseat",
    "keyslot",
    "obround",
    "oblong",
    "langloch",
    "langlocher",
    "langloecher",
    "nut",
    "nuten",
    "passfedernut",
    "schlitz",
    "schlitze",
    "rainure",
    "rainures",
    "lumiere",
    "boutonniere",
    "mortaise",
];
const TAB: [&str; 12] = [
    "tab",
    "tabs",
    "t",
    "tongue",
    "key",
    "steg",
    "stege",
    "feder",
    "passfeder",
    "languette",
    "clavette",
    "tenon",
];
const FACE: [&str; 15] = [
    "face",
    "faces",
    "f",
    "edge",
    "edges",
    "plane",
    "flache",
    "flaeche",
    "kante",
    "kanten",
    "arete",
    "bord",
    "plan",
    "anlageflache",
    "anlageflaeche",
];

/// What makes a slot of a hole: `slotted hole`, `trou oblong`.
const SLOTTED: [&str; 7] =
    ["slotted", "oblong", "oblongue", "obround", "elongated", "langloch", "langliches"];

/// Words before the kind that say how it is made or what for.
const HOW: [&str; 18] = [
    "through",
    "thru",
    "blind",
    "threaded",
    "tapped",
    "reamed",
    "drilled",
    "bored",
    "counterbored",
    "round",
    "clearance",
    "locating",
    "dowel",
    "guide",
    "datum",
    "machined",
    "open",
    "closed",
];

/// Reads a kind: its word or its first letter, also in other words of the trade.
///
/// # Errors
/// A word that names no kind.
pub fn kind(text: &str) -> Result<Kind, EntryError> {
    let folded = folded(text);
    let mut words: Vec<&str> = folded.split(' ').collect();
    while words.len() > 1 && words.first().is_some_and(|w| HOW.contains(w)) {
        words.remove(0);
    }
    let (first, second) = (words.first().copied(), words.get(1).copied());
    let first = first.unwrap_or_default();
    let keyway = first == "key" && matches!(second, Some("way" | "ways" | "seat" | "slot"));
    let slotted =
        SLOTTED.contains(&first) && second.is_none_or(|w| HOLE.contains(&w) || w.len() < 3);
    let found = if keyway || slotted {
        Some(Kind::Slot)
    } else {
        [
            (Kind::Slot, &SLOT[..]),
            (Kind::Hole, &HOLE[..]),
            (Kind::Boss, &BOSS[..]),
            (Kind::Tab, &TAB[..]),
            (Kind::Face, &FACE[..]),
        ]
        .into_iter()
        .find(|(_, names)| names.contains(&first))
        .map(|(kind, _)| match kind {
            Kind::Hole if words.iter().any(|w| SLOTTED.contains(w)) => Kind::Slot,
            other => other,
        })
    };
    match found {
        Some(kind) => Ok(kind),
        None => refuse(format!(
            "Unknown feature type “{}”: hole, boss, slot, tab or face.",
            text.trim()
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_by_the_words_of_the_trade() {
        for (kind_meant, texts) in [
            (
                Kind::Hole,
                &[
                    "hole",
                    "H",
                    "Bore",
                    "through hole",
                    "tapped hole M6",
                    "Bohrung",
                    "Durchgangsloch",
                    "trou",
                    "Alésage ⌀6",
                    "hole, reamed",
                ][..],
            ),
            (Kind::Boss, &["boss", "pin", "dowel pin", "Zapfen", "téton"]),
            (
                Kind::Slot,
                &[
                    "slot",
                    "s",
                    "keyway",
                    "key way",
                    "key-way",
                    "Keyseat",
                    "Langloch",
                    "Langlöcher",
                    "Langloch X",
                    "slotted hole",
                    "elongated hole",
                    "Nut",
                    "Passfedernut",
                    "trou oblong",
                    "rainure",
                    "lumière",
                    "slot, width along x",
                ],
            ),
            (Kind::Tab, &["tab", "key", "tongue", "Steg", "Passfeder", "languette"]),
            (Kind::Face, &["face", "edge", "Fläche", "Flaeche", "Kante", "arête"]),
        ] {
            for text in texts {
                assert_eq!(kind(text), Ok(kind_meant), "{text}");
            }
        }
        for text in ["cone", "thread", "", "through", "12"] {
            assert!(kind(text).is_err(), "{text}");
        }
    }
}
