//! The job file as the judge reads it: its own reader, everything in millimetres and radians.

use serde::Deserialize;
use std::collections::HashMap;

/// X and Y, or the two components of a vector.
pub(crate) type Pair = [f64; 2];

/// A whole job.
#[derive(Clone, Debug)]
pub(crate) struct Document {
    pub features: Vec<Feature>,
    /// Datum letters of the drawing's own frame, in the order in which they are listed.
    pub datums: Vec<Datum>,
    pub outline: Option<Outline>,
    pub relations: Vec<Relation>,
    pub instruments: Vec<Instrument>,
    pub orientations: Vec<Orientation>,
    /// Flatness of the plate, highest less lowest point.
    pub plate_flatness: f64,
    /// Largest unknown error of squareness between two orientations, radians.
    pub squareness_limit: f64,
    /// Standard uncertainty of a rest, where it is stated.
    pub rest_standard: Option<f64>,
    pub standard: Standard,
    pub pieces: Vec<Piece>,
}

/// The standard that the drawing follows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub(crate) enum Standard {
    #[default]
    #[serde(rename = "asme_y14.5_2018")]
    Asme2018,
    #[serde(rename = "asme_y14.5_2009")]
    Asme2009,
    #[serde(rename = "iso_gps")]
    IsoGps,
}

/// What a segment says of the others that are judged with it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Together {
    #[default]
    Default,
    Separate,
    Combined,
    Simultaneous(Option<u8>),
}

