//! Circles in who names whom.

use std::collections::{BTreeMap, BTreeSet};

/// Who names whom, and the first place where.
#[derive(Debug, Default)]
pub struct Graph(BTreeMap<String, BTreeMap<String, String>>);

impl Graph {
    /// `from` names `to`, as `why` says.
    pub fn edge(&mut self, from: &str, to: &str, why: &str) {
        if from != to {
            let edges = self.0.entry(from.to_owned()).or_default();
            edges.entry(to.to_owned()).or_insert_with(|| why.to_owned());
        }
    }

    /// Every group in which each reaches each, with one way round its first.
    pub fn circles(&self) -> Vec<String> {
        let reach: BTreeMap<&str, BTreeSet<&str>> =
            self.0.keys().map(|from| (from.as_str(), self.reached(from))).collect();
        let mut seen = BTreeSet::new();
        let mut all = Vec::new();
        for (from, reached) in reach.iter().filter(|(from, reached)| reached.contains(**from)) {
            if seen.contains(from) {
                continue;
            }
            let back = |to: &&&str| reach.get(**to).is_some_and(|r| r.contains(from));
            let group: BTreeSet<&str> = reached.iter().filter(back).copied().collect();
            let names: Vec<&str> = group.iter().copied().collect();
            all.push(format!("{} ({})", names.join(", "), self.way_round(from, &group).join("; ")));
            seen.extend(group);
        }
        all
    }

    fn to(&self, from: &str) -> impl Iterator<Item = (&str, &str)> {
        self.0.get(from).into_iter().flatten().map(|(to, why)| (to.as_str(), why.as_str()))
    }

    fn reached(&self, from: &str) -> BTreeSet<&str> {
        let mut reached = BTreeSet::new();
        let mut next: Vec<&str> = self.to(from).map(|(to, _)| to).collect();
        while let Some(name) = next.pop() {
            if reached.insert(name) {
                next.extend(self.to(name).map(|(to, _)| to));
            }
        }
        reached
    }

    /// The shortest way from `start` back to it inside the group: why, at each step.
    fn way_round(&self, start: &str, group: &BTreeSet<&str>) -> Vec<String> {
        let mut ways: Vec<(&str, Vec<String>)> = vec![(start, Vec::new())];
        let mut seen = BTreeSet::new();
        while !ways.is_empty() {
            let mut longer = Vec::new();
            for (at, way) in ways {
                for (to, why) in self.to(at).filter(|(to, _)| group.contains(to)) {
                    let way = [way.clone(), vec![format!("{at} to {to}: {why}")]].concat();
                    if to == start {
                        return way;
                    }
                    if seen.insert(to) {
                        longer.push((to, way));
                    }
                }
            }
            ways = longer;
        }
        Vec::new()
    }
}

#[test]
fn a_circle_is_found_and_shown_with_its_shortest_way() {
    let mut graph = Graph::default();
    for (from, to) in [("a", "b"), ("b", "c"), ("c", "d"), ("d", "b"), ("c", "b"), ("a", "a"), ("e", "d")] {
        graph.edge(from, to, "x");
    }
    assert_eq!(graph.circles(), ["b, c, d (b to c: x; c to b: x)"]);
}

#[test]
fn what_only_points_down_is_no_circle() {
    let mut graph = Graph::default();
    for (from, to) in [("a", "b"), ("a", "c"), ("b", "c"), ("c", "d")] {
        graph.edge(from, to, "x");
    }
    assert_eq!(graph.circles(), [""; 0]);
}

#[test]
fn two_circles_are_two() {
    let mut graph = Graph::default();
    for (from, to) in [("a", "b"), ("b", "a"), ("b", "c"), ("c", "d"), ("d", "c")] {
        graph.edge(from, to, "x");
    }
    assert_eq!(graph.circles().len(), 2);
}
