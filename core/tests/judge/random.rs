//! Random jobs: a true part is made up, then touched.

use super::document::{Kind, Modifier, Pair, Standard, Together, direction, dot, turned};
use super::draft::{
    Draft, DraftCallout, DraftDatum, DraftFeature, DraftOrientation, DraftReading, DraftRelation,
    Gauge, VERSION_4,
};
use super::spread::Spread;

/// What kind of job a seed makes, for tables and for the choice of properties.
#[derive(Clone, Debug, Default)]
pub(crate) struct Traits {
    /// No noise and no rounding: redundant facts agree.
    pub exact: bool,
    pub words: Vec<&'static str>,
}

/// The part as it really is, in coordinates whose axes are those of the first orientation.
struct Truth {
    point: Vec<Pair>,
    /// Normals of faces into the material and their distances from the origin.
    normal: Vec<Pair>,
    offset: Vec<f64>,
    size: Vec<f64>,
    /// How far each edge is turned: left, right, bottom, top by axis and sign.
    lean: [[f64; 2]; 2],
}

struct Maker {
    r: Spread,
    traits: Traits,
}

/// The job of a seed.
pub(crate) fn job(seed: u64) -> (Draft, Traits) {
    let mut m =
        Maker { r: Spread(seed.wrapping_mul(0x5851_F42D_4C95_7F2D)), traits: Traits::default() };
    let draft = m.make();
    (draft, m.traits)
}

fn side(sign: f64) -> usize {
    usize::from(sign > 0.0)
}

impl Maker {
    fn note(&mut self, word: &'static str) {
        self.traits.words.push(word);
    }

    fn outline(&mut self) -> [Pair; 2] {
        let size = [self.r.step(60.0, 160.0, 5.0), self.r.step(40.0, 120.0, 5.0)];
        // The drawing's origin: at a corner, in the middle, or anywhere.
        let part = match self.r.below(6) {
            0 | 1 => [0.0, 0.0],
            2 => [0.0, 1.0],
            3 => [1.0, 1.0],
            4 => [0.5, 0.5],
            _ => [self.r.step(-0.5, 1.5, 0.1), self.r.step(-0.5, 1.5, 0.1)],
        };
        let low = [-(size[0] * part[0]).round(), -(size[1] * part[1]).round()];
        [low, [low[0] + size[0], low[1] + size[1]]]
    }

    fn face(&self, number: &str, outline: &[Pair; 2], axis: usize, sign: f64) -> DraftFeature {
        let mut basic = [0.0; 2];
        basic[axis] = outline[side(sign)][axis];
        DraftFeature {
            number: number.to_owned(),
            kind: Kind::Face,
            axis: Some(axis),
            sign,
            basic,
            limits: None,
            callouts: Vec::new(),
        }
    }

    fn sized(&mut self, number: &str, kind: Kind, basic: Pair, limits: Pair) -> DraftFeature {
        let axis = (!kind.is_round()).then(|| self.r.below(2));
        DraftFeature {
            number: number.to_owned(),
            kind,
            axis,
            sign: 1.0,
            basic,
            limits: Some(limits),
            callouts: Vec::new(),
        }
    }

    fn limits(&mut self) -> Pair {
        let lower = self.r.step(3.0, 20.0, 0.5);
        let width = self.r.pick(&[0.02, 0.05, 0.1, 0.2]);
        [lower, lower + width]
    }

    fn place(&mut self, outline: &[Pair; 2]) -> Pair {
        [0, 1].map(|a| self.r.step(outline[0][a] + 8.0, outline[1][a] - 8.0, 1.0))
    }

