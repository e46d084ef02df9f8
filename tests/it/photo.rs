//! Photos: what a header says, and that a picture comes out upright, whole, small and bare.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on should stop where it is")]

mod making;

use std::io::Read;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use fallmark::base::files::{FileError, Files, MemoryFiles, Reader};
use fallmark::photo::{Format, Header, MOST_BYTES, PhotoFault, Picture, header, picture};
use jpeg_encoder::ColorType;

use making::*;

// ---- asking ----

fn files(bytes: Vec<u8>) -> MemoryFiles {
    MemoryFiles([("a.jpg".to_owned(), bytes)].into())
}

fn head(bytes: &[u8]) -> Result<Header, PhotoFault> {
    header(&files(bytes.to_vec()), "a.jpg")
}

fn shown(bytes: &[u8], longest: u32) -> Result<Picture, PhotoFault> {
    picture(&files(bytes.to_vec()), "a.jpg", longest)
}

fn decode(picture: &Picture) -> Vec<u8> {
    let mut decoder = zune_jpeg::JpegDecoder::new(zune_jpeg::zune_core::bytestream::ZCursor::new(&picture.jpeg));
    let data = decoder.decode().unwrap();
    assert_eq!(decoder.dimensions().unwrap(), (picture.width as usize, picture.height as usize));
    data
}

fn near(a: &[u8], b: [u8; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| a.abs_diff(b) < 12)
}

/// Which corners are red, from the top left in reading order. Looks a little inside, where no edge blurs.
fn red_corners(picture: &Picture) -> Vec<usize> {
    let data = decode(picture);
    let (w, h) = (picture.width as usize, picture.height as usize);
    let corners = [(3, 3), (w - 4, 3), (3, h - 4), (w - 4, h - 4)];
    let colours = corners.map(|(x, y)| &data[(y * w + x) * 3..][..3]);
    assert!(colours.iter().all(|c| near(c, RED) || near(c, BLUE)), "{colours:?}");
    (0..4).filter(|i| near(colours[*i], RED)).collect()
}

fn contains(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|w| w == part)
}

fn fault(bytes: &[u8]) -> String {
    let message = head(bytes).unwrap_err().to_string();
    assert!(message.starts_with("`a.jpg` ") && !message.ends_with('.'), "{message}");
    message
}

// ---- headers ----

#[test]
fn a_header_tells_size_date_offset_and_position() {
    let bytes = with_camera(&plain(), 6, TAKEN);
    let told = head(&bytes).unwrap();
    let taken = chrono::NaiveDate::from_ymd_opt(2026, 3, 10).unwrap().and_hms_opt(14, 5, 0);
    let offset = Some("+01:00".to_owned());
    let expected = Header {
        format: Format::Jpeg,
        width: 32,
        height: 48,
        orientation: 6,
        taken,
        offset,
        has_position: true,
        bytes: bytes.len() as u64,
    };
    assert_eq!(told, expected);
    let bare = head(&plain()).unwrap();
    assert_eq!((bare.width, bare.orientation, bare.taken, bare.has_position), (48, 1, None, false));
}

#[test]
fn an_unset_or_garbled_date_is_no_date() {
    for text in
        ["0000:00:00 00:00:00", "    :  :     :  :  ", "2026:13:10 14:05:00", "2026-03-10T14:05:00", "\u{1}\u{2}"]
    {
        let told = head(&with_camera(&plain(), 1, text)).unwrap();
        assert_eq!((told.taken, told.offset), (None, None), "{text}");
    }
    let strange = head(&with_camera(&plain(), 9, TAKEN)).unwrap();
    assert_eq!((strange.orientation, strange.taken.is_some()), (1, true));
}

#[test]
fn a_position_in_other_text_is_noticed_and_goes() {
    let xmp = b"http://ns.adobe.com/xap/1.0/\0<x exif:GPSLatitude=\"53,12.1N\"/>";
    let bytes = with_segment(&plain(), 0xE1, xmp);
    assert!(head(&bytes).unwrap().has_position);
    assert!(!contains(&shown(&bytes, 48).unwrap().jpeg, b"GPSLatitude"));
}

