//! Schedule of what drains are to carry and can carry: peak flow, capacity, filling, velocity.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::known::How;
use crate::base::units::fixed;
use crate::compute::capacity::Capacity;
use crate::compute::capacity::Carries;
use crate::compute::capacity::Running;
use crate::compute::flow::DesignFlow;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::drains;
use crate::pack::drains::judged;
use crate::pack::drains::reason;
use crate::pack::drains::size;
use crate::pack::drains::verdict_cell;
use crate::pack::drains::verdict_key;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::Units;
use crate::rulebook::key;

/// Every drain that is not taken out.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let standing = |item: &Item<Pipe>| item.body.stage_now() != Stage::Removed;
    let rows: Vec<Row> =
        drains(desk).filter(|(_, item)| standing(item)).map(|(leg, item)| row(desk, leg, item)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["size", "bore, mm"], 28.0, Align::Left),
        column(&["peak flow, l/s", "units, l/s"], 26.0, Align::Right),
        column(&["carries, l/s", "at its flattest"], 28.0, Align::Right),
        column(&["filling at", "peak flow"], 20.0, Align::Right),
        column(&["velocity, m/s", "by custom"], 20.0, Align::Right),
        column(&["verdict", "clause"], 42.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Drains: flow and capacity".to_owned(), columns, rows };
    let mut blocks = vec![Block::Schedule(schedule)];
    blocks.extend(key(desk));
    blocks.push(verdict_key());
    Part { blocks, note: vec![plain("all figures computed")] }
}

