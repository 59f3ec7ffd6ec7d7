"""A line's chords held by themselves: which notes are worth it, the score that is made of them, how each was held. Nothing judges here."""
