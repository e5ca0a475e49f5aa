"""Device physics: each device written once, in plain arithmetic over a mathematics namespace.

The same text serves floats, forty-digit numbers (in the tests) and the tracer that makes the compiled
kernels with all derivatives.  Currents are positive into the named terminal.  Heat leaves a device by its
`temperature` port: that contribution is minus the power that the device turns into heat.
"""