    /// Datum features and letters: two of the plane, in any mixture.
    fn datums(&mut self, outline: &[Pair; 2]) -> (Vec<DraftFeature>, Vec<DraftDatum>) {
        let mut features = Vec::new();
        let mut datums = vec![DraftDatum {
            letter: "A".to_owned(),
            carriers: Vec::new(),
            pattern: None,
            boundary: None,
        }];
        let axis = self.r.below(2);
        let signs = [self.r.pick(&[-1.0, 1.0]), self.r.pick(&[-1.0, 1.0])];
        let holes = |m: &mut Self, features: &mut Vec<DraftFeature>, letter: &str, at: Pair| {
            let kind = if m.r.chance(0.8) { Kind::Hole } else { Kind::Boss };
            let limits = m.limits();
            let f = m.sized(letter, kind, at, limits);
            features.push(f);
        };
        let far = |m: &mut Self, from: Pair| loop {
            let p = m.place(outline);
            if libm::hypot(p[0] - from[0], p[1] - from[1]) > 20.0 {
                break p;
            }
        };
        match self.r.below(10) {
            0..=3 => {
                self.note("face, face");
                features.push(self.face("B", outline, axis, signs[0]));
                features.push(self.face("C", outline, 1 - axis, signs[1]));
            }
            4 => {
                self.note("face, hole");
                features.push(self.face("B", outline, axis, signs[0]));
                let at = self.place(outline);
                holes(self, &mut features, "C", at);
            }
            5 => {
                self.note("hole, face");
                let at = self.place(outline);
                holes(self, &mut features, "B", at);
                features.push(self.face("C", outline, axis, signs[0]));
            }
            6 => {
                self.note("hole, slot");
                let at = self.place(outline);
                holes(self, &mut features, "B", at);
                let to = far(self, at);
                let limits = self.limits();
                let kind = self.r.pick(&[Kind::Slot, Kind::Slot, Kind::Tab]);
                let mut f = self.sized("C", kind, to, limits);
                // Across the longer of the two distances, so that it has a lever.
                f.axis = Some(usize::from((to[0] - at[0]).abs() > (to[1] - at[1]).abs()));
                features.push(f);
            }
            _ => {
                self.note("hole, hole");
                let at = self.place(outline);
                holes(self, &mut features, "B", at);
                let to = far(self, at);
                // Mostly in a row, as drawings have it.
                let to = match self.r.below(3) {
                    0 if (to[0] - at[0]).abs() > 15.0 => [to[0], at[1]],
                    1 if (to[1] - at[1]).abs() > 15.0 => [at[0], to[1]],
                    _ => to,
                };
                holes(self, &mut features, "C", to);
            }
        }
        for f in &features {
            datums.push(DraftDatum {
                letter: f.number.clone(),
                carriers: vec![f.number.clone()],
                pattern: None,
                boundary: None,
            });
        }
        // A round datum made of several holes, or with a boundary that the drawing states.
        let first_is_round = features[0].kind.is_round();
        if first_is_round && self.r.chance(0.15) {
            let kind = self.r.pick(&["circle", "best_fit"]);
            self.note(if kind == "circle" { "datum circle" } else { "datum fitted" });
            let centre = features[0].basic;
            let limits = self.limits();
            let count = if kind == "circle" { 3 + self.r.below(3) } else { 2 + self.r.below(3) };
            let begin = self.r.between(0.0, 1.0);
            for i in 0..count {
                let angle = begin + std::f64::consts::TAU * i as f64 / count as f64;
                let at = [centre[0] + 12.0 * libm::cos(angle), centre[1] + 12.0 * libm::sin(angle)];
                let number = format!("d{}", i + 1);
                let f = self.sized(&number, Kind::Hole, at, limits);
                features.push(f);
                datums[1].carriers.push(number);
            }
            datums[1].carriers.remove(0);
            datums[1].pattern = Some(kind);
            features.remove(0);
        } else {
            for (f, d) in features.iter().zip(&mut datums[1..]) {
                if let (Some([lower, upper]), true) = (f.limits, self.r.chance(0.1)) {
                    self.note("boundary stated");
                    let out = if f.kind.is_internal() { lower - 0.03 } else { upper + 0.03 };
                    d.boundary = Some(out);
                }
            }
        }
        (features, datums)
    }

