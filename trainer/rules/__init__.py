"""Is the exercise correct? Rules of counterpoint over a score, as tables of strictness say. Standard library only.

A score becomes a :class:`~trainer.rules.texture.Texture` once; every rule reads it through a :class:`~trainer.rules.piece.Piece` and
yields faults; a :class:`~trainer.rules.ruleset.RuleSet` grades them; :func:`~trainer.rules.checking.check` gives the report.
"""