#[derive(Clone, Debug)]
pub(crate) struct Outline {
    pub low: Pair,
    pub high: Pair,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Kind {
    Hole,
    Boss,
    Slot,
    Tab,
    Face,
}

impl Kind {
    pub(crate) fn is_internal(self) -> bool {
        matches!(self, Self::Hole | Self::Slot)
    }
    pub(crate) fn is_round(self) -> bool {
        matches!(self, Self::Hole | Self::Boss)
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Feature {
    pub number: String,
    pub kind: Kind,
    /// Slot, tab: the axis across it. Face: the axis of its normal. 0 is X, 1 is Y.
    pub axis: Option<usize>,
    /// Face: +1 where it looks along the positive axis.
    pub sign: f64,
    pub basic: Pair,
    pub limits: Option<[f64; 2]>,
    pub callouts: Vec<Callout>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Modifier {
    #[default]
    None,
    Mmc,
    Lmc,
}

/// One segment of a position callout with what it shares with the others of the same callout.
#[derive(Clone, Debug)]
pub(crate) struct Callout {
    pub segments: Vec<Segment>,
    /// The axis across the two planes of a zone that is not round.
    pub along: Option<usize>,
    pub modifier: Modifier,
    pub pattern: String,
}

#[derive(Clone, Debug)]
pub(crate) struct Segment {
    pub tolerance: f64,
    pub together: Together,
    pub datums: Vec<DatumRef>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Boundary {
    Regardless,
    Maximum,
    Least,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(crate) struct DatumRef {
    pub letter: String,
    pub boundary: Boundary,
    /// The translation modifier is given.
    pub translates: bool,
}

impl DatumRef {
    /// Reads `B`, `B(M)`, `C(L)`; the translation modifier is written as a triangle behind it.
    pub(crate) fn read(text: &str) -> Self {
        let (text, translates) = match text.strip_suffix('\u{25b7}') {
            Some(rest) => (rest, true),
            None => (text, false),
        };
        let (letter, boundary) = if let Some(l) = text.strip_suffix("(M)") {
            (l, Boundary::Maximum)
        } else if let Some(l) = text.strip_suffix("(L)") {
            (l, Boundary::Least)
        } else {
            (text, Boundary::Regardless)
        };
        Self { letter: letter.trim().to_owned(), boundary, translates }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DatumPattern {
    Circle,
    BestFit,
}

#[derive(Clone, Debug)]
pub(crate) struct Datum {
    pub letter: String,
    pub features: Vec<usize>,
    pub pattern: Option<DatumPattern>,
    pub boundary: Option<f64>,
}

#[derive(Clone, Debug)]
pub(crate) enum Relation {
    Distance {
        from: Option<usize>,
        to: usize,
        along: Option<usize>,
        limits: Limits,
    },
    Wall {
        between: [usize; 2],
        limits: Limits,
    },
    Coaxiality {
        of: usize,
        to: usize,
        tolerance: f64,
        modifier: Modifier,
    },
    BoltCircle {
        of: Vec<usize>,
        limits: Limits,
    },
    Polar {
        of: usize,
        centre: Option<usize>,
        radial: f64,
        around: f64,
    },
    /// Kinds that the judge leaves alone.
    Other,
}

#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Limits {
    pub lower: Option<f64>,
    pub upper: Option<f64>,
}

#[derive(Clone, Debug)]
pub(crate) struct Instrument {
    /// Unit of its readings in millimetres.
    pub unit: f64,
    pub resolution: f64,
    pub error_limit: f64,
    /// Growth of the error limit with the height, without a unit.
    pub error_growth: f64,
    pub repeatability: Option<f64>,
    pub probe: f64,
    pub probe_standard: f64,
}

#[derive(Clone, Debug)]
pub(crate) struct Orientation {
    pub number: u32,
    pub degrees: f64,
    /// Index of the face that carries the part.
    pub rest: Option<usize>,
    /// Height of the blocks; none where it is unknown.
    pub blocks: Option<f64>,
    pub zero: Zero,
    pub touches: bool,
    pub instrument: usize,
    pub find_angle: bool,
}

/// What reads zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Zero {
    Plate,
    Feature(usize),
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Piece {
    pub readings: Vec<Reading>,
    pub squareness: Vec<Squareness>,
}

/// An edge that was found out of square.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Squareness {
    /// Index of the orientation that stands on it.
    pub orientation: usize,
    /// The angle by which its +X or +Y end lies farther out.
    pub out: f64,
    /// Index of the orientation that stands on the edge it is compared with.
    pub against: usize,
}

/// What was read of one feature in one orientation, in millimetres.
#[derive(Clone, Debug)]
pub(crate) struct Reading {
    pub orientation: usize,
    pub feature: usize,
    pub zero: Option<Zero>,
    pub low: Vec<f64>,
    pub high: Vec<f64>,
    pub centre: Vec<f64>,
    pub size: Vec<f64>,
    pub face: Vec<f64>,
}

/// The file as it stands.
mod file {
    use serde::Deserialize;

    #[derive(Deserialize)]
    pub(super) struct Job {
        pub drawing: Drawing,
        pub plan: Plan,
        pub pieces: Vec<Piece>,
    }
    #[derive(Deserialize)]
    pub(super) struct Drawing {
        pub unit: String,
        #[serde(default)]
        pub datums: Vec<Datum>,
        #[serde(default)]
        pub features: Vec<Feature>,
        pub outline: Option<Outline>,
        pub standard: Option<super::Standard>,
        #[serde(default, alias = "relations")]
        pub lines: Vec<Line>,
    }
    #[derive(Deserialize)]
    pub(super) struct Outline {
        pub left: f64,
        pub bottom: f64,
        pub right: f64,
        pub top: f64,
    }
    #[derive(Deserialize)]
    pub(super) struct Datum {
        pub letter: String,
        pub feature: Option<String>,
        pub boundary: Option<f64>,
        pub pattern: Option<Pattern>,
    }
    #[derive(Deserialize)]
    pub(super) struct Pattern {
        pub kind: String,
        pub features: Vec<String>,
    }
    #[derive(Deserialize)]
    pub(super) struct Feature {
        pub number: String,
        pub kind: super::Kind,
        pub across: Option<String>,
        pub looks: Option<String>,
        pub x: Option<f64>,
        pub y: Option<f64>,
        pub size: Option<Size>,
        #[serde(default)]
        pub callouts: Vec<Callout>,
    }
    #[derive(Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Size {
        Limits { lower: f64, upper: f64 },
        Deviations { nominal: f64, lower: f64, upper: f64 },
    }
    #[derive(Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Callout {
        Position(Position),
    }
    #[derive(Deserialize)]
    pub(super) struct Position {
        pub tolerance: f64,
        pub along: Option<String>,
        #[serde(default)]
        pub modifier: super::Modifier,
        #[serde(default)]
        pub datums: Vec<String>,
        #[serde(default)]
        pub lower: Vec<Segment>,
        #[serde(default)]
        pub pattern: String,
        /// Up to version 3.
        #[serde(default)]
        pub separate: bool,
        #[serde(default)]
        pub together: super::Together,
    }
    #[derive(Deserialize)]
    pub(super) struct Segment {
        pub tolerance: f64,
        #[serde(default)]
        pub together: super::Together,
        #[serde(default)]
        pub datums: Vec<String>,
    }
    #[derive(Deserialize)]
    pub(super) struct Line {
        pub asks: Asks,
    }
    #[derive(Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Asks {
        Distance {
            from: Option<String>,
            to: String,
            along: String,
            limits: Limits,
        },
        Wall {
            between: [String; 2],
            limits: Limits,
        },
        Coaxiality {
            of: String,
            to: String,
            tolerance: f64,
            #[serde(default)]
            modifier: super::Modifier,
        },
        BoltCircle {
            of: Vec<String>,
            diameter: Limits,
        },
        PolarPosition {
            of: String,
            centre: Option<String>,
            radial: f64,
            around: f64,
        },
        #[serde(untagged)]
        Other(serde_json::Value),
    }
    #[derive(Clone, Copy, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Limits {
        Within(Ends),
        AtLeast(f64),
        AtMost(f64),
    }
    #[derive(Clone, Copy, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Ends {
        Limits { lower: f64, upper: f64 },
        Deviations { nominal: f64, lower: f64, upper: f64 },
    }
    #[derive(Deserialize)]
    pub(super) struct Plan {
        pub instruments: Vec<Instrument>,
        pub orientations: Vec<Orientation>,
        #[serde(default)]
        pub conditions: Conditions,
    }
    #[derive(Default, Deserialize)]
    pub(super) struct Conditions {
        pub plate_flatness: Option<f64>,
        pub squareness: Option<Slope>,
        pub rest_standard: Option<f64>,
    }
    #[derive(Deserialize)]
    pub(super) struct Slope {
        pub deviation: f64,
        pub over: f64,
    }
    #[derive(Deserialize)]
    pub(super) struct Instrument {
        pub unit: String,
        pub resolution: f64,
        pub error_limit: Option<f64>,
        pub error_growth: Option<f64>,
        pub repeatability: Option<f64>,
        #[serde(default)]
        pub probe: Probe,
        pub probe_standard: Option<f64>,
    }
    #[derive(Clone, Copy, Default, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Probe {
        #[default]
        AppliedByGauge,
        Constant(f64),
    }
    #[derive(Deserialize)]
    pub(super) struct Orientation {
        pub number: u32,
        pub up_degrees: f64,
        #[serde(default)]
        pub rest: Rest,
        #[serde(default)]
        pub zero: Zero,
        #[serde(default)]
        pub taken: String,
        #[serde(default)]
        pub instrument: usize,
        #[serde(default)]
        pub find_angle: bool,
    }
    #[derive(Default, Deserialize)]
    pub(super) struct Rest {
        pub face: Option<String>,
        pub blocks: Option<Blocks>,
    }
    #[derive(Deserialize)]
    #[serde(untagged)]
    pub(super) enum Blocks {
        High(f64),
        Unknown(String),
    }
    #[derive(Clone, Default, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub(super) enum Zero {
        #[default]
        Plate,
        Feature(String),
    }
    #[derive(Deserialize)]
    pub(super) struct Piece {
        #[serde(default)]
        pub readings: Vec<Reading>,
        #[serde(default)]
        pub squareness: Vec<Squareness>,
    }
    #[derive(Deserialize)]
    pub(super) struct Squareness {
        pub orientation: u32,
        pub farther_out: f64,
        pub over: f64,
        pub against: Option<u32>,
    }
    #[derive(Deserialize)]
    pub(super) struct Reading {
        pub orientation: u32,
        pub feature: String,
        pub zero: Option<Zero>,
        #[serde(default)]
        pub low: Vec<f64>,
        #[serde(default)]
        pub high: Vec<f64>,
        #[serde(default)]
        pub centre: Vec<f64>,
        #[serde(default)]
        pub size: Vec<f64>,
        #[serde(default)]
        pub face: Vec<f64>,
    }
}