    /// The compartments of a callout.
    fn frame(&mut self, features: &[DraftFeature], datums: &[DraftDatum]) -> Vec<String> {
        let mark = |m: &mut Self, d: &DraftDatum| {
            let carrier = features.iter().find(|f| f.number == d.carriers[0]).unwrap();
            let plain = carrier.kind == Kind::Face || d.pattern.is_some();
            let mark = if plain { "" } else { m.r.pick(&["", "", "(M)", "(M)", "(L)"]) };
            if !mark.is_empty() {
                m.note("datum at its boundary");
            }
            let translation = if VERSION_4 && m.r.chance(0.1) {
                m.note("translation modifier");
                "\u{25b7}"
            } else {
                ""
            };
            format!("{}{mark}{translation}", d.letter)
        };
        let mut out = vec!["A".to_owned()];
        match self.r.below(12) {
            0 => {
                self.note("A | B");
                out.push(mark(self, &datums[1]));
            }
            1 => {
                self.note("A | C | B");
                out.push(mark(self, &datums[2]));
                out.push(mark(self, &datums[1]));
            }
            2 if self.r.chance(0.5) => self.note("A alone"),
            _ => {
                out.push(mark(self, &datums[1]));
                out.push(mark(self, &datums[2]));
            }
        }
        out
    }

    fn callouts(
        &mut self,
        datum_features: &[DraftFeature],
        datums: &[DraftDatum],
        word: &str,
    ) -> Vec<DraftCallout> {
        let frame = self.frame(datum_features, datums);
        let modifier = self.r.pick(&[Modifier::None, Modifier::Mmc, Modifier::Mmc, Modifier::Lmc]);
        let tolerance: f64 = self.r.pick(&[0.0, 0.02, 0.05, 0.1, 0.1, 0.2, 0.3]);
        let tolerance = if modifier == Modifier::None { tolerance.max(0.02) } else { tolerance };
        let plain = |letters: &[String]| -> Vec<String> {
            letters.iter().map(|d| d[..1].to_owned()).collect()
        };
        let one = DraftCallout {
            tolerance,
            along: None,
            modifier,
            datums: frame.clone(),
            lower: Vec::new(),
            pattern: word.to_owned(),
            together: Together::Default,
            lower_together: Together::Default,
        };
        let one = if VERSION_4 && self.r.chance(0.15) {
            self.note("judged together as marked");
            let marks = [
                Together::Separate,
                Together::Combined,
                Together::Simultaneous(None),
                Together::Simultaneous(Some(1)),
            ];
            DraftCallout {
                together: self.r.pick(&marks),
                lower_together: self.r.pick(&marks),
                ..one
            }
        } else {
            one
        };
        match self.r.below(12) {
            0 | 1 => {
                self.note("composite");
                let depth = 1 + self.r.below(frame.len());
                let lower = vec![(tolerance * 0.5 + 0.01, plain(&frame[..depth]))];
                vec![DraftCallout { lower, ..one }]
            }
            2 => {
                self.note("single segments");
                let second = DraftCallout {
                    tolerance: tolerance * 0.5 + 0.01,
                    datums: frame[..1 + self.r.below(frame.len())].to_vec(),
                    ..one.clone()
                };
                vec![one, second]
            }
            3 => {
                self.note("one axis each");
                let x = DraftCallout { along: Some(0), ..one.clone() };
                let y = DraftCallout { along: Some(1), tolerance: tolerance + 0.05, ..one };
                vec![x, y]
            }
            4 => {
                self.note("separate");
                vec![DraftCallout { together: Together::Separate, ..one }]
            }
            _ => vec![one],
        }
    }

