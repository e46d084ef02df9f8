//! What stands at the two ends of each pipe.

use crate::record::pipework::FootOf;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::Ref;

/// What stands at an end of a pipe; numbers are positions in the record's sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// An appliance.
    Appliance(usize),
    /// Another pipe.
    Pipe(usize),
    /// A chamber, fitting or eye.
    Access(usize),
    /// An outfall.
    Outfall(usize),
    /// A temporary arrangement.
    Temporary,
    /// Looked for, not known.
    Unknown,
    /// Not said, or not readable.
    Absent,
}

/// The two ends of a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ends {
    /// Where its water, or for a vent its air's stack, comes from.
    pub from: End,
    /// Where it goes.
    pub to: End,
}

/// Finds the ends of every pipe, in the order of the record.
pub fn find(record: &Record) -> Vec<Ends> {
    record
        .pipes
        .iter()
        .map(|item| {
            let pipe = &item.body;
            match pipe.foot.get() {
                Some(FootOf::Is(foot)) => Ends { from: end(record, &pipe.from), to: end(record, &foot.into) },
                Some(FootOf::On(stack)) => {
                    let from = record.pipes.position(stack).map_or(End::Absent, End::Pipe);
                    Ends { from, to: end(record, &pipe.to) }
                }
                None => Ends { from: end(record, &pipe.from), to: end(record, &pipe.to) },
            }
        })
        .collect()
}

fn end(record: &Record, field: &Field<Ref>) -> End {
    if field.is_unknown() {
        return End::Unknown;
    }
    let Some(Ref(id)) = field.get() else { return End::Absent };
    if let Some(i) = record.appliances.position(id) {
        return End::Appliance(i);
    }
    if let Some(i) = record.pipes.position(id) {
        return End::Pipe(i);
    }
    if let Some(i) = record.access.position(id) {
        return End::Access(i);
    }
    if let Some(i) = record.outfalls.position(id) {
        return End::Outfall(i);
    }
    if record.temporary.get(id).is_some() { End::Temporary } else { End::Absent }
}
