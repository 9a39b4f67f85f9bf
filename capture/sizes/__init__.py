"""Standard sizes near a measured one, and whether a part fits before it is driven in.

Hints to look again, never corrections and never limits: how tight a part may be is the maker's to
say.
"""
