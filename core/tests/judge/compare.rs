//! Two answers held against each other.

use super::answer::{Answer, PatternAnswer, Verdict};

/// Something in which two answers differ.
#[derive(Clone, Debug)]
pub(crate) struct Difference {
    pub class: String,
    /// How far apart, in millimetres, where it is a figure.
    pub by: f64,
    pub what: String,
}

/// Figures of plain sums agree to this.
const SUM: f64 = 1e-7;
/// What the conic solver leaves open.
const SOLVED: f64 = 2e-6;

/// What is left in second order where one datum is centred behind another at its boundary.
const CENTRED: f64 = 1e-4;

struct Differences(Vec<Difference>);

impl Differences {
    fn add(&mut self, class: impl Into<String>, by: f64, what: String) {
        self.0.push(Difference { class: class.into(), by, what });
    }

    fn figure(
        &mut self,
        class: &str,
        core: Option<f64>,
        judge: Option<f64>,
        within: f64,
        what: &str,
    ) {
        match (core, judge) {
            (Some(c), Some(j)) if (c - j).abs() > within => {
                self.add(class, (c - j).abs(), format!("{what}: core {c}, judge {j}"));
            }
            (Some(c), None) => {
                self.add(
                    format!("{class}: only the core has it"),
                    0.0,
                    format!("{what}: core {c}"),
                );
            }
            (None, Some(j)) => {
                self.add(
                    format!("{class}: only the judge has it"),
                    0.0,
                    format!("{what}: judge {j}"),
                );
            }
            _ => {}
        }
    }

    fn verdict(
        &mut self,
        class: &str,
        core: Verdict,
        judge: Verdict,
        margin: Option<f64>,
        within: f64,
        what: &str,
    ) {
        if core != judge && margin.is_none_or(|m| m.abs() > within) {
            self.add(
                format!("{class}: core {core:?}, judge {judge:?}"),
                margin.map_or(0.0, f64::abs),
                format!("{what}, margin {margin:?}"),
            );
        }
    }
}

impl Difference {
    /// Whether only one of the two gives an answer, or the two group what is judged together otherwise:
    /// the other refuses, and no verdict contradicts another.
    pub(crate) fn is_refusal(&self) -> bool {
        const REFUSALS: [&str; 7] = [
            "NotMeasured",
            "CannotBeJudged",
            "NothingAsked",
            "only the",
            "cannot judge",
            "grouping",
            "measured members",
        ];
        REFUSALS.iter().any(|word| self.class.contains(word))
    }

    /// Whether it is a known one, on a question that is open between the two. `words` are what the
    /// generator noted of the job.
    pub(crate) fn is_open(&self, words: &[&str]) -> bool {
        let is = |word: &str| words.contains(&word);
        let about = |start: &str| self.class.starts_with(start);
        // What a datum of several features leaves free: to the core as the orientations have it.
        let several = is("datum circle") || is("datum fitted");
        let fitted = about("pattern") || about("position, ") || about("feature verdict");
        // The direction of a slot that stops the rotation and was touched at one place only.
        let slot_first = is("hole, slot") && is("A | C | B") && is("out of square");
        // The tolerance of a datum feature that is held from datums behind it: to the core it does not
        // apply to its boundary.
        let own = is("A | C | B") && is("datum with its own tolerance");
        (several && (fitted || about("variance"))) || slot_first || (own && fitted)
    }
}

