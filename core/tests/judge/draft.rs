//! A job in a form that is easy to make up, turn over and take apart; only this file knows how a job file
//! is written. Lengths in millimetres.

use super::document::{Kind, Modifier, Pair, Standard, Together, direction};
use serde_json::{Map, Value, json};

#[derive(Clone, Debug)]
pub(crate) struct Draft {
    pub drawing_inch: bool,
    pub gauge_inch: bool,
    pub outline: Option<[Pair; 2]>,
    pub datums: Vec<DraftDatum>,
    pub features: Vec<DraftFeature>,
    pub relations: Vec<DraftRelation>,
    pub gauge: Gauge,
    pub plate_flatness: f64,
    pub rest_standard: Option<f64>,
    pub standard: Option<Standard>,
    pub orientations: Vec<DraftOrientation>,
    pub readings: Vec<DraftReading>,
    /// Number of an orientation, how far the edge under it is turned counter-clockwise, and against the
    /// edge under which orientation; none: the first one of the plan.
    pub squareness: Vec<(u32, f64, Option<u32>)>,
}

#[derive(Clone, Debug)]
pub(crate) struct Gauge {
    pub resolution: f64,
    pub error_limit: f64,
    pub error_growth: f64,
    pub repeatability: Option<f64>,
    pub probe: f64,
}

#[derive(Clone, Debug)]
pub(crate) struct DraftDatum {
    pub letter: String,
    pub carriers: Vec<String>,
    /// `circle` or `best_fit`, where there are several carriers.
    pub pattern: Option<&'static str>,
    pub boundary: Option<f64>,
}

#[derive(Clone, Debug)]
pub(crate) struct DraftFeature {
    pub number: String,
    pub kind: Kind,
    /// The axis across a slot or tab, or of a face's normal.
    pub axis: Option<usize>,
    /// Where a face looks along that axis.
    pub sign: f64,
    pub basic: Pair,
    pub limits: Option<[f64; 2]>,
    pub callouts: Vec<DraftCallout>,
}

#[derive(Clone, Debug)]
pub(crate) struct DraftCallout {
    pub tolerance: f64,
    pub along: Option<usize>,
    pub modifier: Modifier,
    pub datums: Vec<String>,
    pub lower: Vec<(f64, Vec<String>)>,
    pub pattern: String,
    pub together: Together,
    pub lower_together: Together,
}

/// Whether the core reads what version 4 of the job added: standard, judged together, translation
/// modifier, squareness against another orientation, uncertainty of a rest.
pub(crate) const VERSION_4: bool = quarterturn_core::job::VERSION >= 4;

fn together(t: Together) -> Value {
    match t {
        Together::Default => json!("default"),
        Together::Separate => json!("separate"),
        Together::Combined => json!("combined"),
        Together::Simultaneous(number) => json!({ "simultaneous": number }),
    }
}

#[derive(Clone, Debug)]
pub(crate) enum DraftRelation {
    Distance { from: Option<String>, to: String, along: Option<usize>, limits: Pair },
    Wall { between: [String; 2], least: f64 },
    Coaxiality { of: String, to: String, tolerance: f64, modifier: Modifier },
    BoltCircle { of: Vec<String>, limits: Pair },
    Polar { of: String, centre: Option<String>, radial: f64, around: f64 },
}

#[derive(Clone, Debug)]
pub(crate) struct DraftOrientation {
    pub number: u32,
    pub degrees: f64,
    pub rest: Option<String>,
    pub blocks: Option<f64>,
    /// The feature that reads zero; none: the plate.
    pub zero: Option<String>,
    pub touches: bool,
}

#[derive(Clone, Debug, Default)]
pub(crate) struct DraftReading {
    pub orientation: u32,
    pub feature: String,
    /// Its own zero: none: that of the orientation; `Some(None)`: the plate.
    pub zero: Option<Option<String>>,
    pub low: Vec<f64>,
    pub high: Vec<f64>,
    pub centre: Vec<f64>,
    pub size: Vec<f64>,
    pub face: Vec<f64>,
}

fn letter(a: usize) -> &'static str {
    if a == 0 { "x" } else { "y" }
}

fn put(map: &mut Map<String, Value>, name: &str, value: Value) {
    map.insert(name.to_owned(), value);
}

fn modifier(m: Modifier) -> &'static str {
    match m {
        Modifier::None => "none",
        Modifier::Mmc => "mmc",
        Modifier::Lmc => "lmc",
    }
}

fn zero(z: Option<&String>) -> Value {
    z.map_or(json!("plate"), |f| json!({ "feature": f }))
}

impl Draft {
    /// The text of the job file.
    pub(crate) fn text(&self) -> String {
        serde_json::to_string_pretty(&self.job()).expect("a job is JSON")
    }

