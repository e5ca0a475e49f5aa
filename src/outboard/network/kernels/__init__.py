"""The solver: the mathematics of one circuit, written to be read as Python and to run compiled.

`elimination` solves the linear equations of a step, `newton` finds one point, `paths` finds the point that exists
physically and follows it through a table of cases.  `lanes` is Newton's method for several cases in step, over lane
numbers; `together` leads these through a table, `exchange` fills and empties them.  compile.py joins all with the
generated evaluation kernels (`assemble`, `evaluate_flows`, `evaluate_corners`, `least_range`) into one file; here they
cannot be imported.

x holds all unknowns, then ground and the ambient temperature; p all parameters; see tables.py for the rest.
Arrays are taken out of the tables once per function: reaching into them in a loop costs more than the arithmetic.
"""
