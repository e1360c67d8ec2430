//! Tolerances without the zeros that say nothing.

/// `.0100` as `.010`, `0.100` as `0.1`: a tolerance keeps the digits that say something, three
/// decimals of an inch at least.
pub(crate) fn trimmed(figure: &str) -> String {
    let inch = figure.starts_with('.');
    let Some(point) = figure.find('.') else { return figure.to_owned() };
    let least = point + 1 + if inch { 3 } else { 1 };
    let mut end = figure.len();
    while end > least && figure[..end].ends_with('0') {
        end -= 1;
    }
    figure[..end].to_owned()
}
