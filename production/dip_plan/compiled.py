"""The loops, compiled. No Django, and no numba either before somebody asks.

The functions of turns.py, hanging.py, moments.py, weigh.py and search.py are compiled as they stand (numba), on arrays
of the very numbers that the lists hold: whole numbers throughout, so the results are the same to the bit. What is
compiled is kept beside this file, or in the user's cache where that cannot be written, under the digest of the
sources; where nothing can be kept it is compiled once a process. A first plan never waits for any of it.
"""

import ast
import hashlib
import os
import threading
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

from production.dip_plan import hanging, moments, moves, pinning, placing, search, tables, turns, weigh

MODULES = (moments, placing, pinning, hanging, turns, weigh, moves, search)
CALLED = ("begin", "anneal", "run_turns", "weigh")  # from Python; the others only from one another
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
        shared = {"__name__": __name__}
        for module in MODULES:
            exec(_code(module), shared)  # noqa: S102 (our own files, as they stand)
        for name, function in list(shared.items()):
            if isinstance(function, FunctionType):
                inner = name not in CALLED
                shared[name] = numba.njit(
                    function,
                    cache=kept is not None,
                    error_model="numpy",
                    no_cpython_wrapper=inner,
                    no_cfunc_wrapper=True,
                )
    finally:
        numba.config.CACHE_DIR = before
    return {name: made for name, made in shared.items() if hasattr(made, "py_func")}


class _Numbers(ast.NodeTransformer):
    """Names of columns and tables become their numbers: half the time of compiling went into looking them up."""

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        if isinstance(node.value, ast.Name) and node.value.id == "t":
            return ast.copy_location(ast.Constant(getattr(tables, node.attr)), node)
        return node


def _code(module: ModuleType) -> CodeType:
    """A module's functions without its imports: they find one another in one namespace."""
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    tree.body = [node for node in tree.body if isinstance(node, ast.FunctionDef)]
    return compile(ast.fix_missing_locations(_Numbers().visit(tree)), module.__file__, "exec")


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
