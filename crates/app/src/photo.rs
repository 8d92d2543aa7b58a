//! Photos as they come from a phone: what is accepted, and how one is shown.
//!
//! The file is kept as it came. Size and pixels are checked from the header before anything is decoded; a JPEG that ends
//! before its end mark is refused, because half a photo decodes without a word. The turn that the camera noted (EXIF) is
//! applied when the photo is shown, mirrored ones included.

use crate::failure::{Failure, Kind};
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, metadata::Orientation};
use std::io::Cursor;

/// Largest photo in pixels.
pub const PIXEL_LIMIT: u64 = 64_000_000;

/// What the header of an accepted photo says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Header {
    /// Media type.
    pub mime: &'static str,
    /// Width as stored, pixels.
    pub width: u32,
    /// Height as stored, pixels.
    pub height: u32,
    /// Whether the camera noted that the picture is mirrored.
    pub mirrored: bool,
}

/// Checks a photo without decoding it.
///
/// # Errors
/// Too many bytes or pixels, another kind of file, a cut-off file; each names the file and what is accepted.
pub fn check(name: &str, bytes: &[u8]) -> Result<Header, Failure> {
    if bytes.len() as u64 > store::FILE_LIMIT_BYTES {
        let size_mib = bytes.len() as f64 / f64::from(1 << 20);
        return Err(Failure::new(
            Kind::TooLarge,
            format!("photo {name:?} has {size_mib:.1} MiB; at most 50 MiB are accepted"),
        ));
    }
    let accepted = "a JPEG, PNG or WebP picture is accepted";
    let format =
        image::guess_format(bytes).map_err(|_| Failure::bad_input(format!("{name:?} is not a photo; {accepted}")))?;
    let mime = match format {
        ImageFormat::Jpeg => "image/jpeg",
        ImageFormat::Png => "image/png",
        ImageFormat::WebP => "image/webp",
        other => return Err(Failure::bad_input(format!("{name:?} is a {other:?} file; {accepted}"))),
    };
    let broken = |error| Failure::bad_input(format!("photo {name:?} cannot be read: {error}; send the file again"));
    let mut decoder = ImageReader::with_format(Cursor::new(bytes), format).into_decoder().map_err(broken)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > PIXEL_LIMIT {
        let megapixels = pixels as f64 / 1e6;
        let message =
            format!("photo {name:?} has {megapixels:.1} megapixels ({width} × {height}); at most 64 are accepted");
        return Err(Failure::new(Kind::TooLarge, message));
    }
    if format == ImageFormat::Jpeg && !jpeg_is_whole(bytes) {
        let message = format!("photo {name:?} is cut off: the file ends before the picture does; send it again");
        return Err(Failure::bad_input(message));
    }
    let mirrored = matches!(
        decoder.orientation().unwrap_or(Orientation::NoTransforms),
        Orientation::FlipHorizontal
            | Orientation::FlipVertical
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH
    );
    Ok(Header { mime, width, height, mirrored })
}

/// A picture of at most `longest` pixels along its longer side, upright as the camera was held, as JPEG.
///
/// # Errors
/// A photo that cannot be decoded.
pub fn small(bytes: &[u8], longest: u32) -> Result<Vec<u8>, Failure> {
    let broken = |error| Failure::bad_input(format!("the photo cannot be decoded: {error}"));
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(Failure::machine)?;
    let mut decoder = reader.into_decoder().map_err(broken)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(broken)?.thumbnail(longest, longest);
    picture.apply_orientation(orientation);
    let mut jpeg = Vec::new();
    picture.to_rgb8().write_to(&mut Cursor::new(&mut jpeg), ImageFormat::Jpeg).map_err(broken)?;
    Ok(jpeg)
}