fn unit_of(name: &str) -> f64 {
    match name {
        "mm" => 1.0,
        "inch" => 25.4,
        other => panic!("unit {other}"),
    }
}

fn axis_of(name: &str) -> usize {
    match name {
        "x" => 0,
        "y" => 1,
        other => panic!("axis {other}"),
    }
}

/// Reads a job file.
pub(crate) fn read(text: &str) -> Document {
    let job: file::Job = serde_json::from_str(text).expect("a job");
    let u = unit_of(&job.drawing.unit);
    let index: HashMap<&str, usize> =
        job.drawing.features.iter().enumerate().map(|(i, f)| (f.number.as_str(), i)).collect();
    let at = |number: &String| *index.get(number.as_str()).expect("a feature of the drawing");
    let refs = |list: &[String]| list.iter().map(|d| DatumRef::read(d)).collect::<Vec<_>>();
    let limits = |l: file::Limits| match l {
        file::Limits::Within(file::Ends::Limits { lower, upper }) => {
            Limits { lower: Some(lower * u), upper: Some(upper * u) }
        }
        file::Limits::Within(file::Ends::Deviations { nominal, lower, upper }) => {
            Limits { lower: Some((nominal + lower) * u), upper: Some((nominal + upper) * u) }
        }
        file::Limits::AtLeast(lower) => Limits { lower: Some(lower * u), upper: None },
        file::Limits::AtMost(upper) => Limits { lower: None, upper: Some(upper * u) },
    };
    let zero = |z: &file::Zero| match z {
        file::Zero::Plate => Zero::Plate,
        file::Zero::Feature(number) => Zero::Feature(at(number)),
    };
    let features = job
        .drawing
        .features
        .iter()
        .map(|f| {
            let (axis, sign) = match (&f.across, f.looks.as_deref()) {
                (Some(across), _) => (Some(axis_of(across)), 1.0),
                (None, Some(looks)) => {
                    (Some(axis_of(&looks[1..])), if looks.starts_with('+') { 1.0 } else { -1.0 })
                }
                (None, None) => (None, 1.0),
            };
            Feature {
                number: f.number.clone(),
                kind: f.kind,
                axis,
                sign,
                basic: [f.x.unwrap_or(0.0) * u, f.y.unwrap_or(0.0) * u],
                limits: f.size.as_ref().map(|s| match s {
                    file::Size::Limits { lower, upper } => [lower * u, upper * u],
                    file::Size::Deviations { nominal, lower, upper } => {
                        [nominal * u + lower * u, nominal * u + upper * u]
                    }
                }),
                callouts: f
                    .callouts
                    .iter()
                    .map(|file::Callout::Position(p)| Callout {
                        segments: std::iter::once(Segment {
                            tolerance: p.tolerance * u,
                            together: if p.separate { Together::Separate } else { p.together },
                            datums: refs(&p.datums),
                        })
                        .chain(p.lower.iter().map(|s| Segment {
                            tolerance: s.tolerance * u,
                            together: s.together,
                            datums: refs(&s.datums),
                        }))
                        .collect(),
                        along: p.along.as_deref().map(axis_of),
                        modifier: p.modifier,
                        pattern: p.pattern.clone(),
                    })
                    .collect(),
            }
        })
        .collect();
    let orientation = |number: u32| {
        job.plan.orientations.iter().position(|o| o.number == number).expect("orientation")
    };
    let instruments: Vec<Instrument> = job
        .plan
        .instruments
        .iter()
        .map(|i| {
            let unit = unit_of(&i.unit);
            Instrument {
                unit,
                resolution: i.resolution * unit,
                error_limit: i.error_limit.unwrap_or(0.0) * unit,
                error_growth: i.error_growth.unwrap_or(0.0) * 1e-6,
                repeatability: i.repeatability.map(|r| r * unit),
                probe: match i.probe {
                    file::Probe::AppliedByGauge => 0.0,
                    file::Probe::Constant(k) => k * unit,
                },
                probe_standard: i.probe_standard.unwrap_or(0.0) * unit,
            }
        })
        .collect();
    let pieces = job
        .pieces
        .iter()
        .map(|p| Piece {
            readings: p
                .readings
                .iter()
                .map(|r| {
                    let k = orientation(r.orientation);
                    let unit = instruments[job.plan.orientations[k].instrument].unit;
                    let mm = |v: &[f64]| v.iter().map(|x| x * unit).collect::<Vec<_>>();
                    Reading {
                        orientation: k,
                        feature: at(&r.feature),
                        zero: r.zero.as_ref().map(zero),
                        low: mm(&r.low),
                        high: mm(&r.high),
                        centre: mm(&r.centre),
                        size: mm(&r.size),
                        face: mm(&r.face),
                    }
                })
                .collect(),
            squareness: p
                .squareness
                .iter()
                .map(|s| Squareness {
                    orientation: orientation(s.orientation),
                    out: libm::atan2(s.farther_out, s.over),
                    against: s.against.map_or(0, orientation),
                })
                .collect(),
        })
        .collect();
    Document {
        features,
        datums: job
            .drawing
            .datums
            .iter()
            .map(|d| Datum {
                letter: d.letter.clone(),
                features: d
                    .feature
                    .iter()
                    .chain(d.pattern.iter().flat_map(|p| &p.features))
                    .map(at)
                    .collect(),
                pattern: d.pattern.as_ref().map(|p| match p.kind.as_str() {
                    "circle" => DatumPattern::Circle,
                    _ => DatumPattern::BestFit,
                }),
                boundary: d.boundary.map(|b| b * u),
            })
            .collect(),
        outline: job
            .drawing
            .outline
            .as_ref()
            .map(|o| Outline { low: [o.left * u, o.bottom * u], high: [o.right * u, o.top * u] }),
        relations: job
            .drawing
            .lines
            .iter()
            .map(|l| match &l.asks {
                file::Asks::Distance { from, to, along, limits: l } => Relation::Distance {
                    from: from.as_ref().map(at),
                    to: at(to),
                    along: (along != "straight").then(|| axis_of(along)),
                    limits: limits(*l),
                },
                file::Asks::Wall { between, limits: l } => Relation::Wall {
                    between: [at(&between[0]), at(&between[1])],
                    limits: limits(*l),
                },
                file::Asks::Coaxiality { of, to, tolerance, modifier } => Relation::Coaxiality {
                    of: at(of),
                    to: at(to),
                    tolerance: tolerance * u,
                    modifier: *modifier,
                },
                file::Asks::BoltCircle { of, diameter } => Relation::BoltCircle {
                    of: of.iter().map(at).collect(),
                    limits: limits(*diameter),
                },
                file::Asks::PolarPosition { of, centre, radial, around } => Relation::Polar {
                    of: at(of),
                    centre: centre.as_ref().map(at),
                    radial: radial * u,
                    around: around * u,
                },
                file::Asks::Other(_) => Relation::Other,
            })
            .collect(),
        orientations: job
            .plan
            .orientations
            .iter()
            .map(|o| Orientation {
                number: o.number,
                degrees: o.up_degrees,
                rest: o.rest.face.as_ref().map(at),
                blocks: match o.rest.blocks {
                    None => Some(0.0),
                    Some(file::Blocks::High(h)) => Some(h * instruments[o.instrument].unit),
                    Some(file::Blocks::Unknown(_)) => None,
                },
                zero: zero(&o.zero),
                touches: o.taken != "centre_and_size",
                instrument: o.instrument,
                find_angle: o.find_angle,
            })
            .collect(),
        instruments,
        rest_standard: job.plan.conditions.rest_standard.map(|r| r * u),
        standard: job.drawing.standard.unwrap_or_default(),
        plate_flatness: job.plan.conditions.plate_flatness.unwrap_or(0.0) * u,
        squareness_limit: job
            .plan
            .conditions
            .squareness
            .as_ref()
            .map_or(0.0, |s| libm::atan2(s.deviation, s.over)),
        pieces,
    }
}

