"""Chords over the lowest voice: completeness, doubling, chordal sevenths, six-fours."""
