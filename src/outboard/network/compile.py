"""Compiles the solver once per machine and hands out the compiled functions.

`python -m outboard.network.compile` does it ahead of time.  The generated file lives in a cache folder of its
own and is named after everything that it was made of: sources, Python, numba and processor.
"""

import hashlib
import importlib.util
import os
import platform
import re
import sys
import sysconfig
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

from outboard.devices.catalogue import DEVICES
from outboard.devices.device import Device

HERE = Path(__file__).parent
KERNELS = ("vector_functions", "elimination", "newton", "standing", "branch", "paths", "lanes", "exchange", "together")
WRITERS = ("compile", "tracer", "generate", "generate_lanes", "lane_numbers", "tables", "outcome")
SOURCES = (
    *sorted((HERE.parent / "devices").glob("*.py")),
    *(HERE / f"{name}.py" for name in WRITERS),
    *(HERE / "kernels" / f"{name}.py" for name in KERNELS),
    HERE.parent / "constants.py",
)
OWN_MODULE = r"outboard\.network\.(?:generated|lane_numbers|kernels\.\w+)"
OWN_IMPORT = re.compile(rf"from {OWN_MODULE} import (?:\([^)]*\)|[^\n]*)\n")
HEAD = '''"""Generated: the solver of outboard.network.kernels with the equations of all devices."""

from math import exp, log, log1p, sqrt, tanh

import numba
import numpy as np

from outboard.network.lane_numbers import WIDTH, any_of, choose, every, exponent_of, lane, lane_sqrt, mantissa_of
from outboard.network.lane_numbers import power_of_two, put, size_of

entry = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"}, _nrt=False)
compiled = numba.njit(nogil=True, error_model="numpy", fastmath={"contract"}, _nrt=False)
inlined = numba.njit(nogil=True, error_model="numpy", fastmath={"contract"}, _nrt=False, forceinline=True)
'''


def cache_folder() -> Path:
    """Where compiled kernels are kept: $OUTBOARD_CACHE, else the user's cache folder."""
    chosen = os.environ.get("OUTBOARD_CACHE")
    if chosen:
        return Path(chosen)
    root = os.environ.get("XDG_CACHE_HOME")
    return (Path(root) if root else Path.home() / ".cache") / "outboard"


def fingerprint() -> str:
    """Names the compiled kernels: changes with any source, with Python, numba or the processor."""
    from importlib.metadata import version

    digest = hashlib.sha256()
    for source in SOURCES:
        digest.update(source.read_bytes())
    digest.update("|".join((sys.version, version("numba"), sysconfig.get_platform(), _processor())).encode())
    return digest.hexdigest()[:16]


def _processor() -> str:
    """The processor's name and features: machine code for one does not serve another."""
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8", errors="replace").splitlines()
        return "|".join(line for line in lines[:30] if line.startswith(("model name", "flags")))
    except OSError:
        return platform.processor()


def _text() -> str:
    from outboard.network.generate import corner_count, evaluation_kernels, parameter_slope_places, slope_places
    from outboard.network.generate_lanes import lane_kernels

    pieces = [(HERE / "kernels" / f"{name}.py").read_text(encoding="utf-8") for name in KERNELS]
    places = {
        device.name: (slope_places(device), parameter_slope_places(device), corner_count(device)) for device in DEVICES
    }
    first, *others = (OWN_IMPORT.sub("", piece) for piece in pieces)
    return "\n\n\n".join([HEAD, f"PLACES = {places}", first, evaluation_kernels(), lane_kernels(), *others])


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Keeps a second process from writing the same file at the same time."""
    with (folder / "lock").open("w") as handle:
        try:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        except ImportError:  # no such lock on this system: writing is atomic anyway
            pass
        yield


def _written() -> Path:
    """The generated file, made if it is missing."""
    folder = cache_folder()
    name = f"solver_{fingerprint()}"
    path = folder / name / f"{name}.py"
    if path.exists():
        return path
    path.parent.mkdir(parents=True, exist_ok=True)
    with _locked(path.parent):
        if not path.exists():
            handle, draft = tempfile.mkstemp(dir=path.parent, suffix=".draft")
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(_text())
                file.flush()
                os.fsync(file.fileno())
            os.replace(draft, path)
    return path


@contextmanager
def _without_scipy() -> Iterator[None]:
    """Keeps numba from importing scipy (0.2 s) for linear algebra that the kernels do not use."""
    hidden = "scipy.linalg" not in sys.modules
    if hidden:
        sys.modules["scipy.linalg"] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        if hidden:
            del sys.modules["scipy.linalg"]


@cache
def solver() -> ModuleType:
    """The compiled solver; functions compile when first called and are kept on disk."""
    path = _written()
    spec = importlib.util.spec_from_file_location(f"outboard_{path.stem}", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    with _without_scipy():
        spec.loader.exec_module(module)
        importlib.import_module("numba.core.registry").cpu_target.target_context.refresh()
    return module


class Places(NamedTuple):
    """Where a device's kernels write: (contribution, port) and (contribution, parameter) pairs, number of corners."""

    slopes: tuple[tuple[int, int], ...]
    parameter_slopes: tuple[tuple[int, int], ...]
    corners: int


def places_of(device: Device) -> Places:
    """The places of a device, kept with the compiled kernels so that nothing is traced again."""
    return Places(*solver().PLACES[device.name])


def main() -> None:
    """Compiles every entry by solving a small circuit."""
    from outboard.network.warm import solve_small_circuit

    with _locked_for_compilation():
        solve_small_circuit()


@contextmanager
def _locked_for_compilation() -> Iterator[None]:
    folder = _written().parent
    with _locked(folder):
        yield


if __name__ == "__main__":
    main()