    fn job(&self) -> Value {
        let u = if self.drawing_inch { 25.4 } else { 1.0 };
        let g = if self.gauge_inch { 25.4 } else { 1.0 };
        let unit = |inch: bool| if inch { "inch" } else { "mm" };
        let mut drawing = Map::new();
        put(&mut drawing, "unit", json!(unit(self.drawing_inch)));
        if let Some(standard) = self.standard.filter(|_| VERSION_4) {
            let name = match standard {
                Standard::Asme2018 => "asme_y14.5_2018",
                Standard::Asme2009 => "asme_y14.5_2009",
                Standard::IsoGps => "iso_gps",
            };
            put(&mut drawing, "standard", json!(name));
        }
        put(&mut drawing, "decimals", json!(if self.drawing_inch { 4 } else { 3 }));
        put(&mut drawing, "part_number", json!("random"));
        put(&mut drawing, "datums", self.datums.iter().map(|d| self.datum(d, u)).collect());
        put(&mut drawing, "features", self.features.iter().map(|f| feature(f, u)).collect());
        if let Some([low, high]) = self.outline {
            put(
                &mut drawing,
                "outline",
                json!({ "left": low[0] / u, "bottom": low[1] / u, "right": high[0] / u, "top": high[1] / u }),
            );
        }
        let lines = self
            .relations
            .iter()
            .enumerate()
            .map(|(i, r)| json!({ "number": format!("L{}", i + 1), "asks": relation(r, u) }));
        put(&mut drawing, "lines", lines.collect());
        let mut instrument = Map::new();
        put(&mut instrument, "name", json!("gauge"));
        put(&mut instrument, "unit", json!(unit(self.gauge_inch)));
        put(&mut instrument, "resolution", json!(self.gauge.resolution / g));
        put(&mut instrument, "error_limit", json!(self.gauge.error_limit / g));
        if self.gauge.error_growth > 0.0 {
            put(&mut instrument, "error_growth", json!(self.gauge.error_growth * 1e6));
        }
        if let Some(s) = self.gauge.repeatability {
            put(&mut instrument, "repeatability", json!(s / g));
        }
        let probe = if self.gauge.probe == 0.0 {
            json!("applied_by_gauge")
        } else {
            json!({ "constant": self.gauge.probe / g })
        };
        put(&mut instrument, "probe", probe);
        let mut plan = Map::new();
        put(&mut plan, "instruments", json!([instrument]));
        let orientations = self.orientations.iter().map(|o| {
            let mut rest = Map::new();
            if let Some(face) = &o.rest {
                put(&mut rest, "face", json!(face));
            }
            put(&mut rest, "blocks", o.blocks.map_or(json!("unknown"), |s| json!(s / g)));
            json!({
                "number": o.number,
                "up_degrees": o.degrees,
                "rest": rest,
                "zero": zero(o.zero.as_ref()),
                "taken": if o.touches { "touches" } else { "centre_and_size" },
                "instrument": 0,
            })
        });
        put(&mut plan, "orientations", orientations.collect());
        put(&mut plan, "decision_rule", json!("simple_acceptance"));
        let mut conditions = Map::new();
        if self.plate_flatness > 0.0 {
            put(&mut conditions, "plate_flatness", json!(self.plate_flatness / u));
        }
        if let Some(s) = self.rest_standard.filter(|_| VERSION_4) {
            put(&mut conditions, "rest_standard", json!(s / u));
        }
        put(&mut plan, "conditions", Value::Object(conditions));
        let squareness = self.squareness.iter().map(|(number, turn, against)| {
            let o = self.orientations.iter().find(|o| o.number == *number).expect("an orientation");
            let up = direction(o.degrees);
            // Turned counter-clockwise, the +Y end of a left edge or the +X end of a top edge lies farther
            // out, of a right or a bottom edge farther in.
            let sign = if up[0] > 0.5 || up[1] < -0.5 { 1.0 } else { -1.0 };
            let mut s = json!({
                "orientation": number,
                "farther_out": sign * 60.0 * libm::tan(*turn) / u,
                "over": 60.0 / u,
            });
            if let Some(against) = against.filter(|_| VERSION_4) {
                s["against"] = json!(against);
            }
            s
        });
        let readings = self.readings.iter().map(|r| {
            let mut out = Map::new();
            put(&mut out, "orientation", json!(r.orientation));
            put(&mut out, "feature", json!(r.feature));
            if let Some(z) = &r.zero {
                put(&mut out, "zero", zero(z.as_ref()));
            }
            for (name, values) in [
                ("low", &r.low),
                ("high", &r.high),
                ("centre", &r.centre),
                ("size", &r.size),
                ("face", &r.face),
            ] {
                if !values.is_empty() {
                    put(&mut out, name, values.iter().map(|v| json!(v / g)).collect());
                }
            }
            Value::Object(out)
        });
        let piece = json!({
            "serial": "1",
            "squareness": squareness.collect::<Vec<_>>(),
            "readings": readings.collect::<Vec<_>>(),
        });
        json!({
            "format": "quarterturn job",
            "version": if VERSION_4 { 4 } else { 3 },
            "drawing": drawing,
            "plan": plan,
            "pieces": [piece],
        })
    }