#[test]
fn hostile_camera_blocks_are_survived() {
    let whole = camera(6, TAKEN);
    let mut seed = 7_u64;
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(seed >> 40).unwrap()
    };
    for round in 0..3000 {
        let mut block = whole.clone();
        for _ in 0..=round % 4 {
            let at = next() % block.len();
            block[at] = [0, 0xFF, 8, 0x7F][next() % 4];
        }
        let told = head(&with_segment(&plain(), 0xE1, &[b"Exif\0\0", block.as_slice()].concat())).unwrap();
        assert!((1..=8).contains(&told.orientation));
    }
    // Directories that follow and hold themselves, and a count that would need 32 GiB.
    let ring = [b"II*\0\x08\0\0\0", directory(&[(0x8769, 4, 1, 8), (0x0112, 3, 1, 3)]).as_slice()].concat();
    let mut looped = ring.clone();
    let end = looped.len() - 4;
    looped[end] = 8;
    let huge = [b"II*\0\x08\0\0\0", directory(&[(0x9003, 5, u32::MAX, 8), (0x0112, 3, 1, 3)]).as_slice()].concat();
    for block in [ring, looped, huge] {
        let bytes = with_segment(&plain(), 0xE1, &[b"Exif\0\0", block.as_slice()].concat());
        assert_eq!(head(&bytes).unwrap().orientation, 3);
    }
}

/// A file of a given size whose reader counts what is taken from it.
struct Counting {
    bytes: Vec<u8>,
    size: u64,
    taken: Arc<AtomicU64>,
}

struct CountingReader(std::io::Chain<std::io::Cursor<Vec<u8>>, std::io::Repeat>, Arc<AtomicU64>);

impl Read for CountingReader {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let count = self.0.read(into)?;
        self.1.fetch_add(count as u64, Ordering::Relaxed);
        Ok(count)
    }
}

impl Files for Counting {
    fn open(&self, _: &str) -> Result<Reader, FileError> {
        let endless = std::io::Cursor::new(self.bytes.clone()).chain(std::io::repeat(0));
        Ok(Box::new(CountingReader(endless, Arc::clone(&self.taken))))
    }

    fn size(&self, _: &str) -> Result<u64, FileError> {
        Ok(self.size)
    }
}

fn counting(bytes: Vec<u8>, size: u64) -> Counting {
    Counting { bytes, size, taken: Arc::default() }
}

#[test]
fn a_header_reads_the_start_only() {
    for bytes in
        [with_camera(&plain(), 1, TAKEN), png(&[9; 64], 8, png::ColorType::Grayscale, png::BitDepth::Eight, None)]
    {
        let source = counting(bytes, 9_000_000);
        assert_eq!(header(&source, "a.jpg").unwrap().bytes, 9_000_000);
        let taken = source.taken.load(Ordering::Relaxed);
        assert!(taken <= 256 * 1024, "{taken}");
    }
}

// ---- pictures ----

#[test]
fn every_orientation_comes_out_upright() {
    // Where the stored top left corner is shown, and whether width and height swap.
    let expected = [(0, false), (1, false), (3, false), (2, false), (0, true), (1, true), (3, true), (2, true)];
    for (orientation, (corner, swapped)) in (1..).zip(expected) {
        let bytes = with_camera(&plain(), orientation, TAKEN);
        for longest in [48, 24] {
            let picture = shown(&bytes, longest).unwrap();
            let size = if swapped { (longest * 2 / 3, longest) } else { (longest, longest * 2 / 3) };
            assert_eq!((picture.width, picture.height, picture.grey), (size.0, size.1, false), "{orientation}");
            assert_eq!(red_corners(&picture), [corner], "orientation {orientation} at {longest}");
            assert!(!contains(&picture.jpeg, b"Exif"));
        }
        let told = head(&bytes).unwrap();
        assert_eq!((told.width, told.height), if swapped { (32, 48) } else { (48, 32) });
    }
}

#[test]
fn a_small_upright_jpeg_keeps_its_picture_data_and_nothing_else() {
    for jpeg in [plain(), encode(&squares(), 48, 32, ColorType::Rgb, true)] {
        let secret = with_segment(&with_camera(&jpeg, 1, TAKEN), 0xFE, b"taken at home");
        let secret = with_segment(&secret, 0xE2, b"MPF\0second picture");
        let secret = [secret.as_slice(), b"trailing film"].concat();
        assert!(contains(&secret, &713_u32.to_le_bytes()));
        let picture = shown(&secret, 48).unwrap();
        assert_eq!(picture.jpeg, jpeg);
        assert_ne!(shown(&secret, 47).unwrap().jpeg, jpeg);
    }
}

