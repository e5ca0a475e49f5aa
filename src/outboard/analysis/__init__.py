"""The questions: how it stands at one point, and how the current divides along the load."""
