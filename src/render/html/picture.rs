//! Drawings and photos as HTML figures.

use crate::base::doc::Figure;
use crate::base::doc::Photo;
use crate::base::drawing::Drawing;
use crate::render::RenderError;
use crate::render::html::Writer;
use crate::render::html::text::base64;
use crate::render::html::text::escape;
use crate::render::html::text::line;
use crate::render::svg;
use std::fmt::Write as _;

impl Writer<'_> {
    pub(super) fn figure(&mut self, figure: &Figure) {
        let id = self.id(&figure.anchor);
        let caption = if figure.caption.is_empty() {
            String::new()
        } else {
            format!("<figcaption>{}</figcaption>", line(&figure.caption))
        };
        let mut drawing = self.drawing(&figure.drawing);
        if let Some(upright) = &figure.upright {
            let narrow = self.drawing(upright);
            drawing = format!("<div class=\"level\">{drawing}</div><div class=\"upright\">{narrow}</div>");
        }
        let _ = writeln!(self.text, "<figure class=\"drawing\"{id}>{drawing}{caption}</figure>");
    }

    /// A drawing under names of its own, in a region that scrolls when it is wider than the screen.
    pub(super) fn drawing(&mut self, drawing: &Drawing) -> String {
        self.figures += 1;
        let mut name = format!("figure-{}", self.figures);
        while self.used.contains(&format!("{name}-t")) || self.used.contains(&format!("{name}-d")) {
            name.push('x');
        }
        self.used.extend([format!("{name}-t"), format!("{name}-d")]);
        let svg = svg::svg(drawing, &name);
        let title = escape(&drawing.title);
        format!(
            "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"{title}, figure {}\">{svg}</div>",
            self.figures
        )
    }

    pub(super) fn photos(&mut self, photos: &[Photo]) -> Result<(), RenderError> {
        self.text.push_str("<div class=\"photos\">\n");
        for photo in photos {
            self.photo(photo)?;
            self.send()?;
        }
        self.text.push_str("</div>\n");
        Ok(())
    }

    pub(super) fn photo(&mut self, photo: &Photo) -> Result<(), RenderError> {
        let id = self.id(&photo.anchor);
        let _ = write!(self.text, "<figure class=\"photo\"{id}>");
        match &photo.file {
            Some(file) => self.image(photo, file)?,
            None => {
                let _ = write!(self.text, "<p class=\"frame\">{}</p>", escape(&photo.missing));
            }
        }
        let mut caption = if photo.id.is_empty() {
            String::new()
        } else {
            format!("<span class=\"id\">{}</span> ", escape(&photo.id))
        };
        caption.push_str(&line(&photo.caption));
        let caption = if caption.is_empty() { caption } else { format!("<figcaption>{caption}</figcaption>") };
        let _ = writeln!(self.text, "{caption}</figure>");
        Ok(())
    }

    fn image(&mut self, photo: &Photo, file: &str) -> Result<(), RenderError> {
        let picture = self.job.photos.picture(file);
        let picture = picture.map_err(|why| RenderError::Photo { file: file.to_owned(), why })?;
        let _ = write!(
            self.text,
            "<div class=\"frame\"><img width=\"{}\" height=\"{}\" alt=\"{}\" src=\"data:image/jpeg;base64,{}\"></div>",
            picture.width,
            picture.height,
            escape(&photo.alt),
            base64(&picture.jpeg)
        );
        Ok(())
    }
}
