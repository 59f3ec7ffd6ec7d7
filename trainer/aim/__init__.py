"""An exercise composed for one singer: wishes understood, candidates of the generator graded, the nearest taken."""