fn row(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Row {
    let computed = &desk.job.computed;
    let flow = computed.flows.get(leg);
    let capacity = computed.capacities.get(leg).and_then(Option::as_ref);
    let found = desk.worst_of(&["drain-size", "drain-capacity"], &item.id);
    let old = item.body.stage_now() == Stage::Existing && found.is_none();
    let verdict = if old { vec![vec![soft("existing, not judged")], Line::new()] } else { verdict_cell(found) };
    let [filling, velocity] = [filling(capacity), velocity(capacity)];
    let cells = vec![
        vec![size(&item.body), vec![plain(capacity.map_or("bore not known".to_owned(), bore))]],
        flow.map_or(vec![Line::new()], |f| vec![vec![plain(peak(f))], vec![plain(units(f.units))]]),
        carries(capacity),
        vec![filling],
        vec![velocity, vec![plain(by_custom(desk, leg))]],
        verdict,
    ];
    let mut reasons: Vec<Line> = flow.and_then(|f| made_of(f, item)).into_iter().collect();
    if let Some(lack) = flow.and_then(DesignFlow::open) {
        let what = lack.words(&desk.job.network);
        reasons
            .push(vec![plain(format!("Of the peak flow only this much is known: the record does not show {what}."))]);
    }
    if capacity.is_none() && !old {
        reasons.push(vec![plain("What it carries is not known without its bore and its fall.")]);
    }
    reasons.extend(found.and_then(reason));
    reasons.extend(also_missed(desk, &["drain-size", "drain-capacity"], &item.id, found));
    reasons.extend(keeps_clean(desk, item));
    Row { id: item.id.clone(), anchor: None, cells, reasons, bar: bar(found.into_iter()) }
}

fn about(how: How, figure: &str) -> String {
    if how == How::Believed { format!("about\u{a0}{figure}") } else { figure.to_owned() }
}

fn bore(capacity: &Capacity) -> String {
    fixed(i128::from(capacity.bore.um()), 1000, 1)
}

/// Litres a second with so many decimals.
pub(crate) fn litres(flow: Flow, decimals: u32) -> String {
    fixed(i128::from(flow.ml_s()), 1000, decimals)
}

/// Discharge units with one decimal.
pub(crate) fn units(units: Units) -> String {
    fixed(i128::from(units.thousandths()), 1000, 1)
}

/// The peak flow; with `at least` before it where only a part is known.
pub(crate) fn peak(flow: &DesignFlow) -> String {
    let figure = litres(flow.peak(), 2);
    if flow.open().is_some() { format!("at\u{a0}least\u{a0}{figure}") } else { about(flow.how_peak(), &figure) }
}

/// At the filling that is allowed, and the same at the flattest inside the spread.
fn carries(capacity: Option<&Capacity>) -> Vec<Line> {
    let Some(c) = capacity else { return vec![vec![plain("not known")], Line::new()] };
    let how = c.gradient.how;
    let figure = |flow: Flow| vec![plain(about(how, &litres(flow, 1)))];
    vec![figure(c.here.allowed.flow), figure(c.flattest.allowed.flow)]
}

/// How full it runs at its peak.
fn filling(capacity: Option<&Capacity>) -> Line {
    running(capacity, |carries| carries.design, |filling, _| filling)
}

/// How fast the foul flow of a usual day runs.
fn velocity(capacity: Option<&Capacity>) -> Line {
    running(capacity, |carries| carries.daily, |_, velocity| velocity)
}

fn running(capacity: Option<&Capacity>, with: fn(&Carries) -> Option<Running>, pick: fn(i64, i64) -> i64) -> Line {
    let said = |text: &str| vec![plain(text)];
    let Some(c) = capacity else { return said("not known") };
    match with(&c.here) {
        None => said("not known"),
        Some(Running::Dry) => said("dry"),
        Some(Running::Standing) => said("stands"),
        Some(Running::Surcharged) => said("over full"),
        Some(Running::PartFull { filling, velocity }) => {
            let n = pick(filling.thousandths(), velocity.thousandths());
            said(&about(c.gradient.how, &fixed(i128::from(n), 1000, 2)))
        }
    }
}

/// "Keeps itself clean: met, 0.81 m/s; 0.7 m/s."
fn keeps_clean(desk: &Desk<'_>, item: &Item<Pipe>) -> Option<Line> {
    let found = desk.worst_of(&["drain-self-cleansing"], &item.id)?;
    let mut line = vec![plain("Keeps itself clean: ")];
    let said = judged(Some(found));
    let parts = said.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>();
    for (i, part) in parts.into_iter().enumerate() {
        if i > 0 {
            line.push(plain(", "));
        }
        line.extend(part);
    }
    line.push(plain("."));
    line.extend(reason(found).into_iter().flat_map(|why| [vec![plain(" ")], why].concat()));
    Some(line)
}

/// The fall that a rule of thumb gives its size.
fn by_custom(desk: &Desk<'_>, leg: usize) -> String {
    let size = desk.job.network.legs.get(leg).and_then(|l| l.nominal);
    let answer = desk.job.rulebook.ask(key::MAGUIRE_GRADIENT_MINIMUM, &Facts::new().with(Fact::Size, size));
    answer.limit().map_or(String::new(), |limit| limit.value.in_words_with(0))
}

/// What makes up a peak flow that is more than the units of the appliances give.
fn made_of(flow: &DesignFlow, item: &Item<Pipe>) -> Option<Line> {
    let mut said = Vec::new();
    if let Some(by_number) = flow.by_dwellings {
        said.push(format!(
            "By the number of dwellings ({}) {}\u{a0}l/s (AD H Table 5), by the units of the appliances {}\u{a0}l/s: the \
             greater counts.",
            flow.served,
            litres(by_number, 1),
            litres(flow.total, 2)
        ));
    }
    if flow.rain.ml_s() > 0 {
        let own = item.body.rain.get().map_or(String::new(), |rain| format!(", {} of it led in here", rain.words()));
        said.push(format!("With {}\u{a0}l/s of rain{own}.", litres(flow.rain, 2)));
    }
    (!said.is_empty()).then(|| vec![plain(said.join(" "))])
}

/// What the numbers are worked out with; the same for all drains.
fn key(desk: &Desk<'_>) -> Option<Block> {
    let c = desk.job.computed.capacities.iter().flatten().next()?;
    let thousandths = |n: i64, decimals: u32| fixed(i128::from(n), 1000, decimals);
    let mut line = vec![plain(format!(
        "Carries: at a filling of {} of the bore, by Colebrook-White (2.51 in its second term, g 9.81\u{a0}m/s\u{b2}) with \
         a roughness of {}\u{a0}mm and a viscosity of {}\u{a0}mm\u{b2}/s; part full with 4R for the bore; at its \
         flattest: at the flattest fall inside the spread. The capacities of AD H Table 6 were read off a chart for \
         0.6\u{a0}mm and may differ by an eighth. Filling: with the peak flow. Velocity: with the foul flow of a usual \
         day; {}\u{a0}m/s once a day, or a fall of 1 in the size in mm, keeps a drain clean (BS EN 752). By custom: \
         Maguire\u{2019}s rule, 1 in the size in mm over 2.5; nothing is held against it. Peak flow: BS EN 12056-2, from \
         the discharge units of the appliances",
        thousandths(c.filling.thousandths(), 2),
        fixed(i128::from(c.roughness.um()), 1000, 1),
        thousandths(c.viscosity.thousandths(), 2),
        thousandths(c.self_cleansing.thousandths(), 1),
    ))];
    if c.recalled {
        line.extend([plain("; roughness and viscosity "), crate::base::doc::italic("recalled")]);
    }
    line.push(plain("."));
    Some(Block::Key(line))
}
