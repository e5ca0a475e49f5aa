"""A time limit for symbolic work."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from outboard.errors import OutboardError


class TooLong(OutboardError):
    """The algebra did not come to an end in the time that it was given."""


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raises TooLong when the body takes longer of the processor's time; the outermost limit counts.

    Only the main thread of a process that has alarms can be stopped.
    """
    stoppable = threading.current_thread() is threading.main_thread() and hasattr(signal, "setitimer")
    if not stoppable or signal.getitimer(signal.ITIMER_VIRTUAL)[0] > 0.0:
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooLong(
            f"the algebra of this network did not end within {seconds:g} s of computing: ask for one quantity, "
            "join resistors that stand in series or side by side, or use `solve`"
        )

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)
