"""Where the voices stand to each other: crossing, overlap, spacing, unisons, going together."""
