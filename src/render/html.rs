//! (soon)
/// x
pub fn write(_: &crate::render::Document, _: &crate::render::Job, _: &mut dyn std::io::Write) -> Result<(), crate::render::RenderError> { Ok(()) }
