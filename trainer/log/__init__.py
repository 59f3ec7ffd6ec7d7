"""The store of attempts on this machine: SQLite for what is finished, an append-only file for what is under way.

An attempt is kept as what was heard (integers), on which score, under which settings; never as sound unless that was asked for. Judged
again from the store it gives the same signs and bytes.
"""
