//! The running head and the foot of every page.

use crate::base::doc::Align;
use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::words;
use crate::render::Meta;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::Place;
use crate::render::pdf::compose::column;
use crate::render::pdf::flow::Placed;
use crate::render::pdf::lines::natural_width;
use crate::render::pdf::lines::set;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Item;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::LEFT;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::SMALL;
use crate::render::pdf::sheet::WIDTH;

/// Puts the running head and the foot on every page.
pub fn frame<'a>(composer: &mut Composer<'a>, placed: &mut Placed<'a>, meta: &Meta) {
    let count = placed.pages.len();
    for number in 0..count {
        let page_number = vec![plain("page "), bold((number + 1).to_string()), plain(format!(" of {count}"))];
        let head_top = 13.5 * MM - SMALL.rise();
        let foot_top = 283.2 * MM;
        let mut piece = Piece::default();
        band(composer, &mut piece, (&meta.running_left, &meta.running_right), head_top, Owner::RunningHead);
        band(composer, &mut piece, (&meta.foot_left, &page_number), foot_top, Owner::Foot);
        let rule = Ink::Rule { length: WIDTH, thickness: 0.5, colour: Colour::Black };
        for (y, owner) in [(15.5 * MM, Owner::RunningHead), (282.0 * MM, Owner::Foot)] {
            piece.items.push(Item { x: 0.0, y, top: y, bottom: y, ink: rule.clone(), owner });
        }
        let mut whole = Piece::default();
        whole.absorb(piece, LEFT, 0.0);
        if let Some(page) = placed.pages.get_mut(number) {
            page.items.extend(whole.items);
        }
    }
}

/// One line with words at both ends; each is cut to its share when they do not fit.
fn band<'a>(composer: &mut Composer<'a>, piece: &mut Piece<'a>, (left, right): (&Line, &Line), top: f64, owner: Owner) {
    let wanted = natural_width(right, SMALL, composer.pages);
    let right_width = wanted.min(WIDTH * 0.6);
    let left_width = WIDTH - right_width - 4.0 * MM;
    for (line, x, width, align) in
        [(left, 0.0, left_width, Align::Left), (right, WIDTH - right_width, right_width, Align::Right)]
    {
        let place = Place { align, ..column(x, top, width + 0.1) };
        let whole = set(line, SMALL, width + 0.1, composer.pages);
        if whole.lines.len() <= 1 {
            composer.put(piece, &whole, SMALL, place, Of::Ornament(owner));
        } else {
            let short = vec![plain(format!("{}…", shortened(&words(line), width)))];
            composer.write(piece, &short, SMALL, place, Of::Ornament(owner));
        }
    }
}

fn shortened(words: &str, width: f64) -> String {
    let room = width - 8.0;
    let mut taken = 0.0;
    let mut out = String::new();
    for c in words.chars() {
        taken +=
            f64::from(crate::base::lettering::advance(crate::base::drawing::Face::Regular, c)) * SMALL.size / 1000.0;
        if taken > room {
            break;
        }
        out.push(c);
    }
    out.trim_end().replace(' ', "\u{a0}")
}
