"""Problems and plans as JSON, and back. No Django.

Format "wickturn-dip-plan", version 1: an object with `format`, `version`, `kind` ("problem" or "plan"), and the fields
of problem.py and plan.py by their names there. Dates and moments are ISO 8601 (moments with their offset), places
count from 0, sets are lists. Fields that have a default there may be left out; what is not known is left alone.
`problem_to_json` and `plan_to_json` give such an object; the way back takes one, or its text.
"""

import json
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from production.dip_plan.instance_checks import faults_of_problem
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem

FORMAT, VERSION = "wickturn-dip-plan", 1
MOST = 10**12  # no figure of a workshop lies beyond it


class BadInstance(ValueError):
    """A file that is no instance: says where, and what is wrong there."""


def problem_to_json(problem: Problem) -> dict[str, Any]:
    return {"format": FORMAT, "version": VERSION, "kind": "problem", **_written(problem)}


def plan_to_json(plan: Plan) -> dict[str, Any]:
    return {"format": FORMAT, "version": VERSION, "kind": "plan", **_written(plan)}


def problem_from_json(given: str | bytes | Mapping[str, Any]) -> Problem:
    """BadInstance where a field is missing or wrong, or a place points nowhere."""
    problem = _read(Problem, _object(given, "problem"), "")
    for fault in faults_of_problem(problem):
        raise BadInstance(fault)
    return problem


def plan_from_json(given: str | bytes | Mapping[str, Any]) -> Plan:
    """BadInstance where a field is missing or wrong. Whether the plan holds is another question: see check.py."""
    return _read(Plan, _object(given, "plan"), "")


def _written(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name: _written(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple | list):
        return [_written(each) for each in value]
    if isinstance(value, Mapping):
        return {str(key): _written(each) for key, each in value.items()}
    return value.isoformat() if isinstance(value, date) else value  # a datetime is a date


def _object(given: str | bytes | Mapping[str, Any], kind: str) -> Mapping[str, Any]:
    if isinstance(given, str | bytes):
        try:
            given = json.loads(given)
        except (ValueError, RecursionError) as error:
            raise BadInstance(f"This is no JSON: {error}.") from None
    if not isinstance(given, Mapping):
        raise BadInstance("The file holds no JSON object.")
    if given.get("format") != FORMAT:
        raise BadInstance(f'format: should be "{FORMAT}".')
    if given.get("version") != VERSION:
        raise BadInstance(f"version: should be {VERSION}; other versions are not known here.")
    if given.get("kind", kind) != kind:
        raise BadInstance(f'kind: should be "{kind}".')
    return given


@cache
def _shape(kind: type) -> list[tuple[str, Any, bool]]:
    """Name, type and whether it may be left out, of each field."""
    hints = get_type_hints(kind)
    left_out = {field.name: (field.default, field.default_factory) != (MISSING, MISSING) for field in fields(kind)}
    return [(name, hints[name], may) for name, may in left_out.items()]


def _read(kind: Any, value: Any, path: str) -> Any:
    """`value` as `kind`; `path` tells a person where it stands."""
    if is_dataclass(kind):
        return _read_row(kind, value, path)
    origin = get_origin(kind)
    if origin is UnionType:
        options = get_args(kind)
        inner = next(option for option in options if option is not type(None))
        return None if value is None and type(None) in options else _read(inner, value, path)
    if origin in (tuple, frozenset):
        return _read_list(kind, value, path)
    if origin is Mapping:
        if not isinstance(value, Mapping):
            raise BadInstance(f"{path}: should be an object.")
        return {str(key): _read(str, each, f"{path}.{key}") for key, each in value.items()}
    return _read_plain(kind, value, path)


def _read_row(kind: Any, value: Any, path: str) -> Any:
    if not isinstance(value, Mapping):
        raise BadInstance(f"{path or 'the file'}: should be an object.")
    read = {}
    for name, hint, may_miss in _shape(kind):
        at = f"{path}.{name}" if path else name
        if name in value:
            read[name] = _read(hint, value[name], at)
        elif not may_miss:
            raise BadInstance(f"{at}: is missing.")
    return kind(**read)


def _read_list(kind: Any, value: Any, path: str) -> Any:
    if not isinstance(value, list | tuple):
        raise BadInstance(f"{path}: should be a list.")
    inner = get_args(kind)
    if get_origin(kind) is frozenset:
        return frozenset(_read(inner[0], each, f"{path}[{at}]") for at, each in enumerate(value))
    if inner[-1] is not Ellipsis:
        if len(value) != len(inner):
            raise BadInstance(f"{path}: should be a list of {len(inner)}.")
        return tuple(_read(kind, each, f"{path}[{at}]") for at, (kind, each) in enumerate(zip(inner, value)))  # noqa: B905
    return tuple(_read(inner[0], each, f"{path}[{at}]") for at, each in enumerate(value))


def _read_plain(kind: Any, value: Any, path: str) -> Any:
    if kind in (date, datetime):
        return _read_time(kind, value, path)
    words = {int: "a whole number", str: "text", bool: "true or false"}[kind]
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise BadInstance(f"{path}: should be {words}.")
    if kind is int and abs(value) > MOST:
        raise BadInstance(f"{path}: {value} is too large a number.")
    if kind is str and "\0" in value:
        raise BadInstance(f"{path}: holds a NUL character.")
    return value


def _read_time(kind: Any, value: Any, path: str) -> Any:
    words = "a date such as 2026-11-30" if kind is date else "a moment such as 2026-11-30T08:00:00+00:00"
    try:
        read = kind.fromisoformat(value)
    except (TypeError, ValueError):
        raise BadInstance(f"{path}: should be {words}.") from None
    if kind is datetime and read.utcoffset() is None:
        raise BadInstance(f"{path}: should be {words}, with its offset.")
    return read
