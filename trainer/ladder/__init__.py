"""From the own line alone to holding it against everybody: which rung comes next, and why a line is not held. Decisions only."""