    fn datum(&self, d: &DraftDatum, u: f64) -> Value {
        let mut out = Map::new();
        put(&mut out, "letter", json!(d.letter));
        match (d.pattern, d.carriers.as_slice()) {
            (Some(kind), several) => {
                put(&mut out, "pattern", json!({ "kind": kind, "features": several }));
            }
            (None, [one]) => put(&mut out, "feature", json!(one)),
            (None, _) => {}
        }
        if let Some(b) = d.boundary {
            put(&mut out, "boundary", json!(b / u));
        }
        Value::Object(out)
    }
}

fn feature(f: &DraftFeature, u: f64) -> Value {
    let mut out = Map::new();
    put(&mut out, "number", json!(f.number));
    let kind = match f.kind {
        Kind::Hole => "hole",
        Kind::Boss => "boss",
        Kind::Slot => "slot",
        Kind::Tab => "tab",
        Kind::Face => "face",
    };
    put(&mut out, "kind", json!(kind));
    if let Some(a) = f.axis {
        if f.kind == Kind::Face {
            let side = format!("{}{}", if f.sign > 0.0 { '+' } else { '-' }, letter(a));
            put(&mut out, "looks", json!(side));
            put(&mut out, letter(a), json!(f.basic[a] / u));
        } else {
            put(&mut out, "across", json!(letter(a)));
        }
    }
    if f.kind != Kind::Face {
        put(&mut out, "x", json!(f.basic[0] / u));
        put(&mut out, "y", json!(f.basic[1] / u));
    }
    if let Some([lower, upper]) = f.limits {
        put(&mut out, "size", json!({ "limits": { "lower": lower / u, "upper": upper / u } }));
    }
    let callouts: Vec<Value> = f
        .callouts
        .iter()
        .map(|c| {
            let mut p = Map::new();
            put(&mut p, "tolerance", json!(c.tolerance / u));
            if let Some(a) = c.along {
                put(&mut p, "along", json!(letter(a)));
            }
            put(&mut p, "modifier", json!(modifier(c.modifier)));
            put(&mut p, "datums", json!(c.datums));
            let lower = c.lower.iter().map(|(t, d)| {
                let mut s = json!({ "tolerance": t / u, "datums": d });
                if VERSION_4 {
                    s["together"] = together(c.lower_together);
                }
                s
            });
            put(&mut p, "lower", lower.collect());
            put(&mut p, "pattern", json!(c.pattern));
            if VERSION_4 {
                put(&mut p, "together", together(c.together));
            } else {
                put(&mut p, "separate", json!(c.together == Together::Separate));
            }
            json!({ "position": p })
        })
        .collect();
    put(&mut out, "callouts", json!(callouts));
    Value::Object(out)
}

fn relation(r: &DraftRelation, u: f64) -> Value {
    let within =
        |l: &Pair| json!({ "within": { "limits": { "lower": l[0] / u, "upper": l[1] / u } } });
    match r {
        DraftRelation::Distance { from, to, along, limits } => {
            let mut d = Map::new();
            if let Some(from) = from {
                put(&mut d, "from", json!(from));
            }
            put(&mut d, "to", json!(to));
            put(&mut d, "along", json!(along.map_or("straight", letter)));
            put(&mut d, "limits", within(limits));
            json!({ "distance": d })
        }
        DraftRelation::Wall { between, least } => {
            json!({ "wall": { "between": between, "limits": { "at_least": least / u } } })
        }
        DraftRelation::Coaxiality { of, to, tolerance, modifier: m } => json!({ "coaxiality": {
            "of": of, "to": to, "tolerance": tolerance / u, "modifier": modifier(*m),
        } }),
        DraftRelation::BoltCircle { of, limits } => {
            json!({ "bolt_circle": { "of": of, "diameter": within(limits) } })
        }
        DraftRelation::Polar { of, centre, radial, around } => {
            let mut p = Map::new();
            put(&mut p, "of", json!(of));
            if let Some(centre) = centre {
                put(&mut p, "centre", json!(centre));
            }
            put(&mut p, "radial", json!(radial / u));
            put(&mut p, "around", json!(around / u));
            json!({ "polar_position": p })
        }
    }
}
