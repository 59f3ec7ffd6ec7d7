"""Written music: spelled pitches, exact time, lines and scores. Standard library only."""
