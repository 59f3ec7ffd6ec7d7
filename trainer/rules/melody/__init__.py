"""What each voice does alone: its leaps, its outline, its shape, its altered notes."""
