"""Compiled bodies of the canceller's steps, one a file; ``audio.compiled`` says how they are written and taken."""
