//! Whether a step of a sum follows from its figures as they are written, so that a reader with a calculator
//! comes to the same last digit.

use super::Figures;
use crate::quantity::Length;
use crate::relation::{Step, Term};
use std::f64::consts::PI;
use std::iter::Peekable;
use std::vec::IntoIter;

/// With how many decimals the figures of a sum are written. What is worked out from others has one less
/// than these: rounded to its last digit, it follows from them as they are written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Decimals {
    /// Figures of steps, with how many steps stand between them and what was measured.
    levels: Vec<(Length, usize)>,
    /// The largest of these: that of the result.
    deepest: usize,
    /// Further decimals of what was measured.
    measured: usize,
    /// Those of the result.
    result: Figures,
    /// Of an angle in degrees.
    angle: usize,
}

impl Decimals {
    /// The same for all lengths.
    pub(super) const fn uniform(result: Figures, angle: usize) -> Self {
        Self { levels: Vec::new(), deepest: 0, measured: 0, result, angle }
    }

    /// Those of a sum the result of which is written so, `angle` being those of an angle in degrees.
    pub(super) fn of(steps: &[Step], result: Figures, angle: usize) -> Self {
        let mut all = Self::uniform(result, angle);
        for step in steps {
            let Some(Term::Length(figure) | Term::Signed(figure)) = &step.figure else { continue };
            let behind = step.how.iter().filter_map(|term| match term {
                Term::Length(l) | Term::Signed(l) => all.level(*l),
                Term::Words(_) | Term::Angle(_) => None,
            });
            let level = behind.max().map_or(0, |level| level + 1);
            if all.level(*figure).is_none() {
                all.levels.push((*figure, level));
                all.deepest = all.deepest.max(level);
            }
        }
        all.measured = all.deepest + 1;
        all
    }

    fn level(&self, length: Length) -> Option<usize> {
        let found = self.levels.iter().find(|(known, _)| known.abs() == length.abs());
        found.map(|(_, level)| *level)
    }

    /// The decimals of a length of the sum: of what was measured one more than of what follows from it.
    pub(super) fn lengths(&self, length: Length) -> Figures {
        let more = self.level(length).map_or(self.measured, |level| self.deepest - level);
        self.result.finer(more)
    }

    /// Those of an angle in degrees.
    pub(super) const fn angles(&self) -> usize {
        self.angle
    }

    /// The number that is written, in the unit of the lengths or in degrees; `None` for words.
    fn shown(&self, term: &Term) -> Option<f64> {
        match term {
            Term::Words(_) => None,
            Term::Length(l) | Term::Signed(l) => {
                let f = self.lengths(*l);
                Some(f.rounded(*l).to(f.unit))
            }
            Term::Angle(radians) => format!("{:.*}", self.angle, radians.to_degrees()).parse().ok(),
        }
    }
}

/// Whether what is written behind a step gives its figure as that is written. True where it is not
/// arithmetic: `measured`.
pub(super) fn follows(step: &Step, decimals: &Decimals) -> bool {
    let Some(Term::Length(shown) | Term::Signed(shown)) = &step.figure else { return true };
    let Some(value) = value(&step.how, decimals) else { return true };
    let f = decimals.lengths(*shown);
    let by_hand = Length::of(value, f.unit);
    f.plain(by_hand.abs()) == f.plain(shown.abs())
}