/// Walks the segments of a JPEG to the picture data and looks for the end mark after it (ISO/IEC 10918-1, Annex B).
fn jpeg_is_whole(bytes: &[u8]) -> bool {
    let mut at = 2;
    loop {
        match (bytes.get(at), bytes.get(at + 1)) {
            (Some(0xff), Some(0xff)) => at += 1,
            (Some(0xff), Some(0xda)) => break,
            (Some(0xff), Some(0xd9)) => return true,
            (Some(0xff), Some(0x01 | 0xd0..=0xd7)) => at += 2,
            (Some(0xff), Some(_)) => match (bytes.get(at + 2), bytes.get(at + 3)) {
                (Some(high), Some(low)) => at += 2 + usize::from(u16::from_be_bytes([*high, *low])),
                _ => return false,
            },
            _ => return false,
        }
    }
    bytes.get(at..).is_some_and(|data| data.windows(2).any(|pair| pair == [0xff, 0xd9]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jpeg(width: u32, height: u32) -> Vec<u8> {
        let picture = image::RgbImage::from_fn(width, height, |x, y| image::Rgb([x as u8, y as u8, (x * y) as u8]));
        let mut bytes = Vec::new();
        picture.write_to(&mut Cursor::new(&mut bytes), ImageFormat::Jpeg).unwrap();
        bytes
    }

    /// Puts an EXIF segment with one orientation tag behind the start mark (Exif 2.3, 4.6.4: tag 0x0112, SHORT).
    fn turned(bytes: &[u8], orientation: u8) -> Vec<u8> {
        let tiff =
            [b'M', b'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0, 0, 0, 0, 0];
        let length = (2 + 6 + tiff.len()) as u8;
        let mut out = bytes[..2].to_vec();
        out.extend([0xff, 0xe1, 0, length]);
        out.extend(b"Exif\0\0");
        out.extend(tiff);
        out.extend(&bytes[2..]);
        out
    }

    #[test]
    fn a_whole_photo_is_accepted_with_its_size() {
        let header = check("a.jpg", &jpeg(40, 30)).unwrap();
        assert_eq!(header, Header { mime: "image/jpeg", width: 40, height: 30, mirrored: false });
    }

    #[test]
    fn a_cut_off_photo_is_refused() {
        let bytes = jpeg(200, 200);
        for keep in [bytes.len() - 2, bytes.len() / 2] {
            assert!(check("a.jpg", &bytes[..keep]).unwrap_err().message.contains("cut off"));
        }
    }

    #[test]
    fn the_turn_of_the_camera_is_kept_and_a_mirrored_photo_is_named() {
        let bytes = jpeg(40, 20);
        // 6: to be turned by a quarter, so the upright picture is higher than wide.
        let upright = image::load_from_memory(&small(&turned(&bytes, 6), 40).unwrap()).unwrap();
        assert!(upright.height() > upright.width());
        assert!(check("a.jpg", &turned(&bytes, 2)).unwrap().mirrored);
        assert!(!check("a.jpg", &turned(&bytes, 6)).unwrap().mirrored);
    }

    #[test]
    fn too_many_pixels_are_seen_in_the_header() {
        // A PNG header that claims 10000 × 10000; no picture data follows, so it cannot have been decoded.
        let mut bytes = Vec::new();
        image::RgbImage::new(1, 1).write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png).unwrap();
        bytes[16..24].copy_from_slice(&[0, 0, 0x27, 0x10, 0, 0, 0x27, 0x10]);
        let crc = crc32(&bytes[12..29]);
        bytes[29..33].copy_from_slice(&crc.to_be_bytes());
        let failure = check("big.png", &bytes).unwrap_err();
        assert_eq!(failure.kind, Kind::TooLarge);
        assert!(failure.message.contains("100.0 megapixels"), "{failure}");
    }

    #[test]
    fn what_is_no_photo_is_refused_by_name() {
        assert!(check("list.txt", b"70 mm, 80 mm").unwrap_err().message.contains("\"list.txt\" is not a photo"));
        assert!(check("none", b"").is_err());
    }

    /// CRC-32 of PNG (ISO 3309).
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(!0_u32, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 })
        })
    }
}
