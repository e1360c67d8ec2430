//! The sentences, with figures as the caller writes them.

use super::action::Action;
use super::correction::Correction;
use super::diagnose::{Diagnosis, Size, Standing, Step, Term};
use super::distortion::Kind;
use super::support::Refusal;
use crate::notation::{capital, joined};

/// How figures and holes are written.
#[derive(Clone, Copy)]
pub struct Words<'a> {
    /// A length of zero or more, given in millimetres; the sign is put before it.
    pub length: &'a dyn Fn(f64) -> String,
    /// An angle of zero or more, given in degrees, with its unit: `0.011 degrees`.
    pub angle: &'a dyn Fn(f64) -> String,
    /// A member by its index: `hole 7`.
    pub name: &'a dyn Fn(usize) -> String,
}

impl Words<'_> {
    /// What to do, a sentence for each action.
    #[must_use]
    pub fn actions(&self, d: &Diagnosis) -> Vec<String> {
        d.actions.iter().map(|a| self.action(a, d)).collect()
    }

    fn action(&self, action: &Action, d: &Diagnosis) -> String {
        match action {
            Action::MeasureMore { needed } => format!(
                "Too little is known to tell an error of the machine from the holes' own: measure \
                 at least {needed} holes in X and in Y."
            ),
            Action::LeaveAlone => {
                "The holes show no error in common: leave the machine's offsets as they are."
                    .to_owned()
            }
            Action::CheckScale { grown } => {
                let way = if *grown < 0.0 { "small" } else { "large" };
                format!(
                    "Check the temperature of the part and the machine's scale: the pattern is too \
                     {way} by {} at the farthest hole.",
                    self.plain(*grown)
                )
            }
            Action::CheckScales { grown: [x, y] } => {
                let way = |v: f64| if v < 0.0 { "short" } else { "long" };
                format!(
                    "Check the scale of each axis: X is too {} by {} and Y too {} by {} at the \
                     farthest hole.",
                    way(*x),
                    self.plain(*x),
                    way(*y),
                    self.plain(*y)
                )
            }
            Action::CheckSquareness { closer, farthest } => {
                let way = if *closer < 0.0 { "more" } else { "less" };
                format!(
                    "Check the squareness of the edges the part stood on, then that of the \
                     machine's axes: +X and +Y meet at {} {way} than a right angle, {} at the \
                     farthest hole.",
                    self.degrees(*closer),
                    self.plain(*farthest)
                )
            }
            Action::Correct(c) => self.correct(c, d),
            Action::Withhold => {
                "A change of work offset or angle alone would leave the pattern worse: \
                                 leave them as they are until the other errors are gone."
                    .to_owned()
            }
            Action::Remeasure { member, away } => {
                let parts: Vec<String> = ["X", "Y"]
                    .into_iter()
                    .zip(away)
                    .filter_map(|(axis, v)| v.map(|v| format!("{axis} {}", self.signed(v))))
                    .collect();
                format!(
                    "Re-measure {}: it is {} from where the others put it. If that stands, look \
                     at its tool and its operation.",
                    (self.name)(*member),
                    parts.join(", ")
                )
            }
            Action::Scatter { members } => {
                let be = if members.len() == 1 { "is" } else { "are" };
                format!(
                    "{} {be} out of zone by an error of {} own, not by one that all holes share.",
                    capital(&self.list(members)),
                    if members.len() == 1 { "its" } else { "their" }
                )
            }
        }
    }

    /// `Move the work offset X −0.0012, Y +0.0004 and rotate 0.011 degrees clockwise about the
    /// datum: 11 of 12 holes conform, 4 do now; hole 7 is on its own.`
    fn correct(&self, c: &Correction, d: &Diagnosis) -> String {
        let mut does = Vec::new();
        let moves: Vec<String> = ["X", "Y"]
            .into_iter()
            .zip(c.offset)
            .filter(|(_, v)| self.plain(*v) != self.plain(0.0))
            .map(|(axis, v)| format!("{axis} {}", self.signed(v)))
            .collect();
        if !moves.is_empty() {
            does.push(format!("move the work offset {}", moves.join(", ")));
        }
        if self.degrees(c.turn) != self.degrees(0.0) {
            let what = if does.is_empty() { " the coordinate system" } else { "" };
            does.push(format!(
                "rotate{what} {} {} about the datum",
                self.degrees(c.turn),
                sense(c.turn)
            ));
        }
        if does.is_empty() {
            return "The correction is smaller than the last digit shown: leave the machine's \
                    offsets as they are."
                .to_owned();
        }
        let mut text = capital(&does.join(" and "));
        let (then, now) = (&d.corrected, &d.now);
        if then.judged > 0 {
            let verb = if then.judged == 1 { "hole conforms" } else { "holes conform" };
            text.push_str(&format!(": {} of {} {verb}", then.conforming, then.judged));
            if now.judged == then.judged && now.conforming != then.conforming {
                let verb = if now.conforming == 1 { "does" } else { "do" };
                text.push_str(&format!(", {} {verb} now", now.conforming));
            }
        }
        if let Some(l) = d.outlier {
            text.push_str(&format!("; {} is on its own", (self.name)(l.member)));
        }
        text.push('.');
        text
    }

    /// What became of a model, in a sentence.
    #[must_use]
    pub fn step(&self, step: &Step) -> String {
        match &step.standing {
            Standing::Refused(why) => {
                format!("{} cannot be told: {}.", capital(noun(step.kind)), self.why(*why))
            }
            Standing::Tried(t) => self.term(step.kind, t),
        }
    }

    fn term(&self, kind: Kind, t: &Term) -> String {
        let noun = capital(noun(kind));
        if !t.significant {
            return format!("{noun} is not shown by these holes ({}).", probability(t.test.p));
        }
        let says = match &t.size {
            Size::Shift([x, y]) => {
                format!("X {}, Y {}", self.signed(x.value), self.signed(y.value))
            }
            Size::Turn(v) => format!("{} {}", self.degrees(v.value), sense(v.value)),
            Size::Scale(v) => (if v.value < 0.0 { "too small" } else { "too large" }).to_owned(),
            Size::Scales([x, y]) => {
                let way = |v: f64| if v < 0.0 { "short" } else { "long" };
                format!("X too {}, Y too {}", way(x.value), way(y.value))
            }
            Size::OutOfSquare(v) => {
                let way = if v.value < 0.0 { "more" } else { "less" };
                format!("{} {way} than a right angle", self.degrees(v.value))
            }
        };
        let farthest = self.plain(t.farthest);
        format!("{noun}: {says}, {farthest} at the farthest hole ({}).", probability(t.test.p))
    }

    /// Why a model was refused, as the end of a sentence.
    #[must_use]
    pub fn why(&self, why: Refusal) -> String {
        match why {
            Refusal::TooFew { needed } => {
                format!("at least {needed} holes known in X and in Y are needed")
            }
            Refusal::Unseen { axis } => {
                let axis = if axis == 0 { "X" } else { "Y" };
                format!("no hole was measured in {axis}")
            }
            Refusal::OnePlace => "the holes are all at one place".to_owned(),
            Refusal::InLine => "the holes are all in one line".to_owned(),
            Refusal::Alike => {
                "what is known of the holes does not tell it from the simpler errors".to_owned()
            }
            Refusal::HangsOn { member } => {
                format!("it would hang on {} alone", (self.name)(member))
            }
            Refusal::Contains(kind) => format!("nor can {}", noun(kind)),
        }
    }

    fn plain(&self, mm: f64) -> String {
        (self.length)(mm.abs())
    }

    fn degrees(&self, radians: f64) -> String {
        (self.angle)(radians.abs().to_degrees())
    }

    /// With its sign, unless it is shown as zero.
    fn signed(&self, mm: f64) -> String {
        let text = self.plain(mm);
        if text == self.plain(0.0) {
            text
        } else {
            format!("{}{text}", if mm < 0.0 { '−' } else { '+' })
        }
    }

    fn list(&self, members: &[usize]) -> String {
        let names: Vec<String> = members.iter().map(|m| (self.name)(*m)).collect();
        joined(&names)
    }
}

const fn sense(turn: f64) -> &'static str {
    if turn < 0.0 { "clockwise" } else { "counter-clockwise" }
}

const fn noun(kind: Kind) -> &'static str {
    match kind {
        Kind::Shift => "the shift",
        Kind::Turn => "the rotation",
        Kind::Scale => "one scale",
        Kind::Scales => "two scales",
        Kind::Shear => "squareness",
    }
}

fn probability(p: f64) -> String {
    if p < 0.001 { "p below 0.001".to_owned() } else { format!("p = {p:.3}") }
}
