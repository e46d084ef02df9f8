//! The `/ID` of a pack, by which a changed byte is found.
//!
//! The first string is the MD5 of every byte before the table of places. The second is the MD5 of the whole file, read
//! with noughts where that second string stands; so it covers the table and the end of the file too. It finds damage
//! and careless changes; it is no signature, since whoever rewrites the file can reckon it again.

use md5::Digest;
use md5::Md5;

/// How many hexadecimal digits each string has.
const DIGITS: usize = 32;

/// Upper-case hexadecimal, as strings are written.
fn hex(digest: Md5) -> String {
    digest.finalize().iter().map(|b| format!("{b:02X}")).collect()
}

/// What stands before the digits of the second string.
fn before_second(first: &str) -> String {
    format!("/ID [<{first}> <")
}

/// Puts the second string into the end of a file, where noughts stand so far; `head` has taken what is before the end.
/// `None` when the end has no such place.
pub fn seal(head: Md5, mut end: Vec<u8>) -> Option<Vec<u8>> {
    let place = second_place(&hex(head.clone()), &end)?;
    let digest = hex(head.chain_update(&end));
    end.get_mut(place..place + DIGITS)?.copy_from_slice(digest.as_bytes());
    Some(end)
}

fn second_place(first: &str, end: &[u8]) -> Option<usize> {
    let wanted = before_second(first).into_bytes();
    end.windows(wanted.len()).position(|w| *w == *wanted).map(|at| at + wanted.len())
}

/// Whether every byte of a file is as it was written.
pub fn holds(bytes: &[u8]) -> bool {
    let Some((head, end)) = parts(bytes) else { return false };
    let head = Md5::new_with_prefix(head);
    let Some(place) = second_place(&hex(head.clone()), end) else { return false };
    let mut blank = end.to_vec();
    let Some(second) = blank.get_mut(place..place + DIGITS) else { return false };
    let said = second.to_vec();
    second.fill(b'0');
    hex(head.chain_update(&blank)).as_bytes() == said
}

/// The bytes before the table of places, and the rest; the last lines of the file say where it starts.
fn parts(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let last = bytes.len().saturating_sub(64);
    let (mark, last) = (b"startxref\n", bytes.get(last..)?);
    let at = last.windows(mark.len()).rposition(|w| w == mark)?;
    let lines = std::str::from_utf8(last.get(at + mark.len()..)?).ok()?;
    let place: usize = lines.strip_suffix("\n%%EOF\n")?.parse().ok()?;
    bytes.split_at_checked(place)
}
