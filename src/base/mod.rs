//! Words shared by every layer; imports nothing of ours.
//!
//! 1. [`units`], [`known`], [`size`] and [`series`]: exact quantities, how they are known, what a pipe label means, and
//!    what such a pipe measures.
//! 2. [`span`] and [`text`]: places in a source text, natural order of ids, texts made harmless.
//! 3. [`citation`] and [`finding`]: what a limit rests on, and what a judgement says.
//! 4. [`doc`], [`drawing`] and [`lettering`]: a document and its figures before any page or colour.
//! 5. [`files`]: how bytes come in and go out, without a disk; [`rows`]: tables that are built in.

pub mod citation;
pub mod doc;
pub mod drawing;
pub mod files;
pub mod finding;
pub mod known;
pub mod lettering;
pub mod rows;
pub mod series;
pub mod size;
pub mod span;
pub mod text;
pub mod units;
