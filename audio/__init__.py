"""Sound: hertz, cents, seconds and frames. Nothing here knows of notes on a staff."""
