mod x {}
mod render;
