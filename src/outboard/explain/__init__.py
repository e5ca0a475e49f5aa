"""The algebra of a stage: its regime, its equations, exact and short results, and what each neglect costs.

Only this layer computes with symbols; sympy is loaded inside the functions that need it.
"""
