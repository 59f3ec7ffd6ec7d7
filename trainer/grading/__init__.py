"""How hard an exercise is for its singer: a level on one ladder, and its crux, what is hard about it, in plain words."""

LOWEST_LEVEL, HIGHEST_LEVEL = 1, 12
"""From a cantus sung in two parts to combined species in four with sevenths."""
