//! Crossings: which parts of the building a pipe must go through, from the places at its ends.

use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::record::sections::Record;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::VecDeque;

/// A pipe through an element.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crossing {
    /// The pipe, by position in the record.
    pub pipe: usize,
    /// The element, by position in the record.
    pub element: usize,
    /// Whether it must be; else it may be.
    pub certain: bool,
    /// The penetration that describes it, by position in the record.
    pub penetration: Option<usize>,
}

/// Places as a graph, its edges the elements between them.
struct Plan<'r> {
    next: BTreeMap<&'r str, Vec<(&'r str, usize)>>,
}

/// Finds every crossing, in the order of the record; `feeding` has for each leg those that end in it.
pub fn find(record: &Record, legs: &[Leg], feeding: &[Vec<usize>]) -> Vec<Crossing> {
    let plan = Plan::of(record);
    let places = places(record, legs, feeding);
    let mut found: Vec<(usize, usize, bool)> = Vec::new();
    for leg in legs {
        let Some(own) = places.get(leg.pipe) else { continue };
        let certain: BTreeSet<usize> = spans(&plan, own).into_iter().collect();
        found.extend(certain.iter().map(|e| (leg.pipe, *e, true)));
        // A drain that joins another at a place where that one may be on either side may cross the same elements.
        if let (Kind::Drain, End::Pipe(into)) = (leg.derived.kind, leg.ends.to)
            && legs.get(into).is_some_and(|l| l.derived.kind == Kind::Drain)
            && own.len() == 1
            && let Some(theirs) = places.get(into)
        {
            let may = spans(&plan, theirs);
            found.extend(may.into_iter().filter(|e| !certain.contains(e)).map(|e| (leg.pipe, e, false)));
        }
    }
    let described = described(record);
    let mut crossings: Vec<Crossing> = found
        .into_iter()
        .map(|(pipe, element, certain)| {
            let penetration = described.get(&(pipe, element)).copied();
            Crossing { pipe, element, certain, penetration }
        })
        .collect();
    // Penetrations that the record describes and the places do not imply are crossings all the same.
    let implied: BTreeSet<(usize, usize)> = crossings.iter().map(|c| (c.pipe, c.element)).collect();
    let beyond = described.into_iter().filter(|(at, _)| !implied.contains(at));
    crossings.extend(beyond.map(|((pipe, element), i)| Crossing {
        pipe,
        element,
        certain: true,
        penetration: Some(i),
    }));
    crossings.sort_by_key(|c| (c.pipe, c.element));
    crossings
}

/// The first penetration that describes each pipe through each element.
fn described(record: &Record) -> BTreeMap<(usize, usize), usize> {
    let mut all = BTreeMap::new();
    for (i, item) in record.penetrations.iter().enumerate() {
        let pipe = item.body.pipe.get().and_then(|r| record.pipes.position(&r.0));
        let element = item.body.element.get().and_then(|r| record.elements.position(&r.0));
        if let (Some(pipe), Some(element)) = (pipe, element) {
            all.entry((pipe, element)).or_insert(i);
        }
    }
    all
}

/// The places that each pipe is known to reach, in the order of the record.
fn places<'r>(record: &'r Record, legs: &[Leg], feeding: &[Vec<usize>]) -> Vec<BTreeSet<&'r str>> {
    let mut all: Vec<BTreeSet<&str>> = legs.iter().map(|leg| own_places(record, leg)).collect();
    // Branches bring their rooms to the stack they enter, and a stack its lowest room to its drain.
    for leg in legs {
        if let End::Pipe(into) = leg.ends.to
            && legs.get(into).is_some_and(|l| l.derived.kind == Kind::Stack)
            && let Some(mine) = all.get(leg.pipe).cloned()
            && let Some(theirs) = all.get_mut(into)
        {
            theirs.extend(mine);
        }
    }
    for leg in legs {
        let stack = match (leg.ends.from, leg.derived.kind) {
            (End::Pipe(s), Kind::Drain | Kind::Vent) if legs.get(s).is_some_and(|l| l.derived.kind == Kind::Stack) => s,
            _ => continue,
        };
        let end = stack_end(record, legs, feeding.get(stack), leg.derived.kind == Kind::Vent);
        if let (Some(place), Some(mine)) = (end, all.get_mut(leg.pipe)) {
            mine.insert(place);
        }
    }
    all
}

