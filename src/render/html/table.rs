//! Schedules as HTML tables.

use crate::base::doc::Align;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Run;
use crate::base::doc::Schedule;
use crate::base::doc::words;
use crate::render::column_width;
use crate::render::fills_every_column;
use crate::render::html::Writer;
use crate::render::html::text::bar;
use crate::render::html::text::escape;
use crate::render::html::text::line;
use std::fmt::Write as _;

impl Writer<'_> {
    pub(super) fn schedule(&mut self, table: &Schedule) {
        let sum: f64 = table.columns.iter().map(column_width).sum();
        let summary = escape(&table.summary);
        let _ = write!(self.text, "<table>\n<caption>{summary}</caption>\n<colgroup>");
        for column in &table.columns {
            let _ = write!(self.text, "<col style=\"width:{:.2}%\">", column_width(column) / sum * 100.0);
        }
        self.text.push_str("</colgroup>\n<thead><tr>");
        for column in &table.columns {
            let head: Vec<String> = column.head.iter().map(|h| escape(h)).collect();
            let class = if column.align == Align::Right { " class=\"number-cell\"" } else { "" };
            let _ = write!(self.text, "<th scope=\"col\"{class}>{}</th>", head.join("<br>"));
        }
        self.text.push_str("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.row(table, row);
        }
        self.text.push_str("</tbody></table>\n");
    }

    fn row(&mut self, table: &Schedule, row: &Row) {
        let id = self.id(row.anchor.as_deref().unwrap_or_default());
        let has_shape = |cell: &[Line]| cell.iter().flatten().any(|r| matches!(r, Run::Shape(_)));
        let shapes = row.cells.iter().filter(|c| has_shape(c)).count();
        let wide = if shapes == 1 { "" } else { " all-wide" };
        let bar = bar(row.bar);
        let (head, skipped) = row_head(row, table.columns.len());
        let _ = write!(self.text, "<tr{id} class=\"row{wide}{bar}\">{head}");
        for (i, (cell, column)) in row.cells.iter().zip(table.columns.iter().skip(skipped)).enumerate() {
            let (open, close) = if i + skipped == 0 { ("th scope=\"row\"", "th") } else { ("td", "td") };
            let is_empty = cell.iter().all(|l| words(l).trim().is_empty());
            let mut class = String::new();
            for (name, applies) in [
                ("number-cell ", column.align == Align::Right),
                ("verdict ", shapes == 1 && has_shape(cell)),
                ("empty ", is_empty),
            ] {
                class.push_str(if applies { name } else { "" });
            }
            let lines: String = cell.iter().map(|l| format!("<span class=\"cell-line\">{}</span> ", line(l))).collect();
            let label = escape(&column.head.join(" · "));
            let class = if class.is_empty() { String::new() } else { format!(" class=\"{}\"", class.trim_end()) };
            let _ = write!(
                self.text,
                "<{open}{class}><span class=\"label\" aria-hidden=\"true\">{label}</span><span>{}</span></{close}>",
                lines.trim_end()
            );
        }
        self.text.push_str("</tr>\n");
        let span = table.columns.len().saturating_sub(1).max(1);
        for reason in &row.reasons {
            let (empty, words) = ("<td class=\"empty\"></td>", line(reason));
            let empty = if table.columns.len() > 1 { empty } else { "" };
            let _ = writeln!(self.text, "<tr class=\"reason{bar}\">{empty}<td colspan=\"{span}\">{words}</td></tr>");
        }
    }
}

/// The first cell of a row, and how many columns it takes.
fn row_head(row: &Row, columns: usize) -> (String, usize) {
    if fills_every_column(row, columns) {
        return (String::new(), 0);
    }
    if row.id.is_empty() {
        return ("<td class=\"empty\"></td>".to_owned(), 1);
    }
    (format!("<th scope=\"row\" class=\"id\">{}</th>", escape(&row.id)), 1)
}
