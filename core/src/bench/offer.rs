//! What can be done about a questioned reading in one step. Nothing of it is done unasked.

use super::{Expectation, Guess, Question, question_limit};
use crate::job::{Job, Reading, Touch};
use crate::quantity::Figure;

/// What can be done about a questioned reading in one step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offer {
    /// Write it with the other sign.
    Negate,
    /// Exchange it with the reading of this other point of the same feature.
    Exchange(Touch),
    /// Take it again.
    Again,
}

/// Returns what can be done about `question`, `reading` being what stands of its feature in its
/// orientation and `expected` the touches of that orientation.
#[must_use]
pub fn offer(job: &Job, expected: &[Expectation], reading: &Reading, question: &Question) -> Offer {
    match question.guess {
        Guess::Sign => Offer::Negate,
        Guess::Other { feature, touch, .. } => {
            let other = expected.iter().find(|e| e.feature == feature && e.touch == touch);
            match other {
                Some(other) if exchanges(job, reading, question, other) => Offer::Exchange(touch),
                _ => Offer::Again,
            }
        }
        Guess::Unit
        | Guess::OtherWayUp
        | Guess::Far
        | Guess::Digits { .. }
        | Guess::SizeDiffers { .. }
        | Guess::SizeBeyond { .. }
        | Guess::PlaceAlone { .. }
        | Guess::SameAsRow { .. } => Offer::Again,
    }
}

/// Whether `other` is the other point of the same feature, and was not read or reads what the
/// questioned point should show.
fn exchanges(job: &Job, reading: &Reading, question: &Question, other: &Expectation) -> bool {
    if other.feature != question.feature || !is_point(other.touch) || !is_point(question.touch) {
        return false;
    }
    let Some(feature) = job.drawing.features.get(question.feature) else { return false };
    let Some(orientation) = job.orientation(question.orientation) else { return false };
    let (limit, unit) = (question_limit(job, feature), job.reading_unit(orientation));
    let fits = |figure: &Figure| (figure.length(unit) - question.expected).abs() <= limit;
    // A single reading: of several, one may be another matter than the rest.
    reading.values(question.touch).len() == 1 && reading.values(other.touch).iter().all(fits)
}

/// A point of the feature, and no figure that the gauge worked out.
const fn is_point(touch: Touch) -> bool {
    matches!(touch, Touch::Low | Touch::High)
}

impl Offer {
    /// Returns the readings that take the place of those that stand in `reading`, point by point;
    /// none where the reading has to be taken again.
    #[must_use]
    pub fn readings(self, reading: &Reading, question: &Question) -> Vec<(Touch, Vec<Figure>)> {
        let of = |touch: Touch| reading.values(touch).to_vec();
        match self {
            Self::Negate => {
                let mut values = of(question.touch);
                if let Some(value) = values.get_mut(question.repeat) {
                    *value = Figure(-value.0);
                }
                vec![(question.touch, values)]
            }
            Self::Exchange(other) => vec![(question.touch, of(other)), (other, of(question.touch))],
            Self::Again => Vec::new(),
        }
    }
}