    fn orientations(
        &mut self,
        features: &[DraftFeature],
        outline: &[Pair; 2],
    ) -> Vec<DraftOrientation> {
        let mut degrees = vec![self.r.pick(&[0.0, 180.0]), self.r.pick(&[90.0, 270.0])];
        let count = self.r.pick(&[2, 2, 2, 3, 3, 4]);
        while degrees.len() < count {
            let next = if self.r.chance(0.3) {
                self.note("oblique");
                self.r.pick(&[30.0, 45.0, 120.0, 213.0, 300.5, 333.3])
            } else {
                self.r.pick(&[0.0, 90.0, 180.0, 270.0])
            };
            if !degrees.contains(&next) {
                degrees.push(next);
            }
        }
        self.r.shuffle(&mut degrees);
        let mut numbers: Vec<u32> = (1..=degrees.len() as u32).collect();
        if self.r.chance(0.2) {
            self.r.shuffle(&mut numbers);
        }
        degrees
            .into_iter()
            .zip(numbers)
            .map(|(degrees, number)| {
                let up = direction(degrees);
                let square = up[0].abs() > 0.999 || up[1].abs() > 0.999;
                let carrying = features.iter().find(|f| {
                    f.kind == Kind::Face
                        && up[f.axis.unwrap()] * f.sign < -0.999
                        && f.basic[f.axis.unwrap()] == outline[side(f.sign)][f.axis.unwrap()]
                });
                let blocks = if !square || self.r.chance(0.15) {
                    None
                } else if self.r.chance(0.25) {
                    Some(self.r.step(5.0, 50.0, 5.0))
                } else {
                    Some(0.0)
                };
                let named = self.r.chance(0.85);
                DraftOrientation {
                    number,
                    degrees,
                    rest: carrying.filter(|_| named).map(|f| f.number.clone()),
                    blocks,
                    zero: None,
                    touches: self.r.chance(0.85),
                }
            })
            .collect()
    }

    fn make(&mut self) -> Draft {
        let outline = self.outline();
        let (mut features, datums) = self.datums(&outline);
        let datum_count = features.len();
        let own = self.r.chance(0.3);
        for i in 0..datum_count {
            let letter = features[i].number.clone();
            let alone = datums.iter().any(|d| d.letter == letter && d.pattern.is_none());
            if features[i].kind != Kind::Face && own && alone {
                self.note("datum with its own tolerance");
                let mut list = vec!["A".to_owned()];
                if letter == "C" {
                    list.push("B".to_owned());
                }
                features[i].callouts.push(DraftCallout {
                    tolerance: self.r.pick(&[0.0, 0.02, 0.05]),
                    along: None,
                    modifier: Modifier::Mmc,
                    datums: list,
                    lower: Vec::new(),
                    pattern: String::new(),
                    together: Together::Default,
                    lower_together: Together::Default,
                });
            }
        }
        let datum_features = features.clone();
        // One or two patterns.
        let patterns = if self.r.chance(0.3) { 2 } else { 1 };
        let shared = self.callouts(&datum_features, &datums, "");
        for p in 0..patterns {
            let kind = self.r.pick(&[
                Kind::Hole,
                Kind::Hole,
                Kind::Hole,
                Kind::Boss,
                Kind::Slot,
                Kind::Tab,
            ]);
            let limits = self.limits();
            let word = if p == 0 { "" } else { "second" };
            let callouts = if p == 0 || self.r.chance(0.4) {
                shared.clone()
            } else {
                self.callouts(&datum_features, &datums, word)
            };
            let count = 1 + self.r.below(if patterns == 2 { 3 } else { 5 });
            for _ in 0..count {
                let at = self.place(&outline);
                let number = (features.len() + 1 - datum_count).to_string();
                let mut f = self.sized(&number, kind, at, limits);
                f.callouts.clone_from(&callouts);
                if !kind.is_round() {
                    for c in &mut f.callouts {
                        c.along = None;
                    }
                }
                features.push(f);
            }
        }
        // Two callouts in one frame on a slot say the same twice: one is enough.
        for f in &mut features {
            if !f.kind.is_round()
                && f.callouts.len() == 2
                && f.callouts[0].datums == f.callouts[1].datums
            {
                f.callouts.truncate(1);
            }
        }
        // Further faces that carry or are touched.
        if self.r.chance(0.3) {
            let (axis, sign) = (self.r.below(2), self.r.pick(&[-1.0, 1.0]));
            if !features
                .iter()
                .any(|f| f.kind == Kind::Face && f.axis == Some(axis) && f.sign == sign)
            {
                self.note("another face");
                let face = self.face("F", &outline, axis, sign);
                features.push(face);
            }
        }
        let mut orientations = self.orientations(&features, &outline);
        let kind_of_noise = self.r.below(4);
        self.traits.exact = kind_of_noise < 2;
        let noise = if self.traits.exact { 0.0 } else { self.r.between(0.002, 0.01) };
        let resolution = 0.001;
        let gauge = Gauge {
            resolution,
            error_limit: self.r.pick(&[0.002, 0.004]),
            error_growth: if self.r.chance(0.15) { 20.0e-6 } else { 0.0 },
            repeatability: self.r.chance(0.3).then_some(0.002),
            probe: if self.r.chance(0.15) { 3.9963 } else { 0.0 },
        };
        if gauge.probe > 0.0 {
            self.note("probe constant");
            for o in &mut orientations {
                o.touches = true;
            }
        }
        let truth = self.truth(&features, &outline, &orientations, &datum_features);
        let mut draft = Draft {
            drawing_inch: self.r.chance(0.2),
            gauge_inch: self.r.chance(0.2),
            outline: Some(outline),
            datums,
            features,
            relations: Vec::new(),
            gauge,
            plate_flatness: if self.r.chance(0.15) {
                self.note("plate flatness");
                0.004
            } else {
                0.0
            },
            rest_standard: self.r.chance(0.3).then(|| self.r.pick(&[0.001, 0.005])),
            standard: self.r.pick(&[
                None,
                None,
                Some(Standard::Asme2018),
                Some(Standard::Asme2009),
                Some(Standard::IsoGps),
            ]),
            orientations,
            readings: Vec::new(),
            squareness: Vec::new(),
        };
        self.touch(&mut draft, &truth, noise);
        // Whether the length in a + b L counts from the plate or from the zero is nowhere said.
        let counts_from_features = draft.readings.iter().any(|r| r.zero.is_some())
            || draft.orientations.iter().any(|o| o.zero.is_some());
        if counts_from_features {
            draft.gauge.error_growth = 0.0;
        }
        self.relations(&mut draft, &truth);
        draft
    }

