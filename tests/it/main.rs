mod x {}
mod photo;
