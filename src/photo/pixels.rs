//! Decodes, shrinks, turns upright and encodes. Only here are pixels touched.
//!
//! The same file has to give the same bytes on every processor. The JPEG decoder and encoder are built without their
//! vector code. The scaler picks its code by processor, but on 8-bit channels with the linear filter all of it does the
//! same whole-number sums, and its weights come from plain arithmetic.

use std::io::Cursor;
use std::panic::AssertUnwindSafe;

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use jpeg_encoder::{ChromaSubsamplingMethod, ColorType, Encoder, SamplingFactor};
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::photo::{PhotoFault, Picture};

/// Quality of encoded pictures, of 100.
const QUALITY: u8 = 82;

/// Decoded pixels, rows from the top, one byte a pixel when grey and three otherwise.
pub(super) struct Pixels {
    data: Vec<u8>,
    width: u32,
    height: u32,
    pub(super) grey: bool,
}

/// Decodes a JPEG strictly: by default the decoder would fill up a picture cut in half with grey.
pub(super) fn from_jpeg(name: &str, bytes: &[u8], grey: bool) -> Result<Pixels, PhotoFault> {
    let space = if grey { ColorSpace::Luma } else { ColorSpace::RGB };
    let side = usize::from(u16::MAX);
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(side)
        .set_max_height(side)
        .jpeg_set_out_colorspace(space);
    guarded(name, || {
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
        let data = decoder.decode().map_err(|error| jpeg_fault(name, &error))?;
        let (width, height) = decoder.dimensions().unwrap_or_default();
        Pixels::checked(name, data, narrow(width), narrow(height), grey)
    })
}

fn jpeg_fault(name: &str, error: &DecodeErrors) -> PhotoFault {
    match error {
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => PhotoFault::CutShort(name.to_owned()),
        other => damaged(name, other),
    }
}

/// Decodes a PNG to eight bits a channel, on white where it is see-through.
pub(super) fn from_png(name: &str, bytes: Vec<u8>) -> Result<Pixels, PhotoFault> {
    guarded(name, move || {
        let mut decoder = png::Decoder::new(Cursor::new(bytes));
        decoder.set_transformations(png::Transformations::normalize_to_color8());
        decoder.set_ignore_text_chunk(true);
        let mut reader = decoder.read_info().map_err(|error| png_fault(name, &error))?;
        let size = reader.output_buffer_size().ok_or_else(|| damaged(name, "a size that cannot be"))?;
        let mut data = vec![0; size];
        let frame = reader.next_frame(&mut data).map_err(|error| png_fault(name, &error))?;
        // The closing chunk is what shows that nothing is missing after the pixels.
        reader.finish().map_err(|error| png_fault(name, &error))?;
        let grey = frame.color_type.samples() < 3;
        if matches!(frame.color_type, png::ColorType::GrayscaleAlpha | png::ColorType::Rgba) {
            flatten(&mut data, frame.color_type.samples());
        }
        Pixels::checked(name, data, frame.width, frame.height, grey)
    })
}

fn png_fault(name: &str, error: &png::DecodingError) -> PhotoFault {
    match error {
        png::DecodingError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            PhotoFault::CutShort(name.to_owned())
        }
        other => damaged(name, other),
    }
}

/// Lays pixels whose last channel is opacity on white, in place, and drops that channel.
fn flatten(data: &mut Vec<u8>, channels: usize) {
    let kept = channels - 1;
    let count = data.len() / channels;
    for pixel in 0..count {
        let opacity = u32::from(data[pixel * channels + kept]);
        for channel in 0..kept {
            let value = u32::from(data[pixel * channels + channel]);
            let mixed = (value * opacity + 255 * (255 - opacity) + 127) / 255;
            data[pixel * kept + channel] = u8::try_from(mixed).unwrap_or(u8::MAX);
        }
    }
    data.truncate(count * kept);
}

/// Runs a decoder. A stranger's photo may hit a case its authors did not think of; that must cost this photo alone.
fn guarded<T>(name: &str, decode: impl FnOnce() -> Result<T, PhotoFault>) -> Result<T, PhotoFault> {
    std::panic::catch_unwind(AssertUnwindSafe(decode))
        .unwrap_or_else(|_| Err(damaged(name, "the decoder could make nothing of it")))
}