    fn truth(
        &mut self,
        features: &[DraftFeature],
        outline: &[Pair; 2],
        orientations: &[DraftOrientation],
        datum_features: &[DraftFeature],
    ) -> Truth {
        let mut lean = [[0.0; 2]; 2];
        let two_faces = datum_features.iter().all(|f| f.kind == Kind::Face);
        if self.r.chance(if two_faces { 0.4 } else { 0.15 }) {
            self.note("out of square");
            // The edge under the first orientation is the reference.
            let first = direction(orientations[0].degrees);
            let reference = if first[0].abs() > 0.9 {
                Some((0, side(-first[0])))
            } else if first[1].abs() > 0.9 {
                Some((1, side(-first[1])))
            } else {
                None
            };
            // Opposite edges are parallel: two directions that differ by squareness alone would seem
            // to give a second coordinate.
            for (a, sides) in lean.iter_mut().enumerate() {
                if reference.is_none_or(|r| r.0 != a) && self.r.chance(0.7) {
                    *sides = [self.r.step(-0.04, 0.04, 0.002) / 60.0; 2];
                }
            }
        }
        let steps = self.traits.exact && self.r.chance(0.5);
        let clean = self.r.chance(0.2);
        let scale = self.r.pick(&[0.01, 0.03, 0.06]);
        let mut t = Truth {
            point: Vec::new(),
            normal: Vec::new(),
            offset: Vec::new(),
            size: Vec::new(),
            lean,
        };
        for f in features {
            let deviation = if clean {
                [0.0; 2]
            } else if steps {
                [self.r.step(-scale, scale, 0.005), self.r.step(-scale, scale, 0.005)]
            } else {
                [self.r.between(-scale, scale), self.r.between(-scale, scale)]
            };
            let mut normal = [0.0; 2];
            let mut offset = 0.0;
            if f.kind == Kind::Face {
                let a = f.axis.unwrap();
                normal[a] = -f.sign;
                normal = turned(normal, lean[a][side(f.sign)]);
                // It passes through the middle of the drawn edge, moved a little.
                let mut middle = [0, 1].map(|b| (outline[0][b] + outline[1][b]) / 2.0);
                middle[a] = f.basic[a] + deviation[a];
                offset = dot(normal, middle);
            }
            t.normal.push(normal);
            t.offset.push(offset);
            t.point.push([f.basic[0] + deviation[0], f.basic[1] + deviation[1]]);
            let [lower, upper] = f.limits.unwrap_or([0.0; 2]);
            let size = match self.r.below(12) {
                0 => lower,
                1 => upper,
                2 if self.r.chance(0.3) => lower - self.r.between(0.0, 0.02),
                2 if self.r.chance(0.3) => upper + self.r.between(0.0, 0.02),
                3 => f64::midpoint(lower, upper),
                _ => self.r.between(lower, upper),
            };
            t.size.push(size);
        }
        self.ties(&mut t, features);
        t
    }

