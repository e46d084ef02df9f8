//! How it looks: templates, Markdown, blocks, HTML, PDF and SVG.
