//! What the signs of the small plan mean, and the plan in words.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Pen;
use crate::base::lettering;
use crate::network::ends::End;
use crate::pack::figure::plan::Plan;
use crate::pack::figure::plan::SMALL;
use crate::pack::figure::plan::TWO;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::words;
use crate::record::words::Stage;

impl Plan<'_> {
    /// The signs that stand on the plan; says where it ends.
    pub(super) fn legend(&mut self, mut y: f64) -> f64 {
        let mut x = 2.0;
        for sign in self.sheet.signs.clone() {
            let told = match sign {
                Sign::Laid => "new",
                Sign::Planned => "planned",
                Sign::Existing => "existing",
                Sign::Temporary => "temporary",
                Sign::Break => "length or end unknown",
                Sign::Unsure | Sign::EndOn | Sign::Opening => continue,
            };
            let told_width = lettering::width(Face::Regular, told, SMALL);
            if x > 2.0 && x + 10.5 + told_width > self.wide {
                (x, y) = (2.0, y + 5.0);
            }
            let s = &mut self.sheet;
            let level = y - 1.0;
            match sign {
                Sign::Laid => s.faint(Layer::Pipe, Pen::Run, &[(x, level), (x + 9.0, level)]),
                Sign::Planned => s.faint(Layer::Pipe, Pen::RunPlanned, &[(x, level), (x + 9.0, level)]),
                Sign::Temporary => s.faint(Layer::Pipe, Pen::Temporary, &[(x, level), (x + 9.0, level)]),
                Sign::Break => s.break_strokes((x + 5.6, level), 3.4),
                _ => {
                    s.faint(Layer::Pipe, Pen::WallExisting, &[(x, level - TWO), (x + 9.0, level - TWO)]);
                    s.faint(Layer::Pipe, Pen::WallExisting, &[(x, level + TWO), (x + 9.0, level + TWO)]);
                }
            }
            s.text(x + 10.5, y, Anchor::Start, told, Face::Regular, SMALL);
            x += 10.5 + told_width + 9.0;
        }
        y + 1.2
    }

    pub(super) fn alt(&self) -> String {
        let mut said = vec!["Plan of the drains, not to scale:".to_owned()];
        let told = |leg: usize| {
            let id = |e: End| match words::tag(self.net.end_id(e)) {
                id if id.is_empty() => "an unknown end".to_owned(),
                id => id,
            };
            let old = if self.stage(leg) == Stage::Existing { "existing " } else { "" };
            let (from, to) = (id(self.end(leg, false)), id(self.end(leg, true)));
            let label: Vec<String> = self.label(leg, true).into_iter().map(|w| w.0).collect();
            format!("{from} to {to} by {old}{};", label.join(" "))
        };
        for leg in &self.legs {
            said.push(told(*leg));
            said.extend(self.sides(*leg).into_iter().map(told));
            if let End::Access(a) = self.end(*leg, true) {
                said.extend(self.entries(a).into_iter().map(told));
            }
        }
        let mut out = String::new();
        for sentence in said {
            if out.chars().count() + sentence.chars().count() > 880 {
                break;
            }
            out.push_str(&sentence);
            out.push(' ');
        }
        let out = out.trim_end().trim_end_matches(';');
        format!("{}.", words::clean(out))
    }
}