/// All differences of the core's answer from the judge's. `slack`: figures that differ by less, in mm,
/// are alike; second order of the squareness that is stated.
pub(crate) fn compare(core: &Answer, judge: &Answer, slack: f64) -> Vec<Difference> {
    let mut d = Differences(Vec::new());
    let sum = SUM + slack;
    let decided = |v: Verdict| matches!(v, Verdict::Conforms | Verdict::DoesNotConform);
    // Where a datum is not known, what counts from the origin is compared nowhere.
    let framed = core.features.iter().flat_map(|f| &f.positions).all(|p| decided(p.verdict));
    for (c, j) in core.features.iter().zip(&judge.features) {
        let name = &j.number;
        if c.sizes.len() == j.sizes.len() {
            for (cs, js) in c.sizes.iter().zip(&j.sizes) {
                d.figure("size", Some(*cs), Some(*js), 1e-9, name);
            }
        } else {
            d.add("number of sizes", 0.0, format!("{name}: {:?} {:?}", c.sizes, j.sizes));
        }
        d.figure("size margin", c.size_margin, j.size_margin, 1e-9, name);
        d.verdict("size verdict", c.size_verdict, j.size_verdict, j.size_margin, 1e-12, name);
        let known = |f: &super::answer::FeatureAnswer| {
            f.positions.first().is_some_and(|p| p.margin.is_some() && decided(p.verdict))
        };
        for (a, axis) in ["x", "y"].iter().enumerate() {
            if known(c)
                && known(j)
                && let (Some(cv), Some(jv)) = (c.variance[a], j.variance[a])
                && (cv - jv).abs() > 1e-2 * jv.max(1e-9)
            {
                let what = format!("{name} {axis}: core {cv:e}, judge {jv:e}");
                d.add("variance", (cv - jv).abs(), what);
            }
        }
        let mut same_kind = true;
        let mut pattern_fails = false;
        for jp in &j.positions {
            let what = format!("{name} callout {} segment {}", jp.callout, jp.segment);
            let Some(cp) =
                c.positions.iter().find(|p| (p.callout, p.segment) == (jp.callout, jp.segment))
            else {
                d.add("position missing", 0.0, what);
                continue;
            };
            if jp.verdict != Verdict::NotMeasured && cp.verdict != Verdict::CannotBeJudged {
                d.figure("allowed", cp.allowed, jp.allowed, SUM, &what);
            }
            let unknown = |v| matches!(v, Verdict::CannotBeJudged | Verdict::NotMeasured);
            if unknown(cp.verdict) && jp.verdict == Verdict::CannotBeJudged {
                same_kind = false;
                continue;
            }
            if cp.verdict == Verdict::CannotBeJudged && jp.verdict != Verdict::CannotBeJudged {
                d.add("position: the core cannot judge", 0.0, format!("{what}: {:?}", jp.verdict));
                same_kind = false;
                continue;
            }
            match (cp.pattern, jp.pattern) {
                (None, None) => {
                    for (a, axis) in ["x", "y"].iter().enumerate() {
                        // What is not asked for is nobody's business.
                        let asked = jp.deviation[a].is_some() && cp.deviation[a].is_some();
                        let asked = asked && decided(cp.verdict) && decided(jp.verdict);
                        if asked {
                            d.figure(
                                "deviation",
                                cp.deviation[a],
                                jp.deviation[a],
                                sum,
                                &format!("{what} {axis}"),
                            );
                        }
                    }
                    if decided(cp.verdict) && decided(jp.verdict) {
                        d.figure("margin", cp.margin, jp.margin, 2.0 * sum, &what);
                    }
                    d.verdict(
                        "position verdict",
                        cp.verdict,
                        jp.verdict,
                        jp.margin,
                        1e-12 + 2.0 * slack,
                        &what,
                    );
                }
                (Some(_), Some(p)) => {
                    let pattern = &judge.patterns[p];
                    pattern_fails |= pattern.verdict != Verdict::Conforms || pattern.unsure;
                    if !pattern.missing.is_empty() {
                        continue;
                    }
                    if pattern.verdict == Verdict::Conforms && !pattern.unsure {
                        d.verdict(
                            "pattern member",
                            cp.verdict,
                            jp.verdict,
                            pattern.margin,
                            SOLVED,
                            &what,
                        );
                    }
                }
                (c, _) => {
                    same_kind = false;
                    let kind = if c.is_some() {
                        "core fits, judge does not"
                    } else {
                        "judge fits, core does not"
                    };
                    // It may come to the same.
                    d.verdict(
                        &format!("position, {kind}"),
                        cp.verdict,
                        jp.verdict,
                        jp.margin,
                        SOLVED,
                        &what,
                    );
                }
            }
        }
        if same_kind && !pattern_fails {
            let near = j
                .positions
                .iter()
                .filter_map(|p| p.margin.or_else(|| judge.patterns[p.pattern?].margin))
                .chain(j.size_margin)
                .map(f64::abs)
                .fold(f64::INFINITY, f64::min);
            let fits = j.positions.iter().any(|p| p.pattern.is_some());
            let within = 2.0 * slack + if fits { SOLVED } else { 1e-12 };
            d.verdict("feature verdict", c.verdict, j.verdict, Some(near), within, name);
        }
    }
    patterns(core, judge, SOLVED + 2.0 * slack, &mut d);
    for (i, (c, j)) in core.relations.iter().zip(&judge.relations).enumerate() {
        if j.skipped {
            continue;
        }
        let what = format!("relation {}", i + 1);
        if !framed && decided(c.verdict) && c.verdict == j.verdict {
            continue;
        }
        if j.measured.is_some() || c.verdict == Verdict::NotMeasured {
            d.figure("relation", c.measured, j.measured, sum, &what);
        }
        d.figure("relation margin", c.margin, j.margin, 2.0 * sum, &what);
        d.verdict("relation verdict", c.verdict, j.verdict, j.margin, 1e-12, &what);
    }
    d.0
}

