//! A branch that carries several WCs, or several basins, has no more of them, length, size and slope than the guidance
//! allows.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::compute::spacing::sum;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::finding;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("common-branch"),
    title: "Number, length, size and slope of a branch that carries several appliances",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::BRANCH_COMMON_SIZE_MINIMUM.path(),
        key::BRANCH_COMMON_APPLIANCES_MAXIMUM.path(),
        key::BRANCH_COMMON_LENGTH_MAXIMUM.path(),
        key::BRANCH_COMMON_SLOPE_MINIMUM.path(),
        key::BRANCH_COMMON_SLOPE_MAXIMUM.path(),
        key::BRANCH_COMMON_BENDS_MAXIMUM.path(),
    ],
    check,
};

/// A new common branch, and what discharges into it.
struct Common<'a> {
    item: &'a Item<Pipe>,
    leg: usize,
    /// The pipes from its head down to it.
    line: Vec<usize>,
    size: Option<Nominal>,
    kinds: Vec<ApplianceKind>,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let legs = ctx.network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::CommonBranch);
    let new = |item: &&Item<Pipe>| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    legs.filter_map(|(leg, own)| of_leg(ctx, rule, leg, ctx.record.pipes.at(own.pipe).filter(new)?)).collect()
}

fn of_leg(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let line = line(ctx, leg);
    if line.iter().any(|l| ventilated(ctx, *l)) {
        return None;
    }
    let kinds = match kinds(ctx, leg) {
        Ok(kinds) => kinds,
        Err((field, what)) => return Some(open(ctx, rule, item, field, what)),
    };
    let size = ctx.network.legs.get(leg)?.nominal;
    if size.is_none() {
        return Some(open(ctx, rule, item, format!("pipes.{}.size", item.id), "its size".to_owned()));
    }
    let common = Common { item, leg, line, size, kinds };
    match common.appliance() {
        Some(word) => judge(ctx, rule, &common, word),
        None => Some(without_a_line(ctx, rule, &common)),
    }
}

/// The pipes of the way from its head that run into one another end to end.
fn line(ctx: &Ctx<'_>, leg: usize) -> Vec<usize> {
    let mut all = vec![leg];
    while let Some(End::Pipe(up)) = all.last().and_then(|l| ctx.network.legs.get(*l)).map(|l| l.ends.from) {
        let branch = |l: usize| {
            ctx.network.legs.get(l).is_some_and(|l| matches!(l.derived.kind, Kind::Branch | Kind::CommonBranch))
        };
        if all.contains(&up) || !branch(up) {
            break;
        }
        all.push(up);
    }
    all
}

fn ventilated(ctx: &Ctx<'_>, leg: usize) -> bool {
    ctx.network.legs.iter().any(|vent| {
        let there = |p: &Item<Pipe>| !p.broken && p.body.stage_now() != Stage::Removed;
        vent.derived.kind == Kind::Vent
            && vent.ends.from == End::Pipe(leg)
            && ctx.record.pipes.at(vent.pipe).is_some_and(there)
    })
}

/// The kinds of everything that discharges into a pipe, or the field that would tell one of them and what it would tell.
fn kinds(ctx: &Ctx<'_>, leg: usize) -> Result<Vec<ApplianceKind>, (String, String)> {
    let (mut kinds, mut seen, mut open) = (Vec::new(), Vec::new(), vec![leg]);
    while let Some(at) = open.pop() {
        let Some(own) = ctx.network.legs.get(at).filter(|_| !seen.contains(&at)) else { continue };
        seen.push(at);
        let Some(item) = ctx.record.pipes.at(own.pipe).filter(|p| p.body.stage_now() != Stage::Removed) else {
            continue;
        };
        let feeding = ctx.network.feeding.get(at).map_or(&[][..], Vec::as_slice);
        open.extend(feeding);
        match own.ends.from {
            End::Appliance(a) => kinds.extend(at_trap(ctx, a)?),
            // What a pipe without a beginning carries comes in along its way.
            End::Absent if !feeding.is_empty() && item.body.from.is_absent() => {}
            End::Pipe(_) | End::Temporary => {}
            End::Absent | End::Unknown | End::Access(_) | End::Outfall(_) => {
                return Err((format!("pipes.{}.from", item.id), format!("what comes in at the head of {}", item.id)));
            }
        }
    }
    Ok(kinds)
}

/// An appliance and those that share its trap.
fn at_trap(ctx: &Ctx<'_>, appliance: usize) -> Result<Vec<ApplianceKind>, (String, String)> {
    let Some(own) = ctx.record.appliances.at(appliance) else { return Ok(Vec::new()) };
    let sharing = ctx.record.appliances.iter().filter(|a| a.body.into.get().is_some_and(|r| r.0 == own.id));
    std::iter::once(own)
        .chain(sharing)
        .map(|item| {
            let believed = !item.body.what.is_absent() && ctx.record.how(&item.body.what) == How::Believed;
            let unknown = || (format!("appliances.{}.what", item.id), format!("what {} is", item.id));
            kind_of(item).filter(|_| !believed).ok_or_else(unknown)
        })
        .collect()
}

