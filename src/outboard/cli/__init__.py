"""The command line: one module a verb, loaded when it is used."""

from outboard.cli.program import main

__all__ = ["main"]
