"""Finding the singer's own time: a line sung without our click is laid on the score, and music time read off from it."""