/// The value of an expression of figures and signs. What follows it in words is left out: `2 × 0.031 in a
/// zone of 0.100`. `None` where it is no expression, or a single figure in words.
fn value(how: &[Term], decimals: &Decimals) -> Option<f64> {
    let tokens = tokens(how, decimals)?;
    if tokens.len() < 2 {
        return None;
    }
    let mut rest = tokens.into_iter().peekable();
    let value = sum(&mut rest)?;
    rest.next().is_none().then_some(value)
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Token {
    Number(f64),
    Sign(char),
}

type Tokens = Peekable<IntoIter<Token>>;

/// Figures and signs up to the first word.
fn tokens(how: &[Term], decimals: &Decimals) -> Option<Vec<Token>> {
    let mut tokens = Vec::new();
    for term in how {
        let Term::Words(words) = term else {
            tokens.push(Token::Number(decimals.shown(term)?));
            continue;
        };
        let signs = words.find(|c: char| c.is_alphabetic() && c != 'π');
        let mut digits = String::new();
        for c in words[..signs.unwrap_or(words.len())].chars().chain([' ']) {
            if c.is_ascii_digit() {
                digits.push(c);
                continue;
            }
            if !digits.is_empty() {
                tokens.push(Token::Number(digits.parse().ok()?));
                digits.clear();
            }
            match c {
                'π' => tokens.push(Token::Number(PI)),
                c if !c.is_whitespace() => tokens.push(Token::Sign(c)),
                _ => {}
            }
        }
        if signs.is_some() {
            break;
        }
    }
    Some(tokens)
}

fn sign_of(rest: &mut Tokens, signs: &[char]) -> Option<char> {
    match rest.peek() {
        Some(Token::Sign(c)) if signs.contains(c) => {
            let c = *c;
            rest.next();
            Some(c)
        }
        _ => None,
    }
}

fn sum(rest: &mut Tokens) -> Option<f64> {
    let mut value = product(rest)?;
    while let Some(sign) = sign_of(rest, &['+', '−']) {
        let next = product(rest)?;
        value += if sign == '+' { next } else { -next };
    }
    Some(value)
}

fn product(rest: &mut Tokens) -> Option<f64> {
    let mut value = factor(rest)?;
    while let Some(sign) = sign_of(rest, &['×', '÷']) {
        let next = factor(rest)?;
        value = if sign == '×' { value * next } else { value / next };
    }
    Some(value)
}

fn factor(rest: &mut Tokens) -> Option<f64> {
    let root = sign_of(rest, &['√']).is_some();
    let value = if sign_of(rest, &['(']).is_some() {
        let value = sum(rest)?;
        sign_of(rest, &[')'])?;
        value
    } else {
        match rest.next()? {
            Token::Number(value) => value,
            Token::Sign(_) => return None,
        }
    };
    let value = if sign_of(rest, &['²']).is_some() { value * value } else { value };
    Some(if root { value.max(0.0).sqrt() } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    fn decimals(steps: &[Step]) -> Decimals {
        Decimals::of(steps, Figures::new(Unit::Mm, 3), 4)
    }

    fn mm(l: f64) -> Term {
        Length::mm(l).into()
    }

    #[test]
    fn expressions_are_worked_out_as_they_are_written() {
        let near =
            |how: Vec<Term>, expected: Option<f64>| match (value(&how, &decimals(&[])), expected) {
                (Some(found), Some(expected)) => {
                    assert!((found - expected).abs() < 1e-9, "{how:?}: {found}");
                }
                (found, expected) => assert_eq!(found, expected, "{how:?}"),
            };
        near(vec!["√(".into(), mm(3.0), "² + ".into(), mm(-4.0), "²)".into()], Some(5.0));
        near(vec![mm(10.0), " − ".into(), mm(2.5), " − ".into(), mm(0.5)], Some(7.0));
        near(vec![mm(2.0), " × ".into(), mm(9.0), " ÷ ".into(), mm(6.0)], Some(3.0));
        near(vec!["2 × ".into(), mm(0.03), " in a zone of ".into(), mm(0.1)], Some(0.06));
        let arc = vec![mm(90.0), " × ".into(), Term::Angle(PI / 2.0), " × π ÷ 180".into()];
        near(arc, Some(45.0 * PI));
        near(vec!["measured".into()], None);
        near(vec![mm(1.0), " off the circle".into()], None);
    }

    #[test]
    fn what_is_worked_out_has_one_decimal_less() {
        let difference = vec![mm(0.1234), " − ".into(), mm(0.1016)];
        let d = Step::length("d", Length::mm(0.0218), difference);
        let twice = Step::length("twice", Length::mm(0.0436), vec!["2 × ".into(), mm(0.0218)]);
        let steps = [d, twice];
        let decimals = decimals(&steps);
        let of = |l: f64| decimals.lengths(Length::mm(l)).decimals;
        assert_eq!([of(0.1234), of(0.0218), of(-0.0218), of(0.0436)], [5, 4, 4, 3]);
        assert!(steps.iter().all(|s| follows(s, &decimals)));
        // 0.123 - 0.102 is not 0.022.
        let alone = Step::length("d", Length::mm(0.0218), vec![mm(0.123), " − ".into(), mm(0.102)]);
        assert!(!follows(&alone, &self::decimals(&[])));
    }
}
