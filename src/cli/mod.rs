//! Arguments, disk, clock and terminal: the only layer that meets the outside world.
