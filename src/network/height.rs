//! Heights over the site's datum or, where nothing ties them to it, over a named level of their own.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::span::Span;
use crate::base::units::Length;
use crate::base::units::Level;
use crate::record::quantity::LevelAt;
use crate::record::sections::Record;
use std::collections::BTreeMap;

/// What a height is counted from. Heights of one root can be subtracted, heights of two cannot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Root(u32);

impl Root {
    /// The site's datum, the one that absolute levels are given above.
    pub const SITE: Root = Root(0);
}

/// Why a height is what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Because {
    /// It is written in the record.
    Written(Span),
    /// It follows from the fall of a leg, by its position.
    Fall(usize),
    /// It follows from a join between two legs.
    Join(usize, usize),
    /// It follows from the foot of a stack.
    Foot(usize),
    /// It follows from the inverts read along a leg.
    Along(usize),
    /// It follows from what is said of the way through a chamber, by position in the record.
    Channel(usize),
}

/// A height of a line `L`, with what it may be off and how it is known.
#[derive(Debug, PartialEq)]
pub struct Height<L> {
    /// What it is counted from.
    pub root: Root,
    /// The level over that.
    pub level: Level<L>,
    /// Its own spread: of the reading, without what the named level behind it may be off.
    pub half: Length,
    /// The named level that it was read from, by position; readings from one share its error.
    pub base: Option<u32>,
    /// What that named level may itself be off.
    pub base_half: Length,
    /// How it is known.
    pub how: How,
    /// Why.
    pub because: Because,
    /// Steps of reckoning from the record.
    pub hops: u32,
}

impl<L> Clone for Height<L> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<L> Copy for Height<L> {}

impl<L> Height<L> {
    /// The level of another line, so far above this one.
    pub fn to<M>(self, above: Length) -> Height<M> {
        Height {
            root: self.root,
            level: self.level.to(above),
            half: self.half,
            base: self.base,
            base_half: self.base_half,
            how: self.how,
            because: self.because,
            hops: self.hops,
        }
    }

    /// The height at a place between this one and another, so far of the whole way to it; `None` when they have different
    /// roots. Its reason stays this one's.
    pub fn between(&self, other: &Self, part: Length, whole: Length) -> Option<Self> {
        if self.root != other.root {
            return None;
        }
        let mix = |a: Length, b: Length| a + (b - a).share(part, whole);
        let level = self.level + other.level.above(self.level).share(part, whole);
        let (base, half, base_half) = if self.base == other.base {
            (self.base, mix(self.half, other.half), mix(self.base_half, other.base_half))
        } else {
            (None, mix(self.half + self.base_half, other.half + other.base_half), Length::ZERO)
        };
        let hops = self.hops.max(other.hops) + 1;
        Some(Self { level, base, half, base_half, how: self.how.with(other.how), hops, ..*self })
    }

    /// The level above the site's datum; `None` when nothing ties it to that.
    pub fn absolute(&self) -> Option<Level<L>> {
        (self.root == Root::SITE).then_some(self.level)
    }

    /// How much higher this is than another, of whatever line; `None` when they have different roots.
    pub fn above<M>(&self, other: &Height<M>) -> Option<Known<Length>> {
        if self.root != other.root {
            return None;
        }
        let shared = self.base.is_some() && self.base == other.base;
        let bases = if shared { Length::ZERO } else { self.base_half + other.base_half };
        let half = self.half + other.half + bases;
        Some(Known { value: self.level.above(other.level), half, how: self.how.with(other.how) })
    }
}

#[derive(Clone, Copy, Debug)]
struct Named {
    root: Root,
    um: i64,
    half: Length,
    how: How,
}

/// The named levels of a record, each brought back to its root.
#[derive(Clone, Debug, Default)]
pub struct NamedLevels {
    names: BTreeMap<String, (u32, Named)>,
}

impl NamedLevels {
    /// Resolves every named level. One that leads in a circle, or to a name that is not there, is a root of its own.
    pub fn of(record: &Record) -> Self {
        let mut all = Self::default();
        let mut next_root = 1;
        for item in &record.levels {
            all.resolve(record, &item.id, &mut next_root, 0);
        }
        // Names without a section `levels`: each is a height of its own.
        record.each_level(|at, _, _| {
            if let Some(base) = &at.base {
                all.resolve(record, base, &mut next_root, 0);
            }
        });
        all
    }

    fn resolve(&mut self, record: &Record, name: &str, next_root: &mut u32, depth: usize) -> Named {
        if let Some((_, named)) = self.names.get(name) {
            return *named;
        }
        let own_root = |next: &mut u32| {
            let root = Root(*next);
            *next += 1;
            Named { root, um: 0, half: Length::ZERO, how: How::Stated }
        };
        let field = record.levels.get(name).map(|i| &i.body.mark.is);
        let written = field.and_then(|f| f.get().map(|at| (at.clone(), record.how(f))));
        let named = match written {
            Some((at, how)) if depth <= record.levels.len() => match &at.base {
                None => Named { root: Root::SITE, um: at.offset.um(), half: Length::ZERO, how },
                Some(base) if base != name => {
                    let below = self.resolve(record, base, next_root, depth + 1);
                    let half = reading_half(record, &at, how, None);
                    Named { root: below.root, um: below.um + at.offset.um(), half: below.half + half, how }
                }
                Some(_) => own_root(next_root),
            },
            Some(_) | None => own_root(next_root),
        };
        let index = u32::try_from(self.names.len()).unwrap_or(u32::MAX);
        self.names.entry(name.to_owned()).or_insert((index, named)).1
    }

    /// The height of a level as written, read with the given instrument's spread.
    pub fn height<L>(&self, at: &LevelAt, how: How, half: Length, span: Span) -> Option<Height<L>> {
        let made = |root, um, base, base_half, how| Height {
            root,
            level: Level::from_um(um),
            half,
            base,
            base_half,
            how,
            because: Because::Written(span),
            hops: 0,
        };
        let Some(base) = &at.base else { return Some(made(Root::SITE, at.offset.um(), None, Length::ZERO, how)) };
        let (index, named) = self.names.get(base)?;
        let how = if named.how == How::Believed { How::Believed } else { how };
        Some(made(named.root, named.um.saturating_add(at.offset.um()), Some(*index), named.half, how))
    }
}

/// Half-width of a level as written: of the instrument when it was measured, never less than half the last digit.
pub fn reading_half(record: &Record, at: &LevelAt, how: How, kit: Option<Length>) -> Length {
    if at.base.is_none() || at.offset == Length::ZERO {
        return Length::ZERO;
    }
    let instrument = if how == How::Measured { kit.or_else(|| record.level_spread(None)) } else { None };
    at.half.max(instrument.unwrap_or(Length::ZERO))
}
