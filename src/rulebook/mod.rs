//! Published guidance as data.
