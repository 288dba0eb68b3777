"""The loops, compiled. No Django, and no numba either before somebody asks.

The functions of turns.py, hanging.py, moments.py, weigh.py and search.py are compiled as they stand (numba), on arrays
of the very numbers that the lists hold: whole numbers throughout, so the results are the same to the bit. What is
compiled is kept beside this file, or in the user's cache where that cannot be written, under the digest of the
sources; where nothing can be kept it is compiled once a process. A first plan never waits for any of it.
"""

import hashlib
import os
import threading
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

from production.dip_plan import hanging, moments, pinning, placing, search, tables, turns, weigh

MODULES = (moments, placing, pinning, hanging, turns, weigh, search)
_lock, _made = threading.Lock(), {}


def loops() -> dict[str, Any]:
    """The compiled functions by name; the first call takes as long as compiling them, or reading what was kept."""
    with _lock:
        if not _made:
            _made.update(_compile())
    return _made


def array(numbers: list[int]) -> Any:
    """A list of whole numbers for the compiled loops. What they change in it does not show in the list."""
    import numpy  # noqa: PLC0415 (pages that plan nothing do not pay for it)

    return numpy.array(numbers or [0], dtype=numpy.int64)


def _compile() -> dict[str, Any]:
    import numba  # noqa: PLC0415

    kept = _folder()
    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(kept or "")
    try:
        shared = {"__name__": __name__, "__builtins__": __builtins__, "t": tables}
        for module in MODULES:
            for name, function in _own(module).items():
                copy = FunctionType(function.__code__, shared, name, function.__defaults__)
                shared[name] = numba.njit(copy, cache=kept is not None, error_model="numpy")
    finally:
        numba.config.CACHE_DIR = before
    return {name: made for name, made in shared.items() if hasattr(made, "py_func")}


def _own(module: ModuleType) -> dict[str, FunctionType]:
    own = {name: each for name, each in vars(module).items() if isinstance(each, FunctionType)}
    return {name: each for name, each in own.items() if each.__module__ == module.__name__}


def _folder() -> Path | None:
    """Where compiled loops are kept; None where nothing can be written."""
    digest = hashlib.sha256()
    for module in (tables, *MODULES):
        digest.update(Path(module.__file__).read_bytes())
    home = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    for place in (Path(__file__).parent / "__pycache__", Path(home) / "wickturn"):
        folder = place / f"loops-{digest.hexdigest()[:16]}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            probe = folder / f".{os.getpid()}"
            probe.touch()
            probe.unlink()
        except OSError:
            continue
        return folder
    return None
