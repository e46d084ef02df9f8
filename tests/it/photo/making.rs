//! Small photos made on the spot, with what a camera would write into them.

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

pub(super) const RED: [u8; 3] = [200, 20, 20];
pub(super) const BLUE: [u8; 3] = [20, 20, 200];
pub(super) const TAKEN: &str = "2026:03:10 14:05:00";

/// Three by two squares of 16 pixels, the top left one red and the others blue.
pub(super) fn squares() -> Vec<u8> {
    (0..32).flat_map(|y| (0..48).flat_map(move |x| if x < 16 && y < 16 { RED } else { BLUE })).collect()
}

pub(super) fn encode(data: &[u8], width: u16, height: u16, colours: ColorType, progressive: bool) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, 95);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.set_progressive(progressive);
    encoder.encode(data, width, height, colours).unwrap();
    out
}

pub(super) fn plain() -> Vec<u8> {
    encode(&squares(), 48, 32, ColorType::Rgb, false)
}

/// Puts a segment straight after the start of a JPEG.
pub(super) fn with_segment(jpeg: &[u8], marker: u8, body: &[u8]) -> Vec<u8> {
    let length = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xFF, marker], &length, body, &jpeg[2..]].concat()
}

/// One directory of a little-endian TIFF block: tag, type, count, and a value or a place.
pub(super) fn directory(entries: &[(u16, u16, u32, u32)]) -> Vec<u8> {
    let mut out = u16::try_from(entries.len()).unwrap().to_le_bytes().to_vec();
    for (tag, kind, count, value) in entries {
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(count.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend([0; 4]);
    out
}

/// A camera's block: orientation, moment of taking, offset, and 53° 12′ 7.13″ north.
pub(super) fn camera(orientation: u32, taken: &str) -> Vec<u8> {
    let main = [(0x0112, 3, 1, orientation), (0x8769, 4, 1, 50), (0x8825, 4, 1, 80)];
    let taking = [(0x9003, 2, 20, 110), (0x9011, 2, 7, 130)];
    let place = [(0x0001, 2, 2, u32::from(b'N')), (0x0002, 5, 3, 137)];
    let mut out = b"II*\0\x08\0\0\0".to_vec();
    for part in [directory(&main), directory(&taking), directory(&place)] {
        out.extend(part);
    }
    assert_eq!(out.len(), 110);
    out.extend(format!("{taken:\0<20}").bytes());
    out.extend(b"+01:00\0");
    for number in [53_u32, 1, 12, 1, 713, 100] {
        out.extend(number.to_le_bytes());
    }
    out
}

pub(super) fn with_camera(jpeg: &[u8], orientation: u32, taken: &str) -> Vec<u8> {
    with_segment(jpeg, 0xE1, &[b"Exif\0\0", camera(orientation, taken).as_slice()].concat())
}

pub(super) fn png(
    data: &[u8],
    side: u32,
    colours: png::ColorType,
    depth: png::BitDepth,
    palette: Option<&[u8]>,
) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, side, side);
    encoder.set_color(colours);
    encoder.set_depth(depth);
    if let Some(palette) = palette {
        encoder.set_palette(palette.to_vec());
    }
    encoder.write_header().unwrap().write_image_data(data).unwrap();
    out
}

/// The plain JPEG with another size written in its frame.
pub(super) fn claiming(width: u16, height: u16) -> Vec<u8> {
    let mut bytes = plain();
    let frame = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    bytes[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    bytes[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    bytes
}