fn own_places<'r>(record: &'r Record, leg: &Leg) -> BTreeSet<&'r str> {
    let mut own = BTreeSet::new();
    for end in [leg.ends.from, leg.ends.to] {
        let place = match end {
            End::Appliance(i) => record.appliances.at(i).and_then(|a| a.body.place.get()),
            End::Access(i) => record.access.at(i).and_then(|a| a.body.place.get()),
            End::Outfall(i) => record.outfalls.at(i).and_then(|o| o.body.place.get()),
            End::Pipe(_) | End::Temporary | End::Unknown | End::Absent => None,
        };
        own.extend(place.map(|p| p.0.as_str()));
    }
    let top = record.pipes.at(leg.pipe).and_then(|p| p.body.top.get());
    if leg.derived.kind == Kind::Vent && top.is_some_and(|t| record.terminals.get(&t.0).is_some()) {
        own.insert("outside");
    }
    own
}

/// The room at the top or the foot of a stack: that of its highest or lowest branch with a place.
fn stack_end<'r>(record: &'r Record, legs: &[Leg], feeding: Option<&Vec<usize>>, top: bool) -> Option<&'r str> {
    let mut entries: Vec<(i64, &str)> = Vec::new();
    for leg in feeding.into_iter().flatten().filter_map(|leg| legs.get(*leg)) {
        let End::Appliance(a) = leg.ends.from else { continue };
        let appliance = record.appliances.at(a)?;
        let Some(place) = appliance.body.place.get() else { continue };
        let height = entry_height(record, leg)?;
        entries.push((height, place.0.as_str()));
    }
    let pick = if top { entries.iter().max() } else { entries.iter().min() };
    pick.map(|(_, place)| *place)
}

/// A height that orders entries on one stack: through the named levels to whatever they rest on.
fn entry_height(record: &Record, leg: &Leg) -> Option<i64> {
    use crate::record::quantity::Station;
    match record.pipes.at(leg.pipe)?.body.at.get()? {
        Station::AboveFoot(m) => Some(m.value.um()),
        Station::Level(at) => {
            let mut total = at.offset.um();
            let mut base = at.base.clone();
            for _ in 0..=record.levels.len() {
                let Some(name) = base else { break };
                let Some(next) = record.levels.get(&name).and_then(|l| l.body.mark.is.get()) else { break };
                total = total.saturating_add(next.offset.um());
                base = next.base.clone();
            }
            Some(total)
        }
        Station::Along { .. } => None,
    }
}

/// The elements that part the places of a set from one another: each place from the first, by the shortest way.
fn spans(plan: &Plan<'_>, places: &BTreeSet<&str>) -> Vec<usize> {
    let mut places = places.iter();
    let Some(first) = places.next() else { return Vec::new() };
    let mut all: Vec<usize> = places.flat_map(|place| plan.way(first, place)).collect();
    all.sort_unstable();
    all.dedup();
    all
}

impl<'r> Plan<'r> {
    fn of(record: &'r Record) -> Self {
        let mut next: BTreeMap<&str, Vec<(&str, usize)>> = BTreeMap::new();
        for (i, element) in record.elements.iter().enumerate() {
            let sides: Vec<&str> =
                element.body.between.get().into_iter().flat_map(|l| l.iter()).map(|t| t.0.as_str()).collect();
            if let [a, b] = sides.as_slice() {
                next.entry(a).or_default().push((b, i));
                next.entry(b).or_default().push((a, i));
            }
        }
        Self { next }
    }

    /// Elements on the shortest way between two places; nothing when there is none.
    fn way(&self, from: &str, to: &str) -> Vec<usize> {
        let mut came: BTreeMap<&str, (&str, usize)> = BTreeMap::new();
        let mut queue = VecDeque::from([from]);
        while let Some(place) = queue.pop_front() {
            if place == to {
                break;
            }
            for (other, element) in self.next.get(place).into_iter().flatten() {
                if *other != from && !came.contains_key(other) {
                    came.insert(other, (place, *element));
                    queue.push_back(other);
                }
            }
        }
        let mut way = Vec::new();
        let mut place = to;
        while let Some((before, element)) = came.get(place) {
            way.push(*element);
            place = before;
        }
        way
    }
}
