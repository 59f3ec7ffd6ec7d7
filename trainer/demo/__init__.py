"""A pretend singer for whom faults are written down: it makes sound, which then goes the way of any other sound."""
