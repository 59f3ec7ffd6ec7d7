"""Music and the program: scores, drills, judging one line against the others, reports."""

__version__ = "0.1.0"
