//! A face cut down to the letters of one page, as a whole TrueType file that a browser accepts.
//!
//! The subset made for PDF has no table from characters to glyphs; here it gets one, and the few tables that
//! browsers ask for beside it.

use crate::base::drawing::Face;
use crate::base::lettering;
use crate::render::RenderError;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A face with only these characters.
///
/// # Errors
/// When the face cannot be read or cut down.
pub fn subset(face: Face, characters: &BTreeSet<char>) -> Result<Vec<u8>, RenderError> {
    let glyphs: BTreeMap<char, u16> =
        characters.iter().filter_map(|c| lettering::glyph(face, *c).map(|g| (*c, g.0))).collect();
    let sorted: BTreeSet<u16> = glyphs.values().copied().collect();
    let mut remapper = subsetter::GlyphRemapper::new();
    for glyph in &sorted {
        remapper.remap(*glyph);
    }
    let fault = |e: subsetter::Error| RenderError::Pdf(format!("Noto Sans cannot be cut down: {e}"));
    let bytes = subsetter::subset(lettering::bytes(face), 0, &remapper).map_err(fault)?;
    let mut tables = tables(&bytes);
    let map: BTreeMap<u32, u16> =
        glyphs.iter().filter_map(|(c, g)| remapper.get(*g).map(|n| (u32::from(*c), n))).collect();
    tables.insert(*b"cmap", cmap(&map));
    let whole = self::tables(lettering::bytes(face));
    for tag in [b"OS/2", b"name"] {
        if let Some(table) = whole.get(tag) {
            tables.insert(*tag, table.clone());
        }
    }
    tables.insert(*b"post", post());
    Ok(assemble(&tables))
}

type Tables = BTreeMap<[u8; 4], Vec<u8>>;

fn tables(font: &[u8]) -> Tables {
    let number = |at: usize| -> Option<usize> {
        let bytes: [u8; 4] = font.get(at..at + 4)?.try_into().ok()?;
        usize::try_from(u32::from_be_bytes(bytes)).ok()
    };
    let count = font.get(4..6).map_or(0, |b| usize::from(b[0]) << 8 | usize::from(b[1]));
    let entry = |i: usize| -> Option<([u8; 4], Vec<u8>)> {
        let at = 12 + 16 * i;
        let tag: [u8; 4] = font.get(at..at + 4)?.try_into().ok()?;
        let (start, length) = (number(at + 8)?, number(at + 12)?);
        Some((tag, font.get(start..start.checked_add(length)?)?.to_vec()))
    };
    (0..count).filter_map(entry).collect()
}

/// Runs of characters whose glyphs follow one another: first character, last character, first glyph.
fn runs(map: &BTreeMap<u32, u16>) -> Vec<(u32, u32, u16)> {
    let mut runs: Vec<(u32, u32, u16)> = Vec::new();
    for (c, glyph) in map {
        match runs.last_mut() {
            Some((first, last, start)) if *last + 1 == *c && u32::from(*start) + (*c - *first) == u32::from(*glyph) => {
                *last = *c;
            }
            _ => runs.push((*c, *c, *glyph)),
        }
    }
    runs
}

fn push16(out: &mut Vec<u8>, value: u32) {
    out.extend((value as u16).to_be_bytes());
}

fn push32(out: &mut Vec<u8>, value: u32) {
    out.extend(value.to_be_bytes());
}

/// The character map: format 4 for the first plane, and format 12 for all.
fn cmap(map: &BTreeMap<u32, u16>) -> Vec<u8> {
    let (four, twelve) = (format_four(map), format_twelve(map));
    let mut out = Vec::new();
    push16(&mut out, 0);
    push16(&mut out, 2);
    for (encoding, offset) in [(1, 20), (10, 20 + four.len() as u32)] {
        push16(&mut out, 3);
        push16(&mut out, encoding);
        push32(&mut out, offset);
    }
    out.extend(four);
    out.extend(twelve);
    out
}

fn format_four(map: &BTreeMap<u32, u16>) -> Vec<u8> {
    let mut runs: Vec<(u32, u32, u16)> = runs(map).into_iter().filter(|r| r.1 < 0xffff).collect();
    // The last segment is always this one, and leads to no glyph.
    runs.push((0xffff, 0xffff, 0));
    let count = runs.len() as u32;
    let power = count.ilog2();
    let range = 2 << power;
    let mut out = Vec::new();
    for value in [4, 16 + 8 * count, 0, 2 * count, range, power, 2 * count - range] {
        push16(&mut out, value);
    }
    runs.iter().for_each(|r| push16(&mut out, r.1));
    push16(&mut out, 0);
    runs.iter().for_each(|r| push16(&mut out, r.0));
    runs.iter().for_each(|r| push16(&mut out, u32::from(r.2).wrapping_sub(r.0)));
    runs.iter().for_each(|_| push16(&mut out, 0));
    out
}

fn format_twelve(map: &BTreeMap<u32, u16>) -> Vec<u8> {
    let runs = runs(map);
    let mut out = Vec::new();
    push16(&mut out, 12);
    push16(&mut out, 0);
    for value in [16 + 12 * runs.len() as u32, 0, runs.len() as u32] {
        push32(&mut out, value);
    }
    for (first, last, glyph) in runs {
        [first, last, u32::from(glyph)].into_iter().for_each(|v| push32(&mut out, v));
    }
    out
}

/// Version 3: no names of glyphs.
fn post() -> Vec<u8> {
    let mut out = vec![0, 3, 0, 0];
    out.resize(32, 0);
    out
}

fn checksum(bytes: &[u8]) -> u32 {
    let word = |chunk: &[u8]| {
        let mut whole = [0_u8; 4];
        whole[..chunk.len()].copy_from_slice(chunk);
        u32::from_be_bytes(whole)
    };
    bytes.chunks(4).map(word).fold(0, u32::wrapping_add)
}

fn assemble(tables: &Tables) -> Vec<u8> {
    let count = tables.len() as u32;
    let power = count.max(1).ilog2();
    let range = 16 << power;
    let mut out = vec![0, 1, 0, 0];
    for value in [count, range, power, 16 * count - range] {
        push16(&mut out, value);
    }
    let mut offset = 12 + 16 * tables.len();
    for (tag, table) in tables {
        out.extend(tag);
        for value in [checksum(table), offset as u32, table.len() as u32] {
            push32(&mut out, value);
        }
        offset += table.len().next_multiple_of(4);
    }
    for table in tables.values() {
        out.extend(table);
        out.resize(out.len().next_multiple_of(4), 0);
    }
    out
}
