//! What the camera wrote down beside the pixels: which way up, when, and where.

use chrono::{Datelike, NaiveDateTime};
use exif::{Exif, In, Tag, Value};

/// Earliest year believed; anything before is a clock that was never set.
const FIRST_YEAR: i32 = 1900;

/// The camera's notes.
#[derive(Debug)]
pub(super) struct Told {
    /// 1 to 8.
    pub(super) orientation: u8,
    pub(super) taken: Option<NaiveDateTime>,
    /// Such as `+01:00`.
    pub(super) offset: Option<String>,
    pub(super) position: bool,
}

/// Reads a TIFF block as far as it can be read; whatever cannot is as if it were not there.
pub(super) fn told(tiff: Option<&[u8]>) -> Told {
    let read = tiff.and_then(|tiff| {
        let read = exif::Reader::new().continue_on_error(true).read_raw(tiff.to_vec());
        read.or_else(|error| error.distill_partial_result(|_| ())).ok()
    });
    let Some(exif) = read else {
        return Told { orientation: 1, taken: None, offset: None, position: false };
    };
    let (date, offset) = moment(&exif);
    Told { orientation: orientation(&exif), taken: date, offset, position: position(&exif) }
}

fn orientation(exif: &Exif) -> u8 {
    let value = exif.get_field(Tag::Orientation, In::PRIMARY).and_then(|f| f.value.get_uint(0));
    value.and_then(|v| u8::try_from(v).ok()).filter(|v| (1..=8).contains(v)).unwrap_or(1)
}

/// The moment of taking with the offset that belongs to it; the one never comes from another pair than the other.
fn moment(exif: &Exif) -> (Option<NaiveDateTime>, Option<String>) {
    let pairs = [(Tag::DateTimeOriginal, Tag::OffsetTimeOriginal), (Tag::DateTimeDigitized, Tag::OffsetTimeDigitized)];
    for (date, offset) in pairs {
        let taken = text(exif, date).and_then(|t| date_time(&t));
        if taken.is_some() {
            return (taken, text(exif, offset).filter(|t| is_offset(t)));
        }
    }
    (None, None)
}

/// First string of a text field, without the spaces some cameras pad it with.
fn text(exif: &Exif, tag: Tag) -> Option<String> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(parts) => Some(std::str::from_utf8(parts.first()?).ok()?.trim().to_owned()),
        _ => None,
    }
}

/// Reads `2026:03:10 14:05:00`.
fn date_time(text: &str) -> Option<NaiveDateTime> {
    let plain = text.len() == 19 && text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b':' | b' '));
    let read = plain.then(|| NaiveDateTime::parse_from_str(text, "%Y:%m:%d %H:%M:%S").ok())?;
    read.filter(|moment| moment.year() >= FIRST_YEAR)
}

fn is_offset(text: &str) -> bool {
    match text.as_bytes() {
        [b'+' | b'-', hour @ .., b':', minute1, minute0] => {
            hour.len() == 2 && hour.iter().chain([minute1, minute0]).all(u8::is_ascii_digit)
        }
        _ => false,
    }
}

/// Whether the block names a place. A position part without any, as cameras write that found no signal, does not count.
fn position(exif: &Exif) -> bool {
    const PLACES: [Tag; 5] =
        [Tag::GPSLatitude, Tag::GPSLongitude, Tag::GPSDestLatitude, Tag::GPSDestLongitude, Tag::GPSAreaInformation];
    PLACES.iter().any(|tag| exif.get_field(*tag, In::PRIMARY).is_some())
}
