//! Photos for the pack: decoded one at a time, kept for the next output while there is room.

use crate::base::files::Files;
use crate::photo;
use crate::render::Picture;
use crate::render::Pictures;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// The longest side of a photo in a pack, in pixels: 150 to the inch over two thirds of a page.
const LONGEST: u32 = 1200;

/// So many bytes of finished photos are kept.
const ROOM: usize = 64 << 20;

/// Photos out of the record's folder.
pub struct DiskPictures<'f> {
    files: &'f dyn Files,
    kept: RefCell<Kept>,
}

#[derive(Default)]
struct Kept {
    bytes: usize,
    by_name: BTreeMap<String, photo::Picture>,
}

impl<'f> DiskPictures<'f> {
    /// Photos among some files.
    pub fn new(files: &'f dyn Files) -> Self {
        Self { files, kept: RefCell::default() }
    }

    /// Keeps a photo when there is room for it.
    fn keep(&self, file: &str, picture: &photo::Picture) {
        let mut kept = self.kept.borrow_mut();
        if kept.bytes + picture.jpeg.len() <= ROOM {
            kept.bytes += picture.jpeg.len();
            kept.by_name.insert(file.to_owned(), picture.clone());
        }
    }

    /// Decodes a photo whole, so that what cannot be shown is known before the pack speaks of it.
    ///
    /// # Errors
    /// Why it cannot be shown.
    pub fn prepare(&self, file: &str) -> Result<(), photo::PhotoFault> {
        if self.kept.borrow().by_name.contains_key(file) {
            return Ok(());
        }
        let picture = photo::picture(self.files, file, LONGEST)?;
        self.keep(file, &picture);
        Ok(())
    }
}

impl Pictures for DiskPictures<'_> {
    fn picture(&self, file: &str) -> Result<Picture, String> {
        let kept = self.kept.borrow().by_name.get(file).cloned();
        let picture = match kept {
            Some(picture) => picture,
            None => photo::picture(self.files, file, LONGEST).map_err(|fault| fault.to_string())?,
        };
        let photo::Picture { jpeg, width, height, grey } = picture;
        Ok(Picture { jpeg, width, height, grey })
    }
}
