//! A pipe through what separates fire is sealed so that the element holds as long as without the hole.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size;
use crate::base::size::Nominal;
use crate::base::text::list;
use crate::base::units::Length;
use crate::network::fire;
use crate::network::fire::Resistance;
use crate::record::about::Document;
use crate::record::about::Element;
use crate::record::evidence::Face;
use crate::record::evidence::Penetration;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Ref;
use crate::record::words::Stage;
use crate::record::words::Text;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("fire-separating-crossing"),
    title: "Pipes sealed where they cross what separates fire",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::FIRE_SEAL.path(),
        key::FIRE_TEST_PIPE_ENDS.path(),
        key::FIRE_SMALL_PIPE_BORE_MAXIMUM.path(),
        key::FIRE_SMALL_PIPE_STOPPING.path(),
    ],
    check,
};

/// What is missing, and the path of the field that would settle it.
type Wanted = (String, String);

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let described = ctx.record.penetrations.iter().flat_map(|item| penetration(ctx, rule, item));
    described.chain(undescribed(ctx, rule)).collect()
}

/// Pipes that must, or may, go through such an element by the places they join, without a penetration in the record.
fn undescribed<'a>(ctx: &'a Ctx<'_>, rule: &'a Rule) -> impl Iterator<Item = Finding> + 'a {
    let bare = ctx.network.crossings.iter().filter(|c| c.penetration.is_none());
    bare.filter_map(move |crossing| {
        let (pipe, element) = (ctx.record.pipes.at(crossing.pipe)?, ctx.record.elements.at(crossing.element)?);
        let old = matches!(pipe.body.stage_now(), Stage::Existing | Stage::Removed);
        if old || pipe.broken || element.broken || !fire::separates(&element.body) {
            return None;
        }
        let subject = Subject {
            id: format!("{} through {}", pipe.id, element.id),
            span: pipe.id_span,
            planned: pipe.body.stage_now() == Stage::Planned,
            field: "penetrations".to_owned(),
            rule,
        };
        let wanted = if crossing.certain {
            format!("a penetration of {} by {}, with its seals", element.id, pipe.id)
        } else {
            format!("whether {} goes through {}, and its seals there", pipe.id, element.id)
        };
        Some(seal_of(ctx, &subject, &Measure::Missing(wanted), ""))
    })
}

/// Holds whether there is a seal that is good enough against the clause that asks for one.
fn seal_of(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<bool>, limit: &str) -> Finding {
    let answer = ctx.rulebook.ask(key::FIRE_SEAL, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &bool, _| {
        let text = "the hole lets fire through sooner than the element does".to_owned();
        (text, "a seal classed for this pipe and this element, fitted as its maker tells".to_owned())
    });
    out.limit = if limit.is_empty() { "sealed".to_owned() } else { limit.to_owned() };
    out
}

/// A pipe through an element, as the record describes it.
struct Hole<'a> {
    ctx: &'a Ctx<'a>,
    rule: &'a Rule,
    item: &'a Item<Penetration>,
    pipe: &'a Item<Pipe>,
    element: &'a Item<Element>,
}

/// What seals one face, or both.
struct Seal<'a> {
    words: &'a str,
    how: How,
    doc: Option<&'a Field<Ref>>,
    /// The path of the face.
    path: String,
}

fn penetration(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Penetration>) -> Vec<Finding> {
    let record = ctx.record;
    let body = &item.body;
    let pipe = body.pipe.get().and_then(|r| record.pipes.get(&r.0));
    let element = body.element.get().and_then(|r| record.elements.get(&r.0));
    let old = matches!(body.stage.get(), Some(Stage::Existing | Stage::Removed));
    match (pipe, element) {
        (Some(pipe), Some(element))
            if !item.broken && !old && !pipe.broken && !element.broken && fire::separates(&element.body) =>
        {
            Hole { ctx, rule, item, pipe, element }.faces()
        }
        _ => Vec::new(),
    }
}

