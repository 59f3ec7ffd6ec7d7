"""Compiled bodies of the tracker's steps, one a file; ``audio.compiled`` says how they are written and taken."""
