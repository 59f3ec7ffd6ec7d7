"""A section's rehearsal as decisions: which bars, how they are called, whose turn it is. Pure."""
