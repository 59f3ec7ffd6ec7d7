"""How a piece closes."""
