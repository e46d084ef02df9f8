//! What protects a drain that lies shallow, by its kind and what passes over it: a slab with a cushion and bearings, or
//! concrete all round.

use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::record::ground::Encasement;
use crate::record::ground::Guard;
use crate::record::ground::Protection;
use crate::record::ground::Slab;
use crate::record::ground::bed_of;
use crate::record::pipework::Pipe;
use crate::record::quantity::Measure as Written;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Surface;
use crate::record::words::YesNo;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::finding;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// What is asked of the protection of a drain.
struct Asked<'a> {
    ctx: &'a Ctx<'a>,
    subject: Subject<'a>,
}

/// Holds what the record says that protects a drain; `None` when it says that nothing does, or nothing at all.
pub(super) fn protect(
    ctx: &Ctx<'_>,
    subject: &Subject<'_>,
    item: &Item<Pipe>,
    rigid: bool,
    surface: Surface,
) -> Option<Finding> {
    let field = format!("pipes.{}.protection", item.id);
    let asked = Asked { ctx, subject: Subject { field, ..subject.clone() } };
    let own = &item.body.protection;
    match own.get() {
        Some(Protection::Is(guard)) => Some(asked.guard(guard, rigid, surface)),
        Some(Protection::Said(words)) => {
            let what = "the measures of what protects it: a slab with cushion and bearing, or the thickness of concrete \
                        round it";
            Some(Finding { measured: words.clone(), ..asked.open("", what) })
        }
        None if own.is_unknown() => Some(asked.open("", "what protects it where it lies shallow")),
        None => {
            let concrete = bed_of(ctx.record, item).and_then(|(_, spec)| spec.concrete.get())?;
            let open = asked.open(".encasement.thick", "how thick the concrete round it is");
            Some(Finding { measured: format!("concrete: {}", concrete.0), ..open })
        }
    }
}

impl Asked<'_> {
    /// Not shown for want of one field.
    fn open(&self, key: &str, what: &str) -> Finding {
        let subject = self.at(key);
        let mut out = finding(&subject, Verdict::NotShown);
        unsettled(&mut out, &subject, what.to_owned());
        out
    }

    fn at(&self, key: &str) -> Subject<'_> {
        Subject { field: format!("{}{key}", self.subject.field), ..self.subject.clone() }
    }

    /// A rigid pipe, and one close under a slab, has concrete round it; a flexible one a slab over it or concrete round
    /// it, which is reinforced where wheels pass.
    fn guard(&self, guard: &Guard, rigid: bool, surface: Surface) -> Finding {
        let road = !rigid && matches!(surface, Surface::Drive | Surface::Road);
        let building = surface == Surface::Building;
        let all = match (guard.encasement.get(), guard.slab.get()) {
            (Some(round), _) => self.encasement(round, road, building),
            (None, Some(slab)) if !rigid && !building => self.slab(slab, road),
            _ => vec![self.open(".encasement", "concrete all round it")],
        };
        let words: Vec<String> = all.iter().map(|f| f.measured.clone()).filter(|w| !w.is_empty()).collect();
        let met = all.iter().all(|f| f.verdict == Verdict::Met);
        let mut out = governing(all).unwrap_or_else(|| self.open("", "what protects it"));
        if met {
            (out.measured, out.limit) = (words.join(", "), "protection".to_owned());
        }
        out
    }

    fn encasement(&self, round: &Encasement, road: bool, building: bool) -> Vec<Finding> {
        let thick = (".encasement.thick", "concrete round it", "thick");
        let mut all = vec![self.length(thick, &round.thick, key::DRAIN_PROTECTION_ENCASEMENT_MINIMUM)];
        if road {
            all.push(self.reinforced(".encasement.reinforced", &round.reinforced));
        }
        if building {
            let words = ("one with the slab", "apart from the slab above it");
            all.push(self.yes(".encasement.with-slab", words, &round.with_slab, key::DRAIN_PROTECTION_WITH_SLAB));
        }
        all
    }

    fn slab(&self, slab: &Slab, road: bool) -> Vec<Finding> {
        let cushion = (".slab.cushion", "cushion", "between pipe and slab");
        let bearing = (".slab.bearing", "slab bears", "at each side");
        let mut all = vec![
            self.length(cushion, &slab.cushion, key::DRAIN_PROTECTION_CUSHION_MINIMUM),
            self.length(bearing, &slab.bearing, key::DRAIN_PROTECTION_BEARING_MINIMUM),
        ];
        if road {
            all.push(self.reinforced(".slab.reinforced", &slab.reinforced));
        }
        all
    }

    fn length(&self, (path, before, after): (&str, &str, &str), field: &Field<Written>, key: Key<Length>) -> Finding {
        let how = self.ctx.record.how(field);
        let measure = match field.get() {
            Some(m) => {
                let known = Known::exact(m.value, how);
                Measure::length(known, format!("{before} {} {after}", m.words()))
            }
            None => Measure::Missing(format!("how much: {before} {after}")),
        };
        let answer = self.ctx.rulebook.ask(key, &Facts::new());
        let mut out = hold(&self.at(path), &measure, &answer, |limit: &Length, found| {
            let short = (*limit - *found).millimetres();
            (format!("it lies shallow, and what protects it falls {short}\u{a0}mm short"), "what is asked".to_owned())
        });
        out.limit = format!("{before} {} {after}", out.limit);
        if let Some(remedy) = &mut out.remedy
            && out.verdict == Verdict::NotMet
        {
            remedy.text = format!("at least {}", out.limit);
        }
        out
    }

    fn reinforced(&self, path: &str, field: &Field<YesNo>) -> Finding {
        self.yes(path, ("reinforced", "plain concrete under wheels"), field, key::DRAIN_PROTECTION_REINFORCED)
    }

    fn yes(&self, path: &str, (so, not): (&str, &str), field: &Field<YesNo>, key: Key<bool>) -> Finding {
        let how = self.ctx.record.how(field);
        let measure = match field.get() {
            Some(yes) if yes.yes() => Measure::plain(true, how, so),
            Some(_) => Measure::plain(false, how, not),
            None if field.is_none() => Measure::plain(false, how, not),
            None => Measure::Missing(format!("whether what protects it is {so}")),
        };
        let answer = self.ctx.rulebook.ask(key, &Facts::new());
        let mut out = hold(&self.at(path), &measure, &answer, |_: &bool, _| {
            (format!("it lies shallow, and what protects it is {not}"), format!("concrete that is {so}"))
        });
        out.limit = so.to_owned();
        out
    }
}
