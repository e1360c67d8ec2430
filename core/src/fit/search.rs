//! The search for the fewest features to rework.
//!
//! Features that cannot conform together are a *conflict*; one from which no feature can be left
//! out is irreducible. Any rework must reach every conflict, so the fewest features are a smallest
//! hitting set of the irreducible conflicts (J. W. Chinneck, *Feasibility and Infeasibility in
//! Optimization*, 2008, chapters 6 and 7; from memory). With the rotation linear the places at
//! which one feature conforms are a convex set of three unknowns, so an irreducible conflict has
//! four features at most (E. Helly's theorem), fewer where datum features take part.
//!
//! The search branches over the features of one conflict to the depth needed, deeper by one where
//! there is nothing (iterative deepening), and looks at no set twice. A conflict is found from the
//! multipliers of a fit that fails, and what it can do without is taken out of it one by one; so
//! it is a conflict whatever the multipliers are worth. Conflicts without a common feature need a
//! rework each: where there are more of them than may still be reworked, a branch ends.

use super::freedom::Freedom;
use super::member::{Bound, Member};
use super::rework::{Fewest, Rework, Reworked};
use super::solve::{Fit, fit};
use super::survey::NOISE;
use super::unfit::Unfit;
use rustc_hash::{FxHashMap, FxHashSet};

/// Features by their number in the order of the members.
type Set = Vec<usize>;

