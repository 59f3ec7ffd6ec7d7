"""One take from plan to verdicts: what is expected, when, against which reference, and the loop that joins it to what is heard."""
