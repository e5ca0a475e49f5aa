"""The command line: one module a verb, loaded when it is used."""

from collections.abc import Sequence

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code, 130 when it is interrupted before it has begun."""
    try:
        from outboard.cli.program import main as run

        return run(arguments)
    except KeyboardInterrupt:
        return 130
