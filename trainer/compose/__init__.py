"""Correct exercises on demand. Standard library only; decided by integers, so that a seed gives the same music on every machine.

    Wish --cantus, setting--> Plan --search, moment by moment--> States --written--> Scores --check--> Composed

``ground`` asks the rules of ``trainer.rules`` about pitches and remembers, ``choices`` what each species may do next, ``grow`` tries
voices against each other, ``beam`` keeps the best. What is good is in ``taste.table``; what is correct, the checker alone says.
"""

from trainer.compose.composing import compose, compose_batch
from trainer.compose.wish import Composed, Wish, WishError

__all__ = ["Composed", "Wish", "WishError", "compose", "compose_batch"]
