"""Some bars again and again without learning the fault: which bars, how fast, when to stop, what else to try. Decisions only."""
