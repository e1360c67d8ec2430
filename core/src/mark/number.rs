//! Numbers as both renderers write them.

/// Appends `value` with at most three decimals, no trailing zeros and no minus before
/// zero. A micrometre is far finer than any printer; what is not finite becomes 0.
pub(crate) fn push(out: &mut String, value: f64) {
    let parts = (value * 1000.0).round();
    if !parts.is_finite() || parts.abs() < 0.5 {
        out.push('0');
        return;
    }
    if parts < 0.0 {
        out.push('-');
    }
    // A page is metres long at most; beyond this the cast would saturate.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "finite, not negative, and saturating is as good as any"
    )]
    let parts = parts.abs() as u64;
    push_digits(out, parts / 1000);
    let (mut rest, mut place) = (parts % 1000, 1000);
    if rest != 0 {
        out.push('.');
    }
    while rest != 0 {
        place /= 10;
        push_digits(out, rest / place);
        rest %= place;
    }
}

fn push_digits(out: &mut String, mut value: u64) {
    let mut digits = [0_u8; 20];
    let mut count = 0;
    for digit in &mut digits {
        *digit = b'0' + u8::try_from(value % 10).unwrap_or(0);
        count += 1;
        value /= 10;
        if value == 0 {
            break;
        }
    }
    out.extend(digits.iter().take(count).rev().map(|&digit| char::from(digit)));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(value: f64) -> String {
        let mut out = String::new();
        push(&mut out, value);
        out
    }

    #[test]
    fn numbers_are_short_and_plain() {
        for (value, expected) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-0.0004, "0"),
            (1.0, "1"),
            (10.0, "10"),
            (0.1 + 0.2, "0.3"),
            (12.3456, "12.346"),
            (-7.05, "-7.05"),
            (0.005, "0.005"),
            (297.0, "297"),
            (1234567.25, "1234567.25"),
            (f64::NAN, "0"),
            (f64::INFINITY, "0"),
        ] {
            assert_eq!(written(value), expected);
        }
    }

    #[test]
    fn every_number_reads_back_to_the_nearest_thousandth() {
        let mut value = -40.0;
        while value < 40.0 {
            let back: f64 = written(value).parse().unwrap();
            assert!((back - value).abs() <= 0.000_500_1, "{value}");
            value += 0.012_345_6;
        }
    }
}
