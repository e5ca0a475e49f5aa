"""Work done meanwhile: in a process of its own where one can be split off safely, else when it is asked for."""

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any, Generic, TypeVar

Result = TypeVar("Result")


class Meanwhile(Generic[Result]):
    """A function at work beside its caller; `result` waits for it.

    Splitting a process off copies only the thread that asks for it, and with others about their locks would stay shut
    for ever; so it is done where there is no other.  A process that ends without an answer leaves its work to its
    caller, who then meets the mistake where it can be told.
    """

    def __init__(self, function: Callable[[], Result]) -> None:
        self._function = function
        self._answers: Connection | None = None
        if sys.platform == "linux" and threading.active_count() == 1 and (os.cpu_count() or 1) > 1:
            splitting = multiprocessing.get_context("fork")
            self._answers, questions = splitting.Pipe(duplex=False)
            self._process = splitting.Process(target=_work, args=(function, questions), daemon=True)
            self._process.start()
            questions.close()

    def result(self) -> Result:
        """What the function gives."""
        if self._answers is not None:
            try:
                answer: Any = self._answers.recv()
            except EOFError:
                return self._function()
            finally:
                self._answers.close()
                self._process.join()
            return answer  # type: ignore[no-any-return]
        return self._function()


def _work(function: Callable[[], Result], answers: Connection) -> None:
    with answers, suppress(BaseException):
        answers.send(function())
