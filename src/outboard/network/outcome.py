"""What can become of a point, by number (compiled code) and by word (people)."""

SOLVED = 0
RUNAWAY = 1
OUT_OF_RANGE = 2
NOT_CONVERGED = 3

WORDS = ("solved", "runaway", "out of range", "not converged")
"""The word of each outcome."""
