"""How hard an exercise is for its singer: a level on one ladder, and its crux, what is hard about it, in plain words."""
