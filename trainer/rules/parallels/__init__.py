"""Parallel, antiparallel and direct perfect intervals between every two voices."""