impl Common<'_> {
    /// The word under which the table has them; `None` when no line of it holds them all.
    fn appliance(&self) -> Option<&'static str> {
        let all = |of: &[ApplianceKind]| !self.kinds.is_empty() && self.kinds.iter().all(|k| of.contains(k));
        if all(&[ApplianceKind::Wc]) {
            return Some(ApplianceKind::Wc.word());
        }
        let basins = all(&[ApplianceKind::Basin, ApplianceKind::Bidet]);
        // Where a bidet is among them, what holds for basins alone is not taken.
        let bidet = self.kinds.contains(&ApplianceKind::Bidet);
        basins.then_some(if bidet { ApplianceKind::Bidet.word() } else { ApplianceKind::Basin.word() })
    }

    fn subject<'r, T>(&self, rule: &'r Rule, key: &str, field: &Field<T>) -> Subject<'r> {
        laid::subject(self.item, rule, key, field)
    }

    fn how(&self, ctx: &Ctx<'_>, how: How) -> How {
        laid::by_size(ctx, self.item, how)
    }

    /// `5 WCs`, `3 basins, 1 WC`.
    fn words(&self) -> String {
        let mut counted: Vec<(ApplianceKind, usize)> = Vec::new();
        for kind in &self.kinds {
            match counted.iter_mut().find(|(k, _)| k == kind) {
                Some((_, n)) => *n += 1,
                None => counted.push((*kind, 1)),
            }
        }
        counted.sort_by_key(|(kind, _)| *kind);
        let word = |(kind, n): &(ApplianceKind, usize)| {
            let word = kind.word().replace("wc", "WC");
            let ending = match (*n, word.ends_with('h')) {
                (1, _) => "",
                (_, true) => "es",
                (_, false) => "s",
            };
            format!("{n}\u{a0}{word}{ending}")
        };
        counted.iter().map(word).collect::<Vec<_>>().join(", ")
    }
}

/// Not shown for want of a fact on which everything hangs.
fn open(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, field: String, what: String) -> Finding {
    let subject = Subject { field, ..laid::subject(item, rule, "size", &item.body.size) };
    let mut out = finding(&subject, Verdict::NotShown);
    cite(&mut out, any(ctx).citation());
    unsettled(&mut out, &subject, what);
    out
}

fn any(ctx: &Ctx<'_>) -> Answer<Nominal> {
    ctx.rulebook.ask(key::BRANCH_COMMON_SIZE_MINIMUM, &Facts::new().with(Fact::Appliance, ApplianceKind::Wc.word()))
}

/// The table has no line for what comes together here: a calculation to the standard, with its paper, takes its place.
fn without_a_line(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>) -> Finding {
    let item = common.item;
    let design = item.body.designed.get();
    let to =
        design.and_then(|d| d.to.get().filter(|to| to.0.contains("12056") && ctx.record.how(&d.to) != How::Believed));
    let doc = design.and_then(|d| d.doc.get()).filter(|d| ctx.record.documents.get(&d.0).is_some());
    let field = match (design, to) {
        (None, _) => "designed",
        (Some(_), None) => "designed.to",
        (Some(_), Some(_)) => "designed.doc",
    };
    let mut out = open(
        ctx,
        rule,
        item,
        format!("pipes.{}.{field}", item.id),
        format!("a calculation to BS EN 12056-2 for {} on one branch, which the table has no line for", common.words()),
    );
    out.measured = common.words();
    if let (Some(to), Some(doc)) = (to, doc) {
        out.verdict = Verdict::Met;
        out.measured = format!("{}; designed to {} ({})", common.words(), to.0, doc.0);
        out.limit = "by calculation".to_owned();
        (out.text, out.remedy) = (String::new(), None);
    }
    out
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, word: &'static str) -> Option<Finding> {
    let facts = Facts::new().with(Fact::Appliance, word).with(Fact::Size, common.size);
    let size = size(ctx, rule, common, &facts);
    let unlisted = matches!(ctx.rulebook.ask(key::BRANCH_COMMON_APPLIANCES_MAXIMUM, &facts), Answer::Silent);
    if unlisted && size.verdict == Verdict::Met {
        return Some(without_a_line(ctx, rule, common));
    }
    let all = vec![
        size,
        number(ctx, rule, common, &facts),
        length(ctx, rule, common, &facts),
        flat(ctx, rule, common, &facts),
        steep(ctx, rule, common, &facts),
        bends(ctx, rule, common, &facts),
    ];
    governing(all)
}

