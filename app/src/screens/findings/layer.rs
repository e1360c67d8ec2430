//! A layer of a picture: only marks that changed are written into the page again.

use leptos::prelude::*;
use leptos::svg;
use quarterturn_core::mark::{Mark, svg_marks};
use std::sync::Arc;

/// Marks that are compared by where they are first: most of the time nothing changed at all.
#[derive(Clone, Debug, Default)]
pub(super) struct Marks(pub(super) Arc<Vec<Mark>>);

impl PartialEq for Marks {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0 == other.0
    }
}

impl From<Vec<Mark>> for Marks {
    fn from(marks: Vec<Mark>) -> Self {
        Self(Arc::new(marks))
    }
}

/// Of as many marks as before, this many may have changed before all are written at once.
const FEW: usize = 40;

/// Draws `marks` into the layer and keeps it as they are.
#[component]
pub(super) fn Layer(marks: Memo<Marks>) -> impl IntoView {
    let layer = NodeRef::<svg::G>::new();
    Effect::new(move |before: Option<Option<Marks>>| {
        let layer = layer.get()?;
        let now = marks.get();
        let few = before.flatten().and_then(|before| changed(&before.0, &now.0));
        // Every mark is one element of the group that the marks are written in.
        let group = layer.first_element_child();
        match (few, group) {
            (Some(few), Some(group)) => {
                let children = group.children();
                for index in few {
                    let at = u32::try_from(index).ok().and_then(|i| children.item(i));
                    if let (Some(element), Some(mark)) = (at, now.0.get(index..=index)) {
                        element.set_outer_html(svg_marks(mark).trim_end());
                    }
                }
            }
            _ => layer.set_inner_html(&svg_marks(&now.0)),
        }
        Some(now)
    });
    view! { <g node_ref=layer></g> }
}

/// Which marks changed, where they are as many as before and only a few did.
fn changed(before: &[Mark], now: &[Mark]) -> Option<Vec<usize>> {
    if before.len() != now.len() {
        return None;
    }
    let pairs = before.iter().zip(now).enumerate();
    let found: Vec<usize> =
        pairs.filter(|(_, (a, b))| a != b).map(|(i, _)| i).take(FEW + 1).collect();
    (found.len() <= FEW).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use quarterturn_core::mark::Circle;

    #[test]
    fn a_few_changes_are_named_and_many_are_not() {
        let marks = |moved: usize| -> Vec<Mark> {
            (0..100_u8)
                .map(|i| {
                    let y = if usize::from(i) < moved { 1.0 } else { 0.0 };
                    Circle::new((f64::from(i), y), 1.0).into()
                })
                .collect()
        };
        assert_eq!(changed(&marks(0), &marks(0)), Some(Vec::new()));
        assert_eq!(changed(&marks(0), &marks(3)), Some(vec![0, 1, 2]));
        assert_eq!(changed(&marks(0), &marks(41)), None);
        assert_eq!(changed(&marks(0), &marks(0)[1..]), None);
    }
}