fn damaged(name: &str, reason: impl ToString) -> PhotoFault {
    PhotoFault::Damaged { name: name.to_owned(), reason: reason.to_string().trim().trim_end_matches('.').to_owned() }
}

/// A side in pixels; no side exceeds 32 bits in any format read here.
fn narrow(side: usize) -> u32 {
    u32::try_from(side).unwrap_or(u32::MAX)
}

impl Pixels {
    /// Holds the amount of data against the size, so that nothing below can reach outside it.
    fn checked(name: &str, data: Vec<u8>, width: u32, height: u32, grey: bool) -> Result<Self, PhotoFault> {
        let pixels = Self { data, width, height, grey };
        if pixels.data.len() == width as usize * height as usize * pixels.channels() {
            Ok(pixels)
        } else {
            Err(damaged(name, "its pixels do not fill its size"))
        }
    }

    fn channels(&self) -> usize {
        if self.grey { 1 } else { 3 }
    }

    /// Scales down until the longest side is `longest`; leaves alone what is small enough.
    pub(super) fn shrunk(self, name: &str, longest: u32) -> Result<Self, PhotoFault> {
        let side = self.width.max(self.height);
        if side <= longest {
            return Ok(self);
        }
        let (width, height) = (scaled(self.width, longest, side), scaled(self.height, longest, side));
        let kind = if self.grey { PixelType::U8 } else { PixelType::U8x3 };
        let source = ImageRef::new(self.width, self.height, &self.data, kind).map_err(|e| damaged(name, e))?;
        let mut target = Image::new(width, height, kind);
        // Convolution widens the filter by the ratio, so fine texture averages out instead of shimmering.
        let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Bilinear));
        Resizer::new().resize(&source, &mut target, &options).map_err(|e| damaged(name, e))?;
        Self::checked(name, target.into_vec(), width, height, self.grey)
    }

    /// Turns and mirrors as an EXIF orientation asks for.
    pub(super) fn upright(self, orientation: u8) -> Self {
        if !(2..=8).contains(&orientation) {
            return self;
        }
        let (from_width, from_height) = (self.width as usize, self.height as usize);
        let (width, height) = if orientation < 5 { (from_width, from_height) } else { (from_height, from_width) };
        let channels = self.channels();
        let mut data = Vec::with_capacity(self.data.len());
        for y in 0..height {
            for x in 0..width {
                let (from_x, from_y) = origin(orientation, x, y, from_width - 1, from_height - 1);
                let at = (from_y * from_width + from_x) * channels;
                data.extend_from_slice(&self.data[at..at + channels]);
            }
        }
        Self { data, width: narrow(width), height: narrow(height), grey: self.grey }
    }

    /// Encodes as a JPEG with colours at half resolution.
    pub(super) fn encoded(self, name: &str) -> Result<Picture, PhotoFault> {
        let side = |side: u32| u16::try_from(side).map_err(|e| damaged(name, e));
        let (width, height) = (side(self.width)?, side(self.height)?);
        let mut jpeg = Vec::new();
        let mut encoder = Encoder::new(&mut jpeg, QUALITY);
        encoder.set_sampling_factor(SamplingFactor::F_2_2);
        encoder.set_chroma_subsampling_method(ChromaSubsamplingMethod::Average);
        let colours = if self.grey { ColorType::Luma } else { ColorType::Rgb };
        encoder.encode(&self.data, width, height, colours).map_err(|e| damaged(name, e))?;
        Ok(Picture { jpeg, width: self.width, height: self.height, grey: self.grey })
    }
}

/// A side reduced in the ratio of `to` to `from`, rounded, and never nothing.
fn scaled(side: u32, to: u32, from: u32) -> u32 {
    let (side, to, from) = (u64::from(side), u64::from(to), u64::from(from));
    u32::try_from((side * to + from / 2) / from).unwrap_or(u32::MAX).max(1)
}

/// Where the upright pixel at `x`, `y` is stored; `right` and `bottom` are the last stored column and row.
fn origin(orientation: u8, x: usize, y: usize, right: usize, bottom: usize) -> (usize, usize) {
    match orientation {
        2 => (right - x, y),
        3 => (right - x, bottom - y),
        4 => (x, bottom - y),
        5 => (y, x),
        6 => (y, bottom - x),
        7 => (right - y, bottom - x),
        8 => (right - y, x),
        _ => (x, y),
    }
}