#[test]
fn colour_segments_stay_without_what_rides_along() {
    let adobe = b"Adobe\0\x64\0\0\0\0\x01 and a note";
    let picture = shown(&with_segment(&plain(), 0xEE, adobe), 48).unwrap();
    assert_eq!(picture.jpeg, with_segment(&plain(), 0xEE, &adobe[..12]));
    let thumbnail = b"JFIF\0\x01\x01\0\0\x01\0\x01\x01\x01abc";
    assert_eq!(shown(&with_segment(&plain(), 0xE0, thumbnail), 48).unwrap().jpeg, plain());
}

#[test]
fn grey_stays_grey() {
    let bytes = encode(&[90; 48 * 32], 48, 32, ColorType::Luma, false);
    assert_eq!(shown(&bytes, 48).unwrap().jpeg, bytes);
    for small in [shown(&bytes, 24).unwrap(), shown(&with_camera(&bytes, 8, TAKEN), 24).unwrap()] {
        assert!(small.grey && small.width.max(small.height) == 24);
        assert!(near(&decode(&small)[..3], [90; 3]));
    }
}

#[test]
fn cmyk_becomes_rgb() {
    let cyan: Vec<u8> = [255, 0, 0, 0].repeat(32 * 32);
    for colours in [ColorType::Cmyk, ColorType::CmykAsYcck] {
        let picture = shown(&encode(&cyan, 32, 32, colours, false), 100).unwrap();
        assert_eq!((picture.width, picture.grey), (32, false));
        assert!(near(&decode(&picture)[..3], [0, 255, 255]), "{:?}", &decode(&picture)[..3]);
    }
}

#[test]
fn png_of_every_sort_becomes_a_jpeg_on_white() {
    use png::BitDepth::{Eight, Four, Sixteen};
    use png::ColorType::{Grayscale, GrayscaleAlpha, Indexed, Rgb, Rgba};
    let cases = [
        (png(&[RED[0], RED[1], RED[2], 255].repeat(256), 16, Rgba, Eight, None), RED, false),
        (png(&[0, 0, 0, 0].repeat(256), 16, Rgba, Eight, None), [255; 3], false),
        (png(&[0, 0, 0, 51].repeat(256), 16, Rgba, Eight, None), [204; 3], false),
        (png(&[200, 7, 20, 7, 20, 7].repeat(256), 16, Rgb, Sixteen, None), RED, false),
        (png(&[0x11; 128], 16, Indexed, Four, Some(&[0, 0, 0, 20, 20, 200])), BLUE, false),
        (png(&[0x88; 128], 16, Grayscale, Four, None), [136; 3], true),
        (png(&[0, 51].repeat(256), 16, GrayscaleAlpha, Eight, None), [204; 3], true),
    ];
    for (index, (bytes, colour, grey)) in cases.into_iter().enumerate() {
        assert_eq!(head(&bytes).unwrap().format, Format::Png);
        for longest in [16, 8] {
            let picture = shown(&bytes, longest).unwrap();
            assert_eq!((picture.width, picture.height, picture.grey), (longest, longest, grey), "case {index}");
            assert!(near(&decode(&picture)[..3], colour), "case {index}: {:?}", &decode(&picture)[..3]);
        }
    }
}

#[test]
fn the_same_photo_gives_the_same_bytes() {
    let noise: Vec<u8> =
        (0..150_u32 * 100 * 3).map(|i| (i.wrapping_mul(2_654_435_761) >> 24).to_le_bytes()[0]).collect();
    let bytes = encode(&noise, 150, 100, ColorType::Rgb, true);
    let first = shown(&bytes, 64).unwrap();
    assert_eq!((first.width, first.height), (64, 43));
    assert_eq!(shown(&bytes, 64).unwrap(), first);
}

// ---- what is refused ----

