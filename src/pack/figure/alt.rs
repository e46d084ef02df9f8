//! A long section in words, from the same numbers; under 900 characters.

use crate::network::Network;
use crate::pack::figure::layout::Part;
use crate::pack::figure::layout::points_of;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::model::Section;
use crate::pack::figure::runs;
use crate::pack::figure::runs::Tail;
use crate::pack::figure::strip;
use crate::pack::figure::words;

/// The most characters.
const MOST: usize = 880;

/// Words for a sheet: its points and pipes along the flow, then its side drain, then what is not known.
pub(super) fn of(net: &Network<'_>, section: &Section, part: &Part, side: Option<&Section>) -> String {
    let (first, last) = section.names();
    let mut said = vec![format!("Long section, {} to {}, with the flow.", words::tag(&first), words::tag(&last))];
    if part.of > 1 {
        said.push(format!("Sheet {} of {}.", part.number, part.of));
    }
    said.extend(along(net, section, part));
    if let Some(side) = side {
        let whole = Part { pieces: 0..side.pieces.len(), number: 1, of: 1 };
        said.push("Below, the side drain:".to_owned());
        said.extend(along(net, side, &whole));
    }
    said.extend(unknowns(net, section));
    short(said)
}

fn along(net: &Network<'_>, section: &Section, part: &Part) -> Vec<String> {
    let mut said = Vec::new();
    let mut piece = None;
    for p in points_of(section, &part.pieces) {
        // A pipe is told after the point at which it begins.
        said.push(point(section, p));
        if !p.end && piece != Some(p.piece) && part.pieces.contains(&p.piece) {
            piece = Some(p.piece);
            said.extend(section.pieces.get(p.piece).map(|_| pipe(net, section, p.piece)));
        }
    }
    said
}

fn point(section: &Section, p: &PointAt) -> String {
    let id = words::tag(&p.id);
    let cover = |name: &str| p.surface.map_or(String::new(), |s| format!(" {name} {},", section.shown(s)));
    let depth = p
        .depth
        .map_or(String::new(), |d| format!(", depth {}", words::about(d.how, format!("{}\u{a0}m", d.value.metres(3)))));
    let il = match (p.il_in, p.il_out) {
        (Some(i), Some(o)) => format!(" invert in {}, out {}", section.shown(i), section.shown(o)),
        (None, Some(l)) | (Some(l), None) => format!(" invert {}", section.shown(l)),
        (None, None) => " level not recorded".to_owned(),
    };
    match p.kind {
        PointKind::Foot(_) => format!("{id} foot:{}{il}{depth}.", cover("floor")),
        PointKind::Appliance(_) => format!("{id}:{}{il}{depth}.", cover("floor")),
        PointKind::Chamber(_) => format!("{id}:{}{il}{depth}.", cover("cover")),
        PointKind::Join(_) => {
            let at = p.chainage.map_or(String::new(), |c| format!(" at {}", words::metres(c)));
            let il =
                p.il_in.map_or(", its level not recorded".to_owned(), |l| format!(", invert {}", section.shown(l)));
            format!("{id} joins{at}{il}.")
        }
        PointKind::Outfall(_) | PointKind::Receiver(_) => format!("{id}:{il}."),
        PointKind::Knee => {
            let at = p.chainage.map_or(String::new(), |c| format!(" at {}", words::metres(c)));
            format!("The fall changes{at},{il}.")
        }
        PointKind::Open => "An end that is not known.".to_owned(),
    }
}

fn pipe(net: &Network<'_>, section: &Section, i: usize) -> String {
    let Some(piece) = section.pieces.get(i) else { return String::new() };
    let at = net.legs.get(piece.leg).map_or(0, |l| l.pipe);
    let length = piece.length.map_or("length unknown".to_owned(), words::metres);
    let fall = piece.drop.map_or("fall unknown".to_owned(), |d| format!("fall {}", words::millimetres(d)));
    let gradient = if piece.gradients.len() > 1 {
        format!(", {}", words::gradients(&piece.gradients))
    } else {
        piece.gradient.as_ref().map_or(String::new(), |g| format!(", {}", words::gradient(net.record, at, g)))
    };
    format!("{}: {}, {length}, {fall}{gradient}.", words::tag(&piece.id), strip::size_words(net, piece.leg))
}

fn unknowns(net: &Network<'_>, section: &Section) -> Vec<String> {
    let mut said = Vec::new();
    if let Tail::Chamber(_, Some(out)) = section.tail {
        let what = if runs::stage(net, out) == crate::record::words::Stage::Existing { "existing, " } else { "" };
        said.push(format!("{}, {what}goes on beyond and ends in a break.", words::tag(net.id(out))));
    }
    for piece in &section.pieces {
        for item in net.record.nearby.iter().filter(|n| n.body.from.get().is_some_and(|f| f.get(&piece.id).is_some())) {
            let id = words::tag(&item.id);
            said.push(format!("{id} lies near {}, place along it not recorded.", words::tag(&piece.id)));
        }
    }
    said
}

/// As many sentences as fit, and that there are more.
fn short(said: Vec<String>) -> String {
    let mut out = String::new();
    let count = said.len();
    for (i, sentence) in said.into_iter().enumerate() {
        let sentence = words::clean(&sentence);
        if out.chars().count() + sentence.chars().count() > MOST - 40 {
            out.push_str(&format!(" And {} more, in the strip.", count - i));
            break;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(&sentence);
    }
    out
}
