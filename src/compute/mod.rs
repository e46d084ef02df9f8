//! Numbers that follow from the network and the rulebook. Never a verdict.