    /// Some datum features exactly at their boundaries, some holes exactly at their tolerances.
    fn ties(&mut self, t: &mut Truth, features: &[DraftFeature]) {
        if !self.traits.exact {
            return;
        }
        for (i, f) in features.iter().enumerate() {
            let Some([lower, upper]) = f.limits else { continue };
            let own = f.callouts.first().map_or(0.0, |c| c.tolerance);
            if f.number.starts_with(['B', 'C']) && self.r.chance(0.4) {
                let boundary = if f.kind.is_internal() { lower - own } else { upper + own };
                if self.r.chance(0.7) {
                    self.note("at its boundary exactly");
                    t.size[i] = if f.kind.is_internal() {
                        boundary.max(lower)
                    } else {
                        boundary.min(upper)
                    };
                    if self.r.chance(0.3) {
                        t.size[i] = f64::from_bits(t.size[i].to_bits() + self.r.below(3) as u64);
                    }
                }
            } else if let Some(c) = f.callouts.first()
                && self.r.chance(0.15)
            {
                self.note("exact tie");
                let bonus = match (c.modifier, f.kind.is_internal()) {
                    (Modifier::None, _) => 0.0,
                    (Modifier::Mmc, true) | (Modifier::Lmc, false) => t.size[i] - lower,
                    (Modifier::Lmc, true) | (Modifier::Mmc, false) => upper - t.size[i],
                };
                let radius = (c.tolerance + bonus.clamp(0.0, upper - lower)) / 2.0;
                let d = match self.r.below(3) {
                    0 => [0.6 * radius, 0.8 * radius],
                    1 => [radius, 0.0],
                    _ => [0.0, -radius],
                };
                t.point[i] = [f.basic[0] + d[0], f.basic[1] + d[1]];
            }
        }
    }

    fn noise(&mut self, size: f64) -> f64 {
        // A sum of uniform numbers is near enough to normal.
        size * ((0..6).map(|_| self.r.unit()).sum::<f64>() - 3.0) * std::f64::consts::SQRT_2
    }

