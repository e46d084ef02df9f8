mod rulebook;
