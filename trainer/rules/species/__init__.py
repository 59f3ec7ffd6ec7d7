"""What each species allows between voices, and in which values."""