fn patterns(core: &Answer, judge: &Answer, within: f64, d: &mut Differences) {
    let mut left: Vec<&PatternAnswer> = core.patterns.iter().collect();
    for j in &judge.patterns {
        let what = format!("{:?} lower {} members {:?}", j.datums, j.lower, j.members);
        let sorted = |v: &[usize]| {
            let mut v = v.to_vec();
            v.sort_unstable();
            v.dedup();
            v
        };
        let all = |p: &PatternAnswer| {
            let mut v = p.members.clone();
            v.extend(&p.missing);
            v.sort_unstable();
            v.dedup();
            v
        };
        // Of several that look the same, the one that comes nearest.
        let apart = |c: &PatternAnswer| match (c.margin, j.margin) {
            (Some(c), Some(j)) => (c - j).abs(),
            _ => f64::INFINITY,
        };
        let same = |c: &PatternAnswer| {
            c.lower == j.lower && c.datums == j.datums && all(c) == sorted(&j.members)
        };
        let Some(at) = (0..left.len())
            .filter(|i| same(left[*i]))
            .min_by(|p, q| apart(left[*p]).total_cmp(&apart(left[*q])))
        else {
            // What cannot move is no pattern to the core, and the same to the judge.
            if j.verdict != Verdict::NotMeasured {
                d.add(if j.lower { "grouping of lower segments" } else { "grouping" }, 0.0, what);
            }
            continue;
        };
        let c = left.remove(at);
        if c.verdict == Verdict::NotMeasured && j.verdict == Verdict::NotMeasured {
            continue;
        }
        if sorted(&c.missing) != sorted(&j.missing) {
            d.add(
                "pattern: measured members",
                0.0,
                format!("{what}: core lacks {:?}, judge {:?}", c.missing, j.missing),
            );
            continue;
        }
        let unknown = |v| matches!(v, Verdict::CannotBeJudged | Verdict::NotMeasured);
        if unknown(c.verdict) && j.verdict == Verdict::CannotBeJudged {
            continue;
        }
        if j.unsure || c.verdict == Verdict::CannotBeJudged {
            if c.verdict == Verdict::CannotBeJudged && !j.unsure {
                let class = if j.no_room {
                    "pattern: no room, core cannot judge"
                } else {
                    "pattern: core cannot judge"
                };
                d.add(class, 0.0, format!("{what} judge {:?}", j.verdict));
            }
            continue;
        }
        if !j.no_room && j.missing.is_empty() {
            // How a datum regardless of size is centred behind one at its boundary, and what a
            // translation modifier leaves it, is taken in first order by the one and not by the other.
            let centred = j.datums.iter().any(|d| d.contains('(')) && j.datums.len() > 2;
            let within = if centred { within.max(CENTRED) } else { within };
            d.figure("pattern margin", c.margin, j.margin, within, &what);
        }
        d.verdict("pattern verdict", c.verdict, j.verdict, j.margin, within, &what);
    }
    for c in left {
        if c.verdict != Verdict::NotMeasured {
            let what = format!("{:?} lower {} members {:?}", c.datums, c.lower, c.members);
            d.add("a pattern that only the core has", 0.0, what);
        }
    }
}