impl Hole<'_> {
    /// One finding a face. A floor that is sealed from below, where the fire test heats it, may say none above.
    fn faces(&self) -> Vec<Finding> {
        let body = &self.item.body;
        if !body.faces.is_absent() && body.below.is_absent() && body.above.is_absent() {
            return vec![self.both()];
        }
        let without = |face: &Field<Face>| face.is_none() || face.get().is_some_and(|f| f.seal.is_none());
        let flat = self.element.body.what.get().is_some_and(|t| fire::lies_flat(&t.0) && !fire::stands(&t.0));
        let mut all = vec![self.face("below", &body.below)];
        if !(flat && without(&body.above) && !without(&body.below)) {
            all.push(self.face("above", &body.above));
        }
        all
    }

    fn subject<T>(&self, part: &str, said: &Field<T>, path: &str) -> Subject<'_> {
        Subject {
            id: format!("{} {part}", self.item.id).trim().to_owned(),
            span: if said.is_absent() { self.item.id_span } else { said.span },
            planned: self.item.body.stage.get() == Some(&Stage::Planned),
            field: path.to_owned(),
            rule: self.rule,
        }
    }

    /// Both faces of a wall, in words.
    fn both(&self) -> Finding {
        let faces = &self.item.body.faces;
        let subject = self.subject("", faces, &format!("penetrations.{}.faces", self.item.id));
        let path = format!("penetrations.{}.below", self.item.id);
        match faces.get() {
            _ if faces.is_none() => self.open(&subject),
            Some(words) => {
                self.sealed(&subject, &Seal { words: &words.0, how: self.ctx.record.how(faces), doc: None, path })
            }
            None => seal_of(self.ctx, &subject, &Measure::Missing("what seals its faces".to_owned()), &self.limit()),
        }
    }

    fn face(&self, side: &str, said: &Field<Face>) -> Finding {
        let path = format!("penetrations.{}.{side}", self.item.id);
        let seal = said.get().map(|f| &f.seal);
        let own = if seal.is_some() { format!("{path}.seal") } else { path.clone() };
        let subject = self.subject(side, said, &own);
        if said.is_none() || seal.is_some_and(Field::is_none) {
            return self.open(&subject);
        }
        match (seal.and_then(Field::get), said.get()) {
            (Some(words), Some(face)) => {
                let how = self.ctx.record.how(&face.seal);
                self.sealed(&subject, &Seal { words: &words.0, how, doc: Some(&face.doc), path })
            }
            _ => {
                let wanted = format!(
                    "what seals its {} face",
                    if side == "below" { "lower or outer" } else { "upper or inner" }
                );
                seal_of(self.ctx, &subject, &Measure::Missing(wanted), &self.limit())
            }
        }
    }

    /// What the element must hold, in words.
    fn limit(&self) -> String {
        self.need().map_or(String::new(), |n| n.words())
    }

    fn need(&self) -> Option<Resistance> {
        self.element.body.fire.get().and_then(|w| fire::resistance(&w.0))
    }

    fn open(&self, subject: &Subject<'_>) -> Finding {
        seal_of(self.ctx, subject, &Measure::plain(false, How::Stated, "no seal"), &self.limit())
    }

    /// By the class of its paper; where that does not show it, by size and material.
    fn sealed(&self, subject: &Subject<'_>, seal: &Seal<'_>) -> Finding {
        let by_class = self.by_class(subject, seal);
        if by_class.verdict == Verdict::Met {
            return by_class;
        }
        let by_size = self.by_size(subject, seal);
        if by_size.verdict == Verdict::Met { by_size } else { by_class }
    }

    /// Holds the class of a seal against what the element must hold.
    fn by_class(&self, subject: &Subject<'_>, seal: &Seal<'_>) -> Finding {
        let limit = self.limit();
        let missing = |(wanted, field): Wanted| {
            let subject = Subject { field, ..subject.clone() };
            let mut out = seal_of(self.ctx, &subject, &Measure::Missing(wanted), &limit);
            out.measured = seal.words.to_owned();
            out
        };
        if seal.doc.is_some_and(Field::is_none) {
            return seal_of(
                self.ctx,
                subject,
                &Measure::plain(false, How::Stated, format!("{}, no class", seal.words)),
                &limit,
            );
        }
        let (need, paper, class) = match self.class_of(seal) {
            Ok(found) => found,
            Err(wanted) => return missing(wanted),
        };
        let ends = class.ends.as_ref().map_or(String::new(), |e| format!("-{e}"));
        let words = format!("{}{ends}, {}", class.words(), paper.id);
        if !class.covers(&need) {
            let mut out = seal_of(self.ctx, subject, &Measure::plain(false, How::Stated, words), &limit);
            out.text = format!("the seal is classed {} where {} must hold {limit}", class.words(), self.element.id);
            return out;
        }
        if let Some(wanted) = self.not_for_this(paper, &class) {
            return missing(wanted);
        }
        seal_of(self.ctx, subject, &Measure::plain(true, How::Stated, words), &limit)
    }

    /// What the element must hold, and the paper that classes the seal; or what is missing of them.
    fn class_of(&self, seal: &Seal<'_>) -> Result<(Resistance, &Item<Document>, Resistance), Wanted> {
        let element = &self.element.id;
        let asked = format!("elements.{element}.fire");
        let need = self.need().ok_or_else(|| (format!("how long {element} must hold against fire"), asked.clone()))?;
        if self.ctx.record.how(&self.element.body.fire) == How::Believed {
            return Err((format!("how long {element} must hold, which is only believed"), asked));
        }
        if seal.how == How::Believed {
            return Err((format!("the seal ({}), which is only believed", seal.words), format!("{}.seal", seal.path)));
        }
        let doc = format!("{}.doc", seal.path);
        let wanted = || (format!("a paper that classes the seal ({})", seal.words), doc.clone());
        let named = seal.doc.and_then(Field::get).ok_or_else(wanted)?;
        let paper = self.ctx.record.documents.get(&named.0).filter(|p| !p.broken).ok_or_else(wanted)?;
        let says = paper.body.says.get().map(|t| t.0.as_str());
        let class = says.and_then(fire::resistance).ok_or_else(|| {
            (format!("what class {} gives the seal ({})", paper.id, seal.words), format!("documents.{}.says", paper.id))
        })?;
        Ok((need, paper, class))
    }

    /// Why a paper of a sufficient class does not speak for this pipe in this element.
    fn not_for_this(&self, paper: &Item<Document>, class: &Resistance) -> Option<Wanted> {
        self.ends_differ(paper, class).or_else(|| self.pipe_differs(paper)).or_else(|| self.element_differs(paper))
    }

    fn facts(&self) -> Facts {
        let material = self.pipe.body.material.get().map(|w| fire::material(&w.0));
        Facts::new().with(Fact::FireMaterial, material)
    }

    fn ends_differ(&self, paper: &Item<Document>, class: &Resistance) -> Option<Wanted> {
        let answer = match self.ctx.rulebook.ask(key::FIRE_TEST_PIPE_ENDS, &self.facts()) {
            Answer::Is(limit) => limit,
            Answer::Unknown(facts) => {
                let asks: Vec<&str> = facts.iter().map(|f| f.asks()).collect();
                return Some((list(&asks, "and"), format!("pipes.{}.material", self.pipe.id)));
            }
            _ => return None,
        };
        let fits = class.ends.as_ref().is_some_and(|ends| answer.met_by(ends));
        let said = class.ends.as_ref().map_or("none are said".to_owned(), |e| format!("{e} is said"));
        let wanted = format!("a class for {} pipe ends, or the maker\u{2019}s word for it ({said})", answer.words());
        (!fits).then(|| (wanted, format!("documents.{}.says", paper.id)))
    }

    fn pipe_differs(&self, paper: &Item<Document>) -> Option<Wanted> {
        let (pipe, body) = (&self.pipe.id, &self.pipe.body);
        let Some(size) = body.size.get().filter(|_| self.ctx.record.how(&body.size) != How::Believed) else {
            return Some((format!("the size of {pipe}"), format!("pipes.{pipe}.size")));
        };
        let Some(material) = body.material.get().filter(|_| self.ctx.record.how(&body.material) != How::Believed)
        else {
            return Some((format!("what {pipe} is made of"), format!("pipes.{pipe}.material")));
        };
        let field = format!("documents.{}.pipe", paper.id);
        let Some(said) = paper.body.pipe.get() else {
            return Some((format!("for which pipe {} speaks", paper.id), field));
        };
        let fits = speaks_of_size(&said.0, size.nominal) && letters(&said.0).contains(&letters(&material.0));
        (!fits).then(|| {
            (format!("a class for {pipe}, {} {}: {} is for {}", material.0, size.label, paper.id, said.0), field)
        })
    }

    fn element_differs(&self, paper: &Item<Document>) -> Option<Wanted> {
        let field = format!("documents.{}.element", paper.id);
        let Some(said) = paper.body.element.get() else {
            return Some((format!("for which kind of element {} speaks", paper.id), field));
        };
        let what = self.element.body.what.get().map_or("", |t: &Text| t.0.as_str());
        let other =
            (fire::lies_flat(what) && !fire::lies_flat(&said.0)) || (fire::stands(what) && !fire::stands(&said.0));
        other.then(|| (format!("a class for a {what}: {} is for {}", paper.id, said.0), field))
    }

    /// Holds a small pipe with fire-stopping round it against the table.
    fn by_size(&self, subject: &Subject<'_>, seal: &Seal<'_>) -> Finding {
        let body = &self.pipe.body;
        let path = |field: &str| format!("pipes.{}.{field}", self.pipe.id);
        let measure = match body.size.get() {
            Some(size) => {
                let how = [self.ctx.record.how(&body.size), self.ctx.record.how(&body.material), seal.how];
                let how = how.into_iter().max().unwrap_or(How::Believed);
                let words = format!("{}, {}", size.nominal.words(), seal.words);
                Measure::plain(Length::from_mm(i64::from(size.nominal.0)), how, words)
            }
            None => Measure::Missing(format!("the size of {}", self.pipe.id)),
        };
        let field = if body.size.get().is_some() { path("material") } else { path("size") };
        let subject = Subject { field, ..subject.clone() };
        let answer = self.ctx.rulebook.ask(key::FIRE_SMALL_PIPE_BORE_MAXIMUM, &self.facts());
        let mut out = hold(&subject, &measure, &answer, |most: &Length, is| {
            (format!("{} is wider than {}", is.millimetres(), most.millimetres()), String::new())
        });
        if out.verdict == Verdict::Met && !self.packed(seal.words) {
            unsettled(&mut out, &subject, "fire-stopping of a material that the guidance lists".to_owned());
        }
        out
    }

    /// Whether a seal is of a material that the guidance lists for small pipes.
    fn packed(&self, seal: &str) -> bool {
        let seal = seal.to_lowercase();
        match self.ctx.rulebook.ask(key::FIRE_SMALL_PIPE_STOPPING, &Facts::new()) {
            Answer::Is(limit) => limit.value.iter().any(|material| seal.contains(material)),
            _ => false,
        }
    }
}

/// Letters and digits only, small, so that `PVC-U`, `PVCu` and `uPVC` are one.
fn letters(words: &str) -> String {
    let plain: String = words.chars().filter(char::is_ascii_alphanumeric).collect();
    plain.to_ascii_lowercase().replace("upvc", "pvcu")
}

/// Whether words name a size, or two with it between them: `PVC-U 110 mm`, `PVC-U 40 to 160 mm`.
fn speaks_of_size(words: &str, wanted: Nominal) -> bool {
    let before = words.split("mm").next().unwrap_or(words);
    let numbers = before.split(|c: char| !c.is_ascii_digit()).filter(|n| !n.is_empty());
    let sizes: Vec<Nominal> = numbers.filter_map(|n| Some(size::read(&format!("{n} mm")).ok()?.nominal)).collect();
    match sizes.as_slice() {
        [one] => *one == wanted,
        [least, most] => words.contains("to") && (*least..=*most).contains(&wanted),
        _ => false,
    }
}