/// Returns `question` with the guess that names the other point of its own feature, where the
/// reading fits that one as well as the touch of another feature that was named: its lowest and its
/// highest point are exchanged more easily than two features are.
#[must_use]
pub fn own_point_first(job: &Job, expected: &[Expectation], question: Question) -> Question {
    let Guess::Other { feature: other, .. } = question.guess else { return question };
    let Some(feature) = job.drawing.features.get(question.feature) else { return question };
    if other == question.feature || !is_point(question.touch) {
        return question;
    }
    let limit = question_limit(job, feature) * 0.5;
    let own = expected.iter().find(|e| {
        e.feature == question.feature
            && e.touch != question.touch
            && is_point(e.touch)
            && e.raw.is_some_and(|raw| (raw - question.raw).abs() <= limit)
    });
    match own {
        Some(own) => {
            let (feature, name) = (own.feature, question.name.clone());
            Question { guess: Guess::Other { feature, name, touch: own.touch }, ..question }
        }
        None => question,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::bench::{Heights, Setup, expected, question};
    use crate::job::{Feature, SizeLimits};
    use crate::quantity::Unit;

    /// Two holes in mm the points of which lie almost as high: 15.0 and 25.0, 15.1 and 24.9.
    fn job() -> Job {
        let mut job = Job::empty(Unit::Mm);
        for (number, size) in [("1", 10.0), ("2", 9.8)] {
            job.drawing.features.push(Feature {
                number: number.to_owned(),
                x: Some(Figure(20.0)),
                y: Some(Figure(20.0)),
                size: Some(SizeLimits::Limits {
                    lower: Figure(size - 0.05),
                    upper: Figure(size + 0.05),
                }),
                ..Feature::default()
            });
        }
        job
    }

    /// The question about `value`, read at this point of hole 1, with what was expected.
    fn asked(job: &Job, touch: Touch, value: f64) -> (Vec<Expectation>, Question) {
        let orientation = &job.plan.orientations[0];
        let setup = Setup::of(job, orientation).unwrap();
        let list = expected(job, orientation, Some(&setup));
        let feature = job.drawing.features.iter().position(|f| f.number == "1").unwrap();
        let at = list.iter().position(|e| e.feature == feature && e.touch == touch).unwrap();
        let raw = Figure(value).length(Unit::Mm);
        let found = question(job, orientation, &Heights::new(&list), at, 0, raw).unwrap();
        (list, found)
    }

    /// Hole 1 as it was read in the first orientation.
    fn reading(low: &[f64], high: &[f64]) -> Reading {
        let mut job = job();
        let figures = |values: &[f64]| values.iter().map(|v| Figure(*v)).collect::<Vec<_>>();
        job.pieces[0].set_values(1, "1", Touch::Low, figures(low));
        job.pieces[0].set_values(1, "1", Touch::High, figures(high));
        job.pieces[0].reading(1, "1").unwrap().clone()
    }

    #[test]
    fn lowest_and_highest_exchanged_name_the_feature_itself() {
        let job = job();
        // 24.89 is nearer to the highest point of hole 2 than to that of hole 1.
        let (list, found) = asked(&job, Touch::Low, 24.89);
        let named = own_point_first(&job, &list, found.clone());
        let Guess::Other { feature, touch, .. } = named.guess else { panic!("{named:?}") };
        assert_eq!((feature, touch), (found.feature, Touch::High));
        let one = reading(&[24.89], &[15.01]);
        assert_eq!(offer(&job, &list, &one, &named), Offer::Exchange(Touch::High));
        let new = Offer::Exchange(Touch::High).readings(&one, &named);
        assert_eq!(new, [(Touch::Low, vec![Figure(15.01)]), (Touch::High, vec![Figure(24.89)])]);
        // Far from the points of its own feature another one stays named.
        let mut apart = job.clone();
        apart.drawing.features.last_mut().unwrap().y = Some(Figure(60.0));
        let (list, found) = asked(&apart, Touch::Low, 64.9);
        assert_eq!(own_point_first(&apart, &list, found.clone()), found);
        assert_eq!(offer(&apart, &list, &reading(&[64.9], &[]), &found), Offer::Again);
    }

    #[test]
    fn a_point_is_exchanged_only_where_the_other_one_agrees() {
        let job = job();
        let (list, found) = asked(&job, Touch::Low, 25.0);
        let found = own_point_first(&job, &list, found);
        let of = |low: &[f64], high: &[f64]| offer(&job, &list, &reading(low, high), &found);
        assert_eq!(of(&[25.0], &[]), Offer::Exchange(Touch::High));
        // The highest point is where it belongs: the lowest was touched at the wrong one.
        assert_eq!(of(&[25.0], &[25.01]), Offer::Again);
        assert_eq!(of(&[25.0, 15.0], &[]), Offer::Again);
    }

    #[test]
    fn a_turned_sign_is_written_the_other_way() {
        let job = job();
        let (list, found) = asked(&job, Touch::Low, -15.02);
        let one = reading(&[15.0, -15.02], &[]);
        let found = Question { repeat: 1, ..found };
        assert_eq!(offer(&job, &list, &one, &found), Offer::Negate);
        let new = Offer::Negate.readings(&one, &found);
        assert_eq!(new, [(Touch::Low, vec![Figure(15.0), Figure(15.02)])]);
    }
}
