"""What the kept takes say to do next: which lines come back when, which bars are weak, what is still unsung. Counts in, plain records out.

Nothing here reads a clock, a file or a score's path: today is given, and an exercise is known by its music.
"""
