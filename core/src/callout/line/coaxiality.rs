//! Coaxiality of two round features.

use super::{LineFinding, LineUnjudged, Part, Seen, judge_line};
use crate::callout::{
    Asked, Bonus, NoBonus, PlaceEvidence, Segment, SizeFinding, Verdict, Zone, judge_position, prove_position,
};
use crate::job::{DecisionRule, Modifier, Range};
use crate::quantity::Length;

/// Coaxiality: twice the offset of the axis against a cylinder about the axis of the other feature,
/// with the bonus of the toleranced one where a modifier gives any (ISO 1101, 17.13; ASME
/// Y14.5-2018 asks the same by a position). It is a position whose basic place is the other axis,
/// and its uncertainty is that of one, near zero offset too.
///
/// `evidence` is the uncertainty of the vector between the two axes and of the size.
#[must_use]
pub fn coaxiality(
    (number, name): (&str, String),
    (of, to): (&Seen, &Seen),
    (tolerance, modifier): (Length, Modifier),
    size: &SizeFinding,
    evidence: &PlaceEvidence,
    rule: DecisionRule,
) -> LineFinding {
    let refuse = |why| judge_line(number, name.clone(), Err(why)).0;
    if of.index == to.index {
        return refuse(LineUnjudged::Twice(of.name.clone()));
    }
    let zero_at_modifier = modifier != Modifier::None && tolerance == Length::ZERO;
    if tolerance <= Length::ZERO && !zero_at_modifier {
        return refuse(LineUnjudged::Tolerance);
    }
    if modifier != Modifier::None && size.limits.is_none() {
        return refuse(LineUnjudged::ModifierWithoutLimits(of.name.clone()));
    }
    let apart = match super::distance::Apart::of(Some(to), of) {
        Ok(apart) => apart,
        Err(why) => return refuse(why),
    };
    let asked = Asked {
        kind: of.kind,
        segment: Segment::default(),
        zone: Zone::Round,
        tolerance,
        modifier,
        datums: &[],
    };
    let deviation = apart.vector.map(|d| Some(Length::mm(d)));
    let found = judge_position(&asked, deviation, size, None);
    let found = prove_position(found, deviation, evidence, rule);
    let offset = Length::mm(apart.distance);
    let measured = offset * 2.0;
    let mut parts = apart.parts.clone();
    parts.push(Part::length("offset", offset, apart.how()));
    parts.push(Part::length("coaxiality", measured, vec!["2 × ".into(), offset.into()]));
    parts.push(Part::length("tolerance", tolerance, vec!["diameter".into()]));
    match found.bonus {
        Bonus::NotAsked => {}
        Bonus::Earned { bonus, size, from, .. } => {
            let how = vec![size.max(from).into(), " − ".into(), size.min(from).into()];
            parts.push(Part::length("bonus", bonus, how));
        }
        Bonus::None(why) => {
            let why = match why {
                NoBonus::SizeOut => "none: size out of limits",
                NoBonus::SizeNotMeasured => "size not measured",
            };
            parts.push(Part { label: "bonus".to_owned(), figure: None, how: vec![why.into()] });
        }
    }
    let unjudged = (found.verdict == Verdict::NotMeasured)
        .then(|| LineUnjudged::NotMeasured(vec![format!("size of {}", of.name)]));
    LineFinding {
        number: number.to_owned(),
        name,
        measured: Some(measured),
        allowed: Range::up_to(found.allowed),
        zone: true,
        margin: found.margin,
        parts,
        proof: found.proof,
        unjudged,
        in_question: false,
        verdict: found.verdict,
    }
}
