"""Written music to tones: which voices sound, when, at which pitch, how loud, and what helps the singer in."""