fn size(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let field = &common.item.body.size;
    let measure = match field.get() {
        Some(s) => Measure::plain(s.nominal, ctx.record.how(field), format!("{}, {}", s.label, common.words())),
        None => Measure::Missing("its size".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::BRANCH_COMMON_SIZE_MINIMUM, facts);
    hold(&common.subject(rule, "size", field), &measure, &answer, |limit: &Nominal, _| {
        (format!("too narrow for {}", common.words()), format!("a pipe of {} or more", limit.words()))
    })
}

fn number(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let count = u32::try_from(common.kinds.len()).unwrap_or(u32::MAX);
    let measure = Measure::plain(count, common.how(ctx, How::Computed), common.words());
    let answer = ctx.rulebook.ask(key::BRANCH_COMMON_APPLIANCES_MAXIMUM, facts);
    let subject = common.subject(rule, "size", &common.item.body.size);
    hold(&subject, &measure, &answer, |limit: &u32, found| {
        let over = found.saturating_sub(*limit);
        (format!("{over} more than one pipe of this size may take"), "a larger pipe, or a second branch".to_owned())
    })
}

fn length(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let lengths = common.line.iter().map(|l| ctx.network.legs.get(*l).and_then(|l| l.length));
    let whole = lengths.reduce(sum).flatten();
    let lacking = common.line.iter().find(|l| ctx.network.legs.get(**l).is_none_or(|l| l.length.is_none()));
    let measure = match whole {
        Some(known) => {
            let from = if common.line.len() > 1 { " from its head" } else { "" };
            let words = format!("{}\u{a0}m{from}", known.value.metres(2));
            Measure::length(Known { how: common.how(ctx, known.how), ..known }, words)
        }
        None => Measure::Missing("its length".to_owned()),
    };
    let mut subject = common.subject(rule, "length", &common.item.body.length);
    if let Some(leg) = lacking {
        subject.field = format!("pipes.{}.length", ctx.network.id(*leg));
    }
    let answer = ctx.rulebook.ask(key::BRANCH_COMMON_LENGTH_MAXIMUM, facts);
    hold(&subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too long without its own vent"), "a vent of its own, or a shorter way".to_owned())
    })
}

fn slope(ctx: &Ctx<'_>, common: &Common<'_>) -> Measure<Gradient> {
    let words = |g: Gradient| format!("{}\u{a0}mm/m, {}", g.mm_per_m(), g.in_words());
    laid::slope(ctx, common.leg, |how| common.how(ctx, how), words)
}

/// Where space is short several WCs may do with less fall; that is asked only of a fall that would then do.
fn flat(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let (found, reason) = (slope(ctx, common), &common.item.body.short_of_space);
    let ask = |short: Option<bool>| {
        ctx.rulebook.ask(key::BRANCH_COMMON_SLOPE_MINIMUM, &facts.clone().with(Fact::ShortOfSpace, short))
    };
    let value = match &found {
        Measure::Is { value, .. } => Some(*value),
        Measure::Missing(_) => None,
    };
    let hopeless = ask(Some(true)).limit().zip(value).is_some_and(|(l, v)| !l.met_by(&v));
    let said = reason.get().filter(|_| ctx.record.how(reason) != How::Believed).map(|_| true);
    let answer = ask(if hopeless || reason.is_none() { Some(false) } else { said });
    let eases = answer.limit().zip(value).is_some_and(|(l, v)| !l.would_ease.is_empty() && !l.met_by(&v));
    let key = if eases { "short-of-space" } else { "fall" };
    let subject = common.subject(rule, key, &common.item.body.fall);
    hold(&subject, &found, &answer, |limit: &Gradient, _| {
        (format!("flatter than {}\u{a0}mm/m", limit.mm_per_m()), "more fall".to_owned())
    })
}

fn steep(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let answer = ctx.rulebook.ask(key::BRANCH_COMMON_SLOPE_MAXIMUM, facts);
    let subject = common.subject(rule, "fall", &common.item.body.fall);
    hold(&subject, &slope(ctx, common), &answer, |limit: &Gradient, _| {
        (format!("steeper than {}\u{a0}mm/m", limit.mm_per_m()), "less fall, or a vent of its own".to_owned())
    })
}

fn bends(ctx: &Ctx<'_>, rule: &Rule, common: &Common<'_>, facts: &Facts) -> Finding {
    let field = &common.item.body.bends;
    let measure = match laid::bends(ctx.record, &common.item.body) {
        Some(n) => Measure::plain(n, common.how(ctx, ctx.record.how(field)), laid::bends_words(n)),
        None => Measure::Missing("what bends it has".to_owned()),
    };
    let answer = ctx.rulebook.ask(key::BRANCH_COMMON_BENDS_MAXIMUM, facts);
    hold(&common.subject(rule, "bends", field), &measure, &answer, |_: &u32, _| {
        ("more bends than so flat a pipe may have".to_owned(), "a straighter way, or a vent of its own".to_owned())
    })
}
