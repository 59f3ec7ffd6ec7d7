"""Judging: from integers heard to one sign a note and a beat. Pure; the same frames give the same take on every machine."""
