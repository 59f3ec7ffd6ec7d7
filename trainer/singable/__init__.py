"""How hard a line is to sing, told from paper: every note's difficulty in points with its reasons, apart from whether it is correct."""
