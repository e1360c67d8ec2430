//! The lists of datums that the callouts of a drawing name.

use crate::callout::Unjudged;
use crate::job::{DatumRef, Feature, Job};
use crate::pattern::DatumConstraints;
use rustc_hash::FxHashMap;

/// Every list of datums once, in the order of the drawing, with what it constrains. Callouts name their
/// list by its index.
#[derive(Clone, Debug, Default)]
pub struct DatumLists<'a> {
    lists: Vec<&'a [DatumRef]>,
    constraints: Vec<Result<DatumConstraints, Unjudged>>,
    index: FxHashMap<&'a [DatumRef], usize>,
}

impl<'a> DatumLists<'a> {
    /// Those of a drawing.
    #[must_use]
    pub fn of(job: &'a Job) -> Self {
        let mut all = Self::default();
        let callouts = job.drawing.features.iter().flat_map(Feature::positions);
        let lists = callouts.flat_map(|callout| {
            std::iter::once(&callout.datums).chain(callout.lower.iter().map(|s| &s.datums))
        });
        for datums in lists {
            all.index.entry(datums.as_slice()).or_insert_with(|| {
                all.lists.push(datums);
                all.constraints.push(DatumConstraints::of(job, datums));
                all.lists.len() - 1
            });
        }
        all
    }

    /// The lists.
    pub fn iter(&self) -> impl Iterator<Item = &'a [DatumRef]> + '_ {
        self.lists.iter().copied()
    }

    /// Index of a list; `None` where no callout names it.
    #[must_use]
    pub fn index(&self, datums: &[DatumRef]) -> Option<usize> {
        self.index.get(datums).copied()
    }

    /// What a list constrains, or why it cannot be said; `None` for no list.
    #[must_use]
    pub fn constraints(&self, list: Option<usize>) -> Option<&Result<DatumConstraints, Unjudged>> {
        self.constraints.get(list?)
    }
}
