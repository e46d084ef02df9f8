//! Manifests: a line for each file, with its SHA-512 and its path.

use sha2::{Digest as _, Sha512};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{self, Write};

/// SHA-512 of files in hexadecimal, by path from the bag's folder.
pub type Digests = BTreeMap<String, String>;

/// Counts and digests what is written through it.
pub struct Digesting<'a> {
    out: &'a mut dyn Write,
    digest: Sha512,
    bytes: u64,
}

impl<'a> Digesting<'a> {
    /// A writer before another.
    pub fn new(out: &'a mut dyn Write) -> Self {
        Self { out, digest: Sha512::new(), bytes: 0 }
    }

    /// The SHA-512 in hexadecimal, and how many bytes there were.
    pub fn end(self) -> (String, u64) {
        (hex(&self.digest.finalize()), self.bytes)
    }
}

impl Write for Digesting<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write_all(bytes)?;
        self.digest.update(bytes);
        self.bytes += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// SHA-512 of some bytes, in lower-case hexadecimal.
pub fn digest(bytes: &[u8]) -> String {
    hex(&Sha512::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(128), |mut hex, byte| {
        // Writing to a string does not fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// The text of a manifest, sorted by path; the same digests give the same text.
pub fn text(digests: &Digests) -> String {
    digests.iter().map(|(path, digest)| format!("{digest}  {}\n", encoded(path))).collect()
}

/// Reads a manifest: digest and path of each line that has both, and the numbers of the lines that have not.
pub fn parse(text: &str) -> (Vec<(String, String)>, Vec<usize>) {
    let (mut lines, mut broken) = (Vec::new(), Vec::new());
    for (number, line) in (1..).zip(text.lines()) {
        match line.split_once([' ', '\t']) {
            Some((digest, path)) if digest.len() == 128 && !path.trim_start().is_empty() => {
                lines.push((digest.to_owned(), decoded(path.trim_start_matches([' ', '\t']))));
            }
            _ => broken.push(number),
        }
    }
    (lines, broken)
}

/// A path with its line ends and percent signs written out, as RFC 8493 §2.1.3 asks.
pub fn encoded(path: &str) -> String {
    path.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// The path that [`encoded`] was given.
pub fn decoded(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    let mut rest = path;
    while let Some((before, after)) = rest.split_once('%') {
        out.push_str(before);
        let (stands_for, read) = match after.get(..2).map(str::to_ascii_uppercase).as_deref() {
            Some("25") => ('%', 2),
            Some("0D") => ('\r', 2),
            Some("0A") => ('\n', 2),
            _ => ('%', 0),
        };
        out.push(stands_for);
        rest = after.get(read..).unwrap_or_default();
    }
    out + rest
}

/// Whether a path stays inside the bag on every system: no root, no drive, no step up, no backslash, no empty step.
pub fn safe(path: &str) -> bool {
    let plain = |step: &str| !matches!(step, "" | "." | "..");
    let drive = path.as_bytes().get(1) == Some(&b':');
    path.split('/').all(plain) && !drive && !path.starts_with('~') && !path.contains(['\\', '\0'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_ends_and_percent_signs_come_back() {
        for path in ["data/a.jpg", "data/10%.jpg", "data/a\r\nb", "data/%25", "data/%", "data/%0a", "data/é%2"] {
            assert!(!encoded(path).contains(['\r', '\n']));
            assert_eq!(decoded(&encoded(path)), path);
        }
        assert_eq!(encoded("10%\n"), "10%25%0A");
        assert_eq!(decoded("a%zz%"), "a%zz%");
    }

    #[test]
    fn paths_that_lead_out_are_unsafe() {
        for path in ["/etc/passwd", "../x", "data/../x", "data//x", "~/x", "C:/x", "data\\x", "", "data/.", "a\0"] {
            assert!(!safe(path), "{path:?}");
        }
        assert!(safe("data/photos/a b.jpg") && safe("bagit.txt") && safe("data/..a"));
    }

    /// The digest of nothing, as FIPS 180-4's example values give it.
    #[test]
    fn the_digest_is_sha_512() {
        assert!(digest(b"").starts_with("cf83e1357eefb8bdf1542850d66d8007d620e4050b5715dc83f4a921d36ce9ce"));
        let digests = Digests::from([("data/b".to_owned(), digest(b"b")), ("data/a".to_owned(), digest(b"a"))]);
        let (lines, broken) = parse(&(text(&digests) + "no digest\n"));
        assert_eq!(lines.iter().map(|(_, p)| p.as_str()).collect::<Vec<_>>(), ["data/a", "data/b"]);
        assert_eq!(broken, [3]);
    }
}