    fn touch(&mut self, draft: &mut Draft, t: &Truth, noise: f64) {
        let rounding = noise > 0.0;
        let k_probe = draft.gauge.probe;
        let mut orientations = std::mem::take(&mut draft.orientations);
        let all_orientations = orientations.clone();
        let extra_repeats = self.r.chance(0.25);
        for (number_in_plan, o) in orientations.iter_mut().enumerate() {
            let nominal = direction(o.degrees);
            let square = (0..2).find(|a| nominal[*a].abs() > 0.999);
            let lean = square.map_or(0.0, |a| t.lean[a][side(-nominal[a])]);
            let up = if lean == 0.0 { nominal } else { turned(nominal, lean) };
            if number_in_plan > 0 && lean != 0.0 {
                draft.squareness.push((o.number, lean, None));
            }
            let height = |i: usize| {
                let f = &draft.features[i];
                if f.kind != Kind::Face {
                    return dot(up, t.point[i]);
                }
                // At the middle of the edge, which matters only for a face that is not parallel.
                let [low, high] = draft.outline.unwrap();
                let n = t.normal[i];
                let along = [-n[1], n[0]];
                let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
                let beside = dot(up, along);
                let side = if beside.abs() < 1e-12 { 0.0 } else { dot(middle, along) * beside };
                t.offset[i] * dot(up, n) + side
            };
            let carrying = draft
                .features
                .iter()
                .position(|f| f.kind == Kind::Face && nominal[f.axis.unwrap()] * f.sign < -0.999);
            let offset = match (carrying, o.blocks) {
                (Some(face), Some(s)) => s - height(face),
                // An edge that is no feature: where the drawing has it, nearly.
                (None, Some(s)) => {
                    self.traits.words.push("edge without a feature");
                    let [low, high] = draft.outline.unwrap();
                    let edge = (0..2).map(|a| (low[a] * up[a]).min(high[a] * up[a])).sum::<f64>();
                    s - edge + self.r.between(-0.1, 0.1)
                }
                _ => {
                    let lowest = (0..t.point.len()).map(height).fold(f64::INFINITY, f64::min);
                    40.0 - lowest + self.r.between(0.0, 10.0)
                }
            };
            let parallel = |f: &DraftFeature| {
                f.axis.is_none_or(|a| f.kind.is_round() || nominal[a].abs() > 0.999)
            };
            let mut readable: Vec<usize> = (0..draft.features.len())
                .filter(|i| parallel(&draft.features[*i]) && Some(*i) != carrying)
                .collect();
            // What is not square often sees only a few.
            if square.is_none() || number_in_plan > 1 {
                let keep = self.r.between(0.3, 1.2);
                readable.retain(|_| self.r.chance(keep));
            } else if self.r.chance(0.1) && readable.len() > 1 {
                self.note("something not measured");
                let out = self.r.below(readable.len());
                readable.remove(out);
            }
            if carrying.is_some() && o.rest.is_none() && o.blocks.is_some() {
                self.note("carrying face not named");
            }
            // A face that looks down is touched only where it hangs over; a face is not always touched.
            readable.retain(|i| {
                let f = &draft.features[*i];
                f.kind != Kind::Face
                    || (nominal[f.axis.unwrap()] * f.sign > 0.0 && self.r.chance(0.6))
            });
            // The zero: the plate mostly, or something that can be touched.
            if self.r.chance(0.25) {
                let mut able = readable.clone();
                able.extend(carrying.filter(|_| o.blocks == Some(0.0)));
                able.retain(|i| draft.features[*i].kind == Kind::Face || k_probe == 0.0);
                if !able.is_empty() {
                    let z = self.r.pick(&able);
                    self.note(if Some(z) == carrying {
                        "zero on the carrying face"
                    } else {
                        "zero on a feature"
                    });
                    o.zero = Some(draft.features[z].number.clone());
                    if Some(z) != carrying {
                        readable.retain(|i| *i != z);
                    }
                }
            }
            let raw_zero = |m: &mut Self, z: Option<usize>| -> f64 {
                z.map_or(0.0, |i| height(i) + offset) + m.noise(noise)
            };
            let zero_index = o
                .zero
                .as_ref()
                .map(|n| draft.features.iter().position(|f| f.number == *n).unwrap());
            let common = raw_zero(self, zero_index);
            let mut done: Vec<usize> = Vec::new();
            for i in readable {
                let f = draft.features[i].clone();
                if zero_index == Some(i) && f.kind == Kind::Face {
                    continue;
                }
                let mut own = None;
                let mut zero = common;
                if !done.is_empty() && k_probe == 0.0 && self.r.chance(0.08) {
                    let from = self.r.pick(&done);
                    self.note("chain of zeros");
                    own = Some(Some(draft.features[from].number.clone()));
                    zero = raw_zero(self, Some(from));
                }
                done.push(i);
                let h = height(i) + offset - zero;
                let repeats = if extra_repeats { 1 + self.r.below(4) } else { 1 };
                let shown = |m: &mut Self, v: f64| -> Vec<f64> {
                    (0..repeats)
                        .map(|_| {
                            let v = v + m.noise(noise);
                            if rounding { (v / 0.001).round() * 0.001 } else { v }
                        })
                        .collect()
                };
                let mut reading = DraftReading {
                    orientation: o.number,
                    feature: f.number.clone(),
                    zero: own,
                    ..DraftReading::default()
                };
                if f.kind == Kind::Face {
                    let stands = |o: &DraftOrientation| {
                        let up = direction(o.degrees);
                        up[f.axis.unwrap()] * f.sign < -0.999 && o.blocks.is_some()
                    };
                    if all_orientations.iter().any(stands) {
                        self.note("face stood on and touched");
                    }
                    reading.face = shown(self, h);
                } else if o.touches {
                    let half = t.size[i] / 2.0;
                    // What is touched from below shows the probe constant less.
                    let (low, high) =
                        if f.kind.is_internal() { (0.0, k_probe) } else { (k_probe, 0.0) };
                    reading.low = shown(self, h - half - low);
                    reading.high = shown(self, h + half - high);
                } else {
                    reading.centre = shown(self, h);
                    reading.size = shown(self, t.size[i]);
                }
                draft.readings.push(reading);
            }
        }
        draft.orientations = orientations;
    }

