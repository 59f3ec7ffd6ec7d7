"""Dissonant ties: prepared, held, resolved."""
