//! What a picture is: its header, its size, its date, and its pixels when asked for.
