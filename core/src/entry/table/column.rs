//! What a column of a pasted table can mean, and the words people head it with.

use super::heading::folded;
use serde::{Deserialize, Serialize};

/// What a column of a pasted table holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Column {
    /// Number on the drawing.
    Number,
    /// Hole, boss, slot, tab or face.
    Kind,
    /// The axis of a width, or where a face looks.
    Direction,
    /// Basic X.
    X,
    /// Basic Y.
    Y,
    /// Distance from the origin of the drawing, with [`Self::Angle`].
    Radius,
    /// Twice that: the diameter of a pitch circle.
    PitchDiameter,
    /// Degrees from +X towards +Y.
    Angle,
    /// Limits of size, or a nominal size with tolerances in columns of their own.
    Size,
    /// Nominal size alone.
    Nominal,
    /// Lower limit; beside a nominal size also the lower deviation, with its sign.
    Lower,
    /// Upper limit; beside a nominal size also the upper deviation.
    Upper,
    /// Upper deviation.
    Plus,
    /// How far below nominal, with or without its sign.
    Minus,
    /// Lower deviation, with its sign.
    LowerDeviation,
    /// One tolerance either way.
    PlusMinus,
    /// Position tolerance, or whole callouts.
    Tolerance,
    /// Material condition of the position.
    Modifier,
    /// Datums of the position.
    Datums,
    /// How many features the row is for.
    Quantity,
    /// Words for the sheet.
    Note,
    /// Not used.
    Unused,
}

impl Column {
    /// All meanings, in the order in which they are offered.
    pub const ALL: [Self; 22] = [
        Self::Unused,
        Self::Number,
        Self::Kind,
        Self::Direction,
        Self::X,
        Self::Y,
        Self::Radius,
        Self::PitchDiameter,
        Self::Angle,
        Self::Size,
        Self::Nominal,
        Self::Lower,
        Self::Upper,
        Self::Plus,
        Self::Minus,
        Self::LowerDeviation,
        Self::PlusMinus,
        Self::Tolerance,
        Self::Modifier,
        Self::Datums,
        Self::Quantity,
        Self::Note,
    ];

    /// The order in which columns are taken when there is no header.
    pub(super) const ORDER: [Self; 9] = [
        Self::Number,
        Self::Kind,
        Self::X,
        Self::Y,
        Self::Size,
        Self::Tolerance,
        Self::Modifier,
        Self::Datums,
        Self::Note,
    ];

    /// What it is called.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Number => "number",
            Self::Kind => "kind",
            Self::Direction => "direction",
            Self::X => "X",
            Self::Y => "Y",
            Self::Radius => "radius from the origin",
            Self::PitchDiameter => "pitch circle diameter",
            Self::Angle => "angle from +X",
            Self::Size => "size",
            Self::Nominal => "nominal size",
            Self::Lower => "lower limit",
            Self::Upper => "upper limit",
            Self::Plus => "upper deviation",
            Self::Minus => "minus tolerance",
            Self::LowerDeviation => "lower deviation",
            Self::PlusMinus => "± tolerance",
            Self::Tolerance => "position or callout",
            Self::Modifier => "modifier",
            Self::Datums => "datums",
            Self::Quantity => "quantity",
            Self::Note => "note",
            Self::Unused => "not used",
        }
    }

    /// The meaning that is called this.
    #[must_use]
    pub fn called(words: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.words() == words)
    }

    /// `meanings` with another one for the column at `at`. A column that had it takes over what this
    /// one meant, so that X and Y change places in one step.
    #[must_use]
    pub fn reassigned(meanings: &[Self], at: usize, meaning: Self) -> Vec<Self> {
        let mut all = meanings.to_vec();
        let Some(before) = all.get(at).copied() else { return all };
        if !meaning.repeats() {
            all.iter_mut().filter(|m| **m == meaning).for_each(|m| *m = before);
        }
        if let Some(here) = all.get_mut(at) {
            *here = meaning;
        }
        all
    }

    /// Whether several columns of one table may have this meaning.
    pub(super) const fn repeats(self) -> bool {
        matches!(self, Self::Note | Self::Unused)
    }

    /// The meaning of a heading in English, German or French.
    pub(super) fn of(heading: &str) -> Self {
        let folded = folded(heading);
        NAMES
            .iter()
            .find(|(_, names)| names.contains(&folded.as_str()))
            .map_or(Self::Unused, |(column, _)| *column)
    }
}