/// The search and what it knows.
pub(super) struct Search<'a> {
    members: &'a [Member],
    bounds: &'a [Bound],
    freedom: Freedom,
    /// Which feature each member belongs to.
    owner: Vec<usize>,
    features: usize,
    /// Irreducible conflicts found so far.
    conflicts: Vec<Set>,
    /// Sets looked at, of one depth.
    seen: FxHashSet<Set>,
    found: Vec<Set>,
    nodes: usize,
    most: usize,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        members: &'a [Member],
        bounds: &'a [Bound],
        freedom: Freedom,
        feature: impl Fn(usize) -> usize,
        most: usize,
    ) -> Self {
        let mut names: Vec<usize> = Vec::new();
        let mut number = FxHashMap::default();
        let owner = (0..members.len())
            .map(|k| {
                let name = feature(k);
                *number.entry(name).or_insert_with(|| {
                    names.push(name);
                    names.len() - 1
                })
            })
            .collect();
        Self {
            members,
            bounds,
            freedom,
            owner,
            features: names.len(),
            conflicts: Vec::new(),
            seen: FxHashSet::default(),
            found: Vec::new(),
            nodes: 0,
            most,
        }
    }

    pub(super) fn run(mut self) -> Result<Rework, Unfit> {
        let mut depth = self.apart(&[], usize::MAX)?.0.max(1);
        loop {
            self.seen.clear();
            let whole = self.descend(&mut Vec::new(), depth)?;
            if !self.found.is_empty() {
                return self.best(whole);
            }
            if !whole || depth >= self.features {
                return Ok(Rework::NotFound { at_least: depth, nodes: self.nodes });
            }
            depth += 1;
        }
    }

    /// Looks at all sets that contain `set` and `left` features more; false if the limit ends it.
    fn descend(&mut self, set: &mut Set, left: usize) -> Result<bool, Unfit> {
        let mut key = set.clone();
        key.sort_unstable();
        if self.seen.contains(&key) {
            return Ok(true);
        }
        if self.nodes >= self.most {
            return Ok(false);
        }
        self.nodes += 1;
        let (apart, smallest) = self.apart(&key, left)?;
        match smallest {
            None => self.found.push(key.clone()),
            Some(conflict) if apart <= left => {
                for feature in conflict {
                    set.push(feature);
                    let whole = self.descend(set, left - 1)?;
                    set.pop();
                    if !whole {
                        return Ok(false);
                    }
                }
            }
            Some(_) => {}
        }
        self.seen.insert(key);
        Ok(true)
    }

    /// How many conflicts without a common feature there are beside `set`, counted until there are
    /// more than `enough`, and the smallest of them.
    fn apart(&mut self, set: &[usize], enough: usize) -> Result<(usize, Option<Set>), Unfit> {
        let mut gone = vec![false; self.features];
        for feature in set {
            gone[*feature] = true;
        }
        let (mut count, mut smallest) = (0, None);
        // Small conflicts leave more room for others, and fewer branches.
        for conflict in &self.conflicts {
            if count > enough {
                break;
            }
            if conflict.iter().all(|feature| !gone[*feature]) {
                for feature in conflict {
                    gone[*feature] = true;
                }
                count += 1;
                smallest.get_or_insert_with(|| conflict.clone());
            }
        }
        while count <= enough
            && let Some(conflict) = self.conflict(&gone)?
        {
            for feature in &conflict {
                gone[*feature] = true;
            }
            count += 1;
            if smallest.as_ref().is_none_or(|smallest| conflict.len() < smallest.len()) {
                smallest = Some(conflict.clone());
            }
            let place = self.conflicts.partition_point(|c| c.len() <= conflict.len());
            self.conflicts.insert(place, conflict);
        }
        Ok((count, smallest))
    }

    fn members_of(&self, keep: impl Fn(usize) -> bool) -> Vec<(usize, Member)> {
        let all = self.members.iter().zip(&self.owner).enumerate();
        all.filter(|(_, (_, owner))| keep(**owner)).map(|(k, (m, _))| (k, *m)).collect()
    }

    /// The fit of some members, unless there is none to be fitted.
    fn fit(&self, of: &[(usize, Member)]) -> Result<Option<Fit>, Unfit> {
        if of.is_empty() {
            return Ok(None);
        }
        let members: Vec<Member> = of.iter().map(|m| m.1).collect();
        fit(&members, self.bounds, self.freedom).map(Some)
    }

    fn conforms(&self, features: &[usize]) -> Result<bool, Unfit> {
        let of = self.members_of(|owner| features.contains(&owner));
        Ok(self.fit(&of)?.is_none_or(|found| found.passes()))
    }

    /// An irreducible conflict among the features that are not gone; `None` if they conform.
    fn conflict(&self, gone: &[bool]) -> Result<Option<Set>, Unfit> {
        let rest = self.members_of(|owner| !gone[owner]);
        let Some(found) = self.fit(&rest)?.filter(|found| !found.passes()) else {
            return Ok(None);
        };
        let mut holds = found.certificate().members.clone();
        holds.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        let mut core = Set::new();
        for hold in holds {
            let owner = rest.get(hold.index).map(|(k, _)| self.owner[*k]);
            core.extend(owner.filter(|owner| !core.contains(owner)));
        }
        // The multipliers belong to the linear problem: what they leave out is added.
        loop {
            let some = self.members_of(|owner| core.contains(&owner));
            let place = match self.fit(&some)? {
                Some(place) if !place.passes() => break,
                Some(place) => place,
                None => found.clone(),
            };
            let outside = rest
                .iter()
                .filter(|(k, _)| !core.contains(&self.owner[*k]))
                .min_by(|a, b| place.left_over(&a.1).total_cmp(&place.left_over(&b.1)));
            // Where nothing is outside, this is a place at which all conform.
            match outside {
                Some((k, m)) if !place.holds(m) => core.push(self.owner[*k]),
                _ => return Ok(None),
            }
        }
        // The feature with the lightest multiplier is tried first.
        for k in (0..core.len()).rev() {
            let mut less = core.clone();
            less.remove(k);
            if !self.conforms(&less)? {
                core = less;
            }
        }
        Ok(Some(core))
    }

    /// The best of the smallest sets.
    fn best(self, all_compared: bool) -> Result<Rework, Unfit> {
        let mut best: Option<(f64, &Set, Fit)> = None;
        for set in &self.found {
            let (enlargement, place) = self.enlargement(set)?;
            let better = best.as_ref().is_none_or(|(least, before, _)| {
                let apart = enlargement - least;
                apart < -NOISE || (apart < NOISE && set < before)
            });
            if better {
                best = Some((enlargement, set, place));
            }
        }
        let Some((enlargement, set, place)) = best else {
            return Ok(Rework::NotFound { at_least: 0, nodes: self.nodes });
        };
        let members = self.members_of(|owner| set.contains(&owner));
        let needed = |m: &Member| 2.0 * m.zone.distance(place.deviation(m.nominal, m.measured));
        Ok(Rework::Fewest(Fewest {
            members: members
                .iter()
                .map(|(index, m)| Reworked { index: *index, needed: needed(m) })
                .collect(),
            enlargement,
            compared: self.found.len(),
            all_compared,
            nodes: self.nodes,
            pose: place.pose(),
        }))
    }

    /// By how much the zones of a set must grow at least if all others are to stay inside theirs,
    /// mm, as a radius, and the place at which it is so.
    fn enlargement(&self, set: &[usize]) -> Result<(f64, Fit), Unfit> {
        let reworked = self.members_of(|owner| set.contains(&owner));
        let rest = self.members_of(|owner| !set.contains(&owner));
        let place = self.fit(&rest)?;
        // Others that conform within rounding do so at the place found for them.
        let more = place.as_ref().map_or(0.0, |place| place.s().max(0.0));
        let mut bounds = self.bounds.to_vec();
        bounds.extend(
            rest.iter().map(|(_, m)| Bound::within(m.nominal, m.measured, m.zone.grown(more))),
        );
        let members: Vec<Member> = reworked.iter().map(|m| m.1).collect();
        let best = match (fit(&members, &bounds, self.freedom)?, place) {
            (best, Some(place)) if !best.gauge_goes_on() => place,
            (best, _) => best,
        };
        let worst = members.iter().map(|m| -best.left_over(m)).fold(f64::NEG_INFINITY, f64::max);
        Ok((worst, best))
    }
}
