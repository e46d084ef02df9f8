//! A drain lies on and in what the guidance asks for: bed, surround, size of stone and selected fill, by its material and
//! the class of its bed.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::ground::BedSpec;
use crate::record::ground::bed_of;
use crate::record::ground::bed_path;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::BedClass;
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
use crate::rules::laid::OTHER;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("bed-and-surround"),
    title: "Bed and surround of a drain",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::DRAIN_BED_SOCKET_CLEARANCE_MINIMUM.path(),
        key::DRAIN_BED_UNDER_MINIMUM.path(),
        key::DRAIN_BED_OVER_MINIMUM.path(),
        key::DRAIN_BED_SELECTED_FILL_MINIMUM.path(),
        key::DRAIN_BED_ALL_ROUND.path(),
        key::DRAIN_BED_STONE_MAXIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_drains().filter_map(|(_, item)| judge(ctx, rule, item)).collect()
}

/// A drain on its bed.
struct Bedded<'a> {
    ctx: &'a Ctx<'a>,
    rule: &'a Rule,
    item: &'a Item<Pipe>,
    spec: &'a BedSpec,
    material: &'static str,
    class: Option<BedClass>,
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>) -> Option<Finding> {
    if laid::in_concrete(ctx.record, item) {
        return None;
    }
    let open = |key: &str, what: &str| {
        let subject = laid::subject(item, rule, key, &item.body.bed);
        let mut out = finding(&subject, Verdict::NotShown);
        cite(&mut out, ctx.rulebook.ask(key::DRAIN_BED_SOCKET_CLEARANCE_MINIMUM, &Facts::new()).citation());
        unsettled(&mut out, &subject, what.to_owned());
        Some(out)
    };
    let material = item.body.material.get().filter(|_| ctx.record.how(&item.body.material) != How::Believed);
    let Some(material) = material.and_then(|m| laid::class(&m.0)) else {
        return open("material", "what the drain is made of");
    };
    if material == OTHER {
        return None;
    }
    let Some((_, spec)) = bed_of(ctx.record, item) else { return open("bed", "what it lies on") };
    let class = spec.class.get().filter(|_| ctx.record.how(&spec.class) != How::Believed).copied();
    let bedded = Bedded { ctx, rule, item, spec, material, class };
    governing(bedded.all())
}

impl Bedded<'_> {
    fn rigid(&self) -> bool {
        self.material != "plastic"
    }

    /// The class that the depth under it goes by: as recorded; a flexible pipe has stone all round.
    fn goes_by(&self) -> Option<&'static str> {
        match self.class {
            Some(BedClass::D) => None,
            Some(class) => Some(class.word()),
            None if self.rigid() => None,
            None => Some(BedClass::S.word()),
        }
    }

    fn subject(&self, key: &str) -> Subject<'_> {
        let field = bed_path(self.ctx.record, self.item, key);
        Subject { field, ..laid::subject(self.item, self.rule, key, &self.item.body.bed) }
    }

    fn all(&self) -> Vec<Finding> {
        let mut all: Vec<Finding> = self.class_fits().into_iter().collect();
        let material = Facts::new().with(Fact::PipeMaterial, self.material);
        let ask = |key, facts: &Facts| self.ctx.rulebook.ask(key, facts);
        if let Some(class) = self.goes_by() {
            let answer = ask(key::DRAIN_BED_UNDER_MINIMUM, &Facts::new().with(Fact::BedClass, class));
            all.push(self.depth(("under", "under it"), &self.spec.under, &answer));
        }
        all.push(self.depth(("over", "over it"), &self.spec.over, &ask(key::DRAIN_BED_OVER_MINIMUM, &material)));
        if !matches!(self.class, Some(BedClass::D | BedClass::N)) && (self.class.is_some() || !self.rigid()) {
            all.push(self.stone());
        }
        let fill = ask(key::DRAIN_BED_SELECTED_FILL_MINIMUM, &material);
        all.push(self.depth(("selected-fill", "of selected fill over it"), &self.spec.selected_fill, &fill));
        let joints = self.item.body.joints.get().map(|j| j.0.to_lowercase());
        if self.rigid() && joints.is_some_and(|joints| joints.contains("socket")) {
            let answer = ask(key::DRAIN_BED_SOCKET_CLEARANCE_MINIMUM, &Facts::new());
            all.push(self.depth(("sockets", "clear under its sockets"), &self.spec.sockets, &answer));
        }
        all
    }

    /// A flexible pipe has stone all round; of a rigid one the class has to be known.
    fn class_fits(&self) -> Option<Finding> {
        let subject = self.subject("class");
        let Some(class) = self.class else {
            if !self.rigid() {
                return None;
            }
            let mut out = finding(&subject, Verdict::NotShown);
            let answer = self.ctx.rulebook.ask(key::DRAIN_BED_SOCKET_CLEARANCE_MINIMUM, &Facts::new());
            cite(&mut out, answer.citation());
            unsettled(&mut out, &subject, "the class of its bed".to_owned());
            return Some(out);
        };
        let how = self.ctx.record.how(&self.spec.class);
        let measure = Measure::plain(class == BedClass::S, how, format!("class {}", class.word()));
        let facts = Facts::new().with(Fact::PipeMaterial, self.material);
        let answer = self.ctx.rulebook.ask(key::DRAIN_BED_ALL_ROUND, &facts);
        let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
            let text = "a flexible pipe without stone at its sides and over it is pressed out of shape";
            (text.to_owned(), "stone all round it, class S".to_owned())
        });
        out.limit = "class S".to_owned();
        (out.verdict != Verdict::NotApplicable).then_some(out)
    }

    fn depth(&self, (key, place): (&str, &str), field: &Field<Written>, answer: &Answer<Length>) -> Finding {
        let how = self.ctx.record.how(field);
        let measure = match field.get() {
            Some(m) => {
                // A bed is laid to its depth, not read off to the last digit.
                Measure::length(Known::exact(m.value, how), format!("{} {place}", m.words()))
            }
            None if field.is_none() => Measure::length(Known::exact(Length::ZERO, how), format!("nothing {place}")),
            None => Measure::Missing(format!("how much there is {place}")),
        };
        let mut out = hold(&self.subject(key), &measure, answer, |limit: &Length, found| {
            let short = (*limit - *found).millimetres();
            (format!("{short}\u{a0}mm too little {place}"), format!("{short}\u{a0}mm more {place}"))
        });
        out.limit = format!("{} {place}", out.limit);
        out
    }

    fn stone(&self) -> Finding {
        let field = &self.spec.stone;
        let how = laid::by_size(self.ctx, self.item, self.ctx.record.how(field));
        let measure = match field.get() {
            Some(m) => Measure::length(Known::exact(m.value, how), format!("{} stone", m.words())),
            None => Measure::Missing("the size of its stone".to_owned()),
        };
        let size = self.item.body.size.get().map(|s| s.nominal);
        let answer = self.ctx.rulebook.ask(key::DRAIN_BED_STONE_MAXIMUM, &Facts::new().with(Fact::Size, size));
        let mut out = hold(&self.subject("stone"), &measure, &answer, |limit: &Length, _| {
            let text = "stones that large do not lie close round a pipe of this size, and bear on it point by point";
            (text.to_owned(), format!("stone of {}\u{a0}mm", limit.millimetres()))
        });
        out.limit = format!("{} stone", out.limit);
        out
    }
}