/// Headings as [`folded`] leaves them: lower case, without accents, units and signs that say nothing.
const NAMES: [(Column, &[&str]); 21] = [
    (
        Column::Number,
        &[
            "no",
            "nr",
            "num",
            "number",
            "item",
            "item no",
            "balloon",
            "balloon no",
            "#",
            "id",
            "feature no",
            "feature number",
            "feature #",
            "hole",
            "hole no",
            "hole number",
            "hole #",
            "char no",
            "lfd nr",
            "nummer",
            "pos nr",
            "bohrung nr",
            "bohrungsnummer",
            "merkmal nr",
            "merkmalnr",
            "numero",
            "n",
            "n°",
            "repere",
            "rep",
            "trou",
            "trou no",
            "numero de trou",
        ],
    ),
    (
        Column::Kind,
        &[
            "kind",
            "type",
            "feature",
            "what",
            "feature type",
            "description",
            "art",
            "typ",
            "merkmal",
            "element",
            "bezeichnung",
            "benennung",
            "form",
            "nature",
            "designation",
            "type d element",
        ],
    ),
    (
        Column::Direction,
        &[
            "direction",
            "across",
            "along",
            "looks",
            "axis",
            "richtung",
            "achse",
            "breite entlang",
            "axe",
            "sens",
            "orientation",
        ],
    ),
    (
        Column::X,
        &[
            "x",
            "x from b",
            "x from c",
            "x from datum",
            "x coordinate",
            "x nominal",
            "nominal x",
            "x coord",
            "x pos",
            "x position",
            "pos x",
            "position x",
            "x koordinate",
            "x mass",
            "x wert",
            "x soll",
            "soll x",
            "x coordonnee",
            "coordonnee x",
            "cote x",
            "coordonnee en x",
        ],
    ),
    (
        Column::Y,
        &[
            "y",
            "y from b",
            "y from c",
            "y from datum",
            "y coordinate",
            "y nominal",
            "nominal y",
            "y coord",
            "y pos",
            "y position",
            "pos y",
            "position y",
            "y koordinate",
            "y mass",
            "y wert",
            "y soll",
            "soll y",
            "y coordonnee",
            "coordonnee y",
            "cote y",
            "coordonnee en y",
        ],
    ),
    (Column::Radius, &["radius", "r", "rad", "polar radius", "halbmesser", "polarradius", "rayon"]),
    (
        Column::PitchDiameter,
        &[
            "pitch circle",
            "pitch circle diameter",
            "pitch diameter",
            "pcd",
            "bcd",
            "bc",
            "bolt circle",
            "bolt circle diameter",
            "teilkreis",
            "teilkreisdurchmesser",
            "lochkreis",
            "lochkreisdurchmesser",
            "cercle de percage",
            "diametre de percage",
            "entraxe",
        ],
    ),
    (
        Column::Angle,
        &["angle", "theta", "phi", "polar angle", "ang", "winkel", "polarwinkel", "angle polaire"],
    ),
    (
        Column::Size,
        &[
            "size",
            "limits",
            "diameter",
            "dia",
            "width",
            "size limits",
            "limits of size",
            "ø",
            "hole size",
            "hole dia",
            "hole diameter",
            "diameter width",
            "durchmesser",
            "dm",
            "breite",
            "weite",
            "groesse",
            "grosse",
            "mass",
            "masse",
            "grenzmasse",
            "bohrungsdurchmesser",
            "diametre",
            "largeur",
            "taille",
            "dimension",
            "cote",
            "limites",
        ],
    ),
    (
        Column::Lower,
        &[
            "lower",
            "min",
            "minimum",
            "lower limit",
            "low limit",
            "size min",
            "min size",
            "dia min",
            "min dia",
            "ø min",
            "min ø",
            "lower tol",
            "lower tolerance",
            "tol lower",
            "tol low",
            "mindestmass",
            "kleinstmass",
            "untere grenze",
            "unteres grenzmass",
            "untergrenze",
            "untere toleranz",
            "untere tol",
            "tol unten",
            "mini",
            "cote mini",
            "limite inferieure",
            "tolerance inferieure",
            "tol inf",
            "tolerance inf",
        ],
    ),
    (
        Column::Upper,
        &[
            "upper",
            "max",
            "maximum",
            "upper limit",
            "high limit",
            "size max",
            "max size",
            "dia max",
            "max dia",
            "ø max",
            "max ø",
            "upper tol",
            "upper tolerance",
            "tol upper",
            "tol high",
            "hoechstmass",
            "hochstmass",
            "groesstmass",
            "grosstmass",
            "obere grenze",
            "oberes grenzmass",
            "obergrenze",
            "obere toleranz",
            "obere tol",
            "tol oben",
            "maxi",
            "cote maxi",
            "limite superieure",
            "tolerance superieure",
            "tol sup",
            "tolerance sup",
        ],
    ),
    (
        Column::Nominal,
        &[
            "nominal",
            "nominal size",
            "nominal diameter",
            "nominal dia",
            "nennmass",
            "nenndurchmesser",
            "sollmass",
            "nominale",
            "cote nominale",
            "dimension nominale",
            "diametre nominal",
        ],
    ),
    (
        Column::Plus,
        &[
            "plus",
            "+",
            "+tol",
            "+ tol",
            "tol+",
            "tol +",
            "plus tol",
            "plus tolerance",
            "upper deviation",
            "es",
            "oberes abmass",
            "ob abmass",
            "ecart superieur",
            "ecart sup",
            "plus toleranz",
        ],
    ),
    (
        Column::Minus,
        &[
            "minus",
            "-",
            "-tol",
            "- tol",
            "tol-",
            "tol -",
            "minus tol",
            "minus tolerance",
            "minus toleranz",
            "moins",
        ],
    ),
    (
        Column::LowerDeviation,
        &["lower deviation", "ei", "unteres abmass", "unt abmass", "ecart inferieur", "ecart inf"],
    ),
    (
        Column::PlusMinus,
        &[
            "±",
            "tol ±",
            "± tol",
            "+- tol",
            "tol +-",
            "+-",
            "± tolerance",
            "± toleranz",
            "toleranz ±",
        ],
    ),
    (
        Column::Tolerance,
        &[
            "position",
            "tolerance",
            "tol",
            "true position",
            "position tolerance",
            "position tol",
            "tp",
            "pos",
            "pos tol",
            "callout",
            "position callout",
            "call out",
            "fcf",
            "feature control frame",
            "control frame",
            "gd t",
            "gdt",
            "frame and tolerance",
            "position of hole",
            "⌖",
            "toleranz",
            "positionstoleranz",
            "lagetoleranz",
            "toleranzrahmen",
            "lage",
            "localisation",
            "tolerance de localisation",
            "tolerance de position",
            "tol de position",
            "cadre de tolerance",
            "indicateur de tolerance",
        ],
    ),
    (
        Column::Modifier,
        &[
            "modifier",
            "mod",
            "material condition",
            "mc",
            "mmc",
            "materialbedingung",
            "bedingung",
            "modifikator",
            "modificateur",
            "exigence de matiere",
        ],
    ),
    (
        Column::Datums,
        &[
            "datums",
            "datum",
            "frame",
            "datum frame",
            "datum reference frame",
            "drf",
            "datum refs",
            "datum references",
            "bezug",
            "bezuge",
            "bezuege",
            "bezugssystem",
            "reference",
            "references",
            "references specifiees",
            "systeme de references",
        ],
    ),
    (
        Column::Quantity,
        &[
            "quantity",
            "qty",
            "count",
            "number of",
            "places",
            "pieces",
            "how many",
            "anzahl",
            "menge",
            "stuck",
            "stueck",
            "stk",
            "anz",
            "quantite",
            "qte",
            "nombre",
            "nb",
        ],
    ),
    (
        Column::Note,
        &[
            "note",
            "notes",
            "remark",
            "remarks",
            "comment",
            "comments",
            "bemerkung",
            "bemerkungen",
            "anmerkung",
            "hinweis",
            "kommentar",
            "remarque",
            "remarques",
            "commentaire",
            "observation",
            "observations",
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_heading_means_two_things_and_each_stands_as_it_is_compared() {
        let mut seen = std::collections::HashSet::new();
        for (column, names) in NAMES {
            for name in names {
                assert!(seen.insert(*name), "{name} stands twice");
                assert_eq!(folded(name), *name);
                assert_eq!(Column::of(name), column, "{name}");
            }
        }
    }

    #[test]
    fn a_meaning_that_another_column_has_changes_places() {
        use Column::{Note, Number, Unused, X, Y};
        let meanings = [Number, X, Y, Unused];
        assert_eq!(Column::reassigned(&meanings, 1, Y), [Number, Y, X, Unused]);
        assert_eq!(Column::reassigned(&meanings, 3, X), [Number, Unused, Y, X]);
        assert_eq!(Column::reassigned(&meanings, 3, Note), [Number, X, Y, Note]);
        assert_eq!(Column::reassigned(&meanings, 2, Unused), [Number, X, Unused, Unused]);
        assert_eq!(Column::reassigned(&meanings, 9, X), meanings);
        for column in Column::ALL {
            assert_eq!(Column::called(column.words()), Some(column));
        }
    }

    #[test]
    fn headings_in_three_languages() {
        for (heading, column) in [
            ("No.", Column::Number),
            ("Hole #", Column::Number),
            ("Bohrung Nr.", Column::Number),
            ("N°", Column::Number),
            ("X [mm]", Column::X),
            ("X-Koordinate", Column::X),
            ("Coordonnée Y (mm)", Column::Y),
            ("⌀ (in)", Column::Size),
            ("Durchmesser", Column::Size),
            ("Diamètre", Column::Size),
            ("Oberes Abmaß", Column::Plus),
            ("unteres Abmass", Column::LowerDeviation),
            ("Écart inférieur", Column::LowerDeviation),
            ("Höchstmaß", Column::Upper),
            ("GD&T", Column::Tolerance),
            ("Call-out", Column::Tolerance),
            ("Bezüge", Column::Datums),
            ("Winkel [°]", Column::Angle),
            ("Rayon", Column::Radius),
            ("Qté", Column::Quantity),
            ("Stück", Column::Quantity),
            ("Tol. +/-", Column::PlusMinus),
            ("Supplier", Column::Unused),
        ] {
            assert_eq!(Column::of(heading), column, "{heading}");
        }
    }
}
