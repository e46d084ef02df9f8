//! Places along a pipe: each is counted from one of its own ends, and lies on it.

use crate::base::span::Spanned;
use crate::record::along::Place;
use crate::record::links::ENDS;
use crate::record::links::Links;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::clip;

/// Holds one place against the ends and the length of its pipe.
pub(super) fn check(item: &Item<Pipe>, place: &Spanned<Place>, links: &mut Links<'_, '_, '_>, path: String) {
    let at = &place.value;
    links.id(&at.from, place.span, ENDS, path.clone());
    let pipe = &item.body;
    let end = if at.up { &pipe.to } else { &pipe.from };
    // Where the end itself is not said, or could not be read, that is reported of the end.
    if let Some(end) = end.get().filter(|end| end.0 != at.from) {
        let (what, help) = if at.up { ("lower", "up") } else { ("upper", "down") };
        let what = format!("`{}` is not the {what} end of {}", clip(&at.from), item.id);
        links.fault(place.span, "not on this pipe", what, format!("count it {help} from `{}`", clip(&end.0)), path);
        return;
    }
    if let Some(length) = pipe.length.get().filter(|length| at.distance.value > length.value) {
        let what = format!("{} lies beyond {}, which is {} long", at.words(), item.id, length.words());
        links.fault(place.span, "not on this pipe", what, "measure both again".to_owned(), path);
    }
}
