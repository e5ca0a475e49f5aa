"""What devices store, and what they are while they change: the same equations as at rest, with charges beside them.

Each charge is written once, in plain arithmetic over a mathematics namespace, as the currents are.  The balance of a
port is current plus d(charge)/dt.  Nothing here is compiled: one point at a time is enough for steps and small signals.
"""