    fn relations(&mut self, draft: &mut Draft, t: &Truth) {
        if !self.r.chance(0.3) {
            return;
        }
        let round: Vec<usize> =
            (0..draft.features.len()).filter(|i| draft.features[*i].kind.is_round()).collect();
        let squares = draft.squareness.is_empty();
        let faces: Vec<usize> = (0..draft.features.len())
            .filter(|i| draft.features[*i].kind == Kind::Face && squares)
            .collect();
        let number = |i: usize| draft.features[i].number.clone();
        let mut found = Vec::new();
        if round.len() >= 2 {
            let (p, q) = (round[0], round[round.len() - 1]);
            let (np, nq) = (draft.features[p].basic, draft.features[q].basic);
            let along = self.r.pick(&[Some(0), Some(1), None]);
            let basic = match along {
                Some(a) => (nq[a] - np[a]).abs(),
                None => libm::hypot(nq[0] - np[0], nq[1] - np[1]),
            };
            found.push(DraftRelation::Distance {
                from: Some(number(p)),
                to: number(q),
                along,
                limits: [basic - 0.05, basic + 0.05],
            });
            if basic > 1.0 {
                let between = [number(p), number(q)];
                let apart = libm::hypot(nq[0] - np[0], nq[1] - np[1]);
                let least = apart - (t.size[p] + t.size[q]) / 2.0 - 0.05;
                if least > 0.0 {
                    found.push(DraftRelation::Wall { between, least });
                }
                found.push(DraftRelation::Coaxiality {
                    of: number(q),
                    to: number(p),
                    tolerance: 2.0 * apart + self.r.between(-0.1, 0.1),
                    modifier: self.r.pick(&[Modifier::None, Modifier::Mmc, Modifier::Lmc]),
                });
                found.push(DraftRelation::Polar {
                    of: number(q),
                    centre: Some(number(p)),
                    radial: 0.1,
                    around: 0.1,
                });
            }
        }
        if let (Some(&face), Some(&hole)) = (faces.first(), round.last()) {
            let a = draft.features[face].axis.unwrap();
            let basic = (draft.features[hole].basic[a] - draft.features[face].basic[a]).abs();
            found.push(DraftRelation::Distance {
                from: Some(number(face)),
                to: number(hole),
                along: Some(a),
                limits: [basic - 0.04, basic + 0.04],
            });
            let least = basic - t.size[hole] / 2.0 - 0.03;
            if least > 0.0 {
                found.push(DraftRelation::Wall { between: [number(face), number(hole)], least });
            }
        }
        // Random places lie on no circle, unless there are three of them.
        let on_circle: Vec<usize> =
            round.iter().copied().filter(|i| draft.features[*i].number.starts_with('d')).collect();
        let round_of =
            if on_circle.len() >= 3 { on_circle } else { round.iter().copied().take(3).collect() };
        if round_of.len() >= 3 && self.r.chance(0.5) {
            let points: Vec<Pair> = round_of.iter().map(|i| draft.features[*i].basic).collect();
            if let Some(d) = super::circle::fit(&points).map(|c| 2.0 * c.1)
                && d < 200.0
            {
                found.push(DraftRelation::BoltCircle {
                    of: round_of.iter().map(|i| number(*i)).collect(),
                    limits: [d - 0.05, d + 0.05],
                });
            }
        }
        if let Some(&hole) = round.last() {
            let a = self.r.below(2);
            let at = draft.features[hole].basic[a];
            found.push(DraftRelation::Distance {
                from: None,
                to: number(hole),
                along: Some(a),
                limits: [at - 0.05, at + 0.05],
            });
        }
        draft.relations = found;
    }
}