impl Document {
    /// The face that carries the part in an orientation: the one that is named, or else the one that
    /// the drawing has at the edge of the outline that looks down.
    pub(crate) fn carrying_face(&self, orientation: usize) -> Option<usize> {
        let o = &self.orientations[orientation];
        if o.rest.is_some() {
            return o.rest;
        }
        o.blocks?;
        let outline = self.outline.as_ref()?;
        let up = direction(o.degrees);
        self.features.iter().position(|f| {
            let (Kind::Face, Some(a)) = (f.kind, f.axis) else { return false };
            let edge = if f.sign > 0.0 { outline.high[a] } else { outline.low[a] };
            (up[a] + f.sign).abs() < 1e-9 && (f.basic[a] - edge).abs() < 1e-9
        })
    }

    /// Index of the datum with this letter.
    pub(crate) fn datum(&self, letter: &str) -> Option<&Datum> {
        self.datums.iter().find(|d| d.letter == letter)
    }
}

/// The unit vector at an angle in degrees, exact at whole quarter turns.
pub(crate) fn direction(degrees: f64) -> Pair {
    let quarter = degrees.rem_euclid(360.0) / 90.0;
    if (quarter - quarter.round()).abs() < 1e-11 {
        return match (quarter.round() as i64).rem_euclid(4) {
            0 => [1.0, 0.0],
            1 => [0.0, 1.0],
            2 => [-1.0, 0.0],
            _ => [0.0, -1.0],
        };
    }
    let a = degrees.to_radians();
    [libm::cos(a), libm::sin(a)]
}

pub(crate) fn dot(a: Pair, b: Pair) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// A vector turned counter-clockwise by an angle in radians.
pub(crate) fn turned(v: Pair, by: f64) -> Pair {
    let (s, c) = (libm::sin(by), libm::cos(by));
    [c * v[0] - s * v[1], s * v[0] + c * v[1]]
}