#[test]
fn a_photo_cut_anywhere_is_never_shown() {
    let whole = [
        with_camera(&plain(), 6, TAKEN),
        encode(&squares(), 48, 32, ColorType::Rgb, true),
        png(&squares()[..768], 16, png::ColorType::Rgb, png::BitDepth::Eight, None),
    ];
    for bytes in whole {
        assert!(shown(&bytes, 48).is_ok());
        for end in (0..bytes.len() - 1).step_by(7) {
            let cut = &bytes[..end];
            let fault = shown(cut, 48).expect_err("a cut photo was shown").to_string();
            assert!(
                fault.contains("cut short") || fault.contains("empty") || fault.contains("damaged"),
                "{end}: {fault}"
            );
            if let Ok(told) = head(cut) {
                assert_eq!(told.width * told.height, head(&bytes).unwrap().width * head(&bytes).unwrap().height);
            }
        }
    }
}

#[test]
fn damage_anywhere_is_survived() {
    let whole = [plain(), encode(&squares(), 48, 32, ColorType::Rgb, true), with_camera(&plain(), 6, TAKEN)];
    for bytes in whole {
        for at in 0..bytes.len() {
            let mut bad = bytes.clone();
            bad[at] ^= 0x55;
            if let Ok(picture) = shown(&bad, 48) {
                assert!(picture.width.max(picture.height) <= 48 && picture.jpeg.ends_with(&[0xFF, 0xD9]));
            }
        }
    }
}

#[test]
fn impossible_sizes_are_refused_before_decoding() {
    assert!(fault(&claiming(60_000, 60_000)).contains("60000 × 60000 pixels, and photos up to 120 megapixels"));
    assert!(matches!(shown(&claiming(60_000, 60_000), 100), Err(PhotoFault::TooManyPixels { .. })));
    assert!(matches!(shown(&claiming(0, 32), 100), Err(PhotoFault::NoSize(_))));
    assert!(fault(&claiming(48, 0)).contains("0 pixels wide or high"));
    let mut wide = png(&[9; 64], 8, png::ColorType::Grayscale, png::BitDepth::Eight, None);
    wide[16..24].copy_from_slice(&[0xFF; 8]);
    assert!(matches!(shown(&wide, 100), Err(PhotoFault::TooManyPixels { .. })));
}

#[test]
fn files_too_large_are_refused_by_their_size_and_by_what_is_read() {
    let message = header(&counting(plain(), MOST_BYTES + 1), "a.jpg").unwrap_err().to_string();
    assert_eq!(message, "`a.jpg` is 65 MiB, and photos up to 64 MiB are read; save a smaller copy and name that");
    let growing = counting(plain(), 1000);
    assert!(matches!(picture(&growing, "a.jpg", 100), Err(PhotoFault::TooLarge { .. })));
    assert!(growing.taken.load(Ordering::Relaxed) <= MOST_BYTES + 1);
}

#[test]
fn other_kinds_are_named_with_what_would_do() {
    let cases: [(&[u8], &str); 10] = [
        (b"", "is empty"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "a HEIC picture, and photos are read as JPEG or PNG; share or export"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0", "a HEIF picture"),
        (b"\0\0\0\x1cftypavif\0\0\0\0", "an AVIF picture"),
        (b"\0\0\0\x14ftypqt  \0\0\0\0", "a film"),
        (b"RIFF\x24\0\0\0WEBPVP8 ", "a WebP picture"),
        (b"GIF89a\x01\0\x01\0", "a GIF picture"),
        (b"II*\0\x08\0\0\0\0\0", "a TIFF or raw camera picture"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"job: fallmark/1\n", "neither JPEG nor PNG"),
    ];
    for (bytes, words) in cases {
        let message = fault(bytes);
        assert!(message.contains(words), "{message}");
        assert_eq!(shown(bytes, 100).unwrap_err().to_string(), message);
    }
    let missing = header(&files(plain()), "b.jpg").unwrap_err().to_string();
    assert_eq!(missing, "there is no file `b.jpg` beside the record");
}

#[test]
fn uncommon_jpegs_are_named() {
    let sort = |marker: u8, precision: u8| {
        let mut bytes = plain();
        let frame = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
        bytes[frame + 1] = marker;
        bytes[frame + 4] = precision;
        fault(&bytes)
    };
    assert!(sort(0xC3, 8).contains("a lossless JPEG, which is not read"));
    assert!(sort(0xC9, 8).contains("an arithmetic-coded JPEG"));
    assert!(sort(0xC1, 12).contains("more than 8 bits a colour"));
}
