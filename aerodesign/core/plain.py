"""Records to plain data (dicts, lists, numbers, words) and back, for JSON."""

import dataclasses
import math
from typing import Annotated, Any, TypeVar, get_args, get_origin, get_type_hints

import numpy as np

from aerodesign.core.bounds import Several, mark_of
from aerodesign.core.errors import AerodesignError
from aerodesign.core.record import Record

Kind = TypeVar("Kind", bound=Record)


def to_plain(value: Any) -> Any:
    """Plain data of a record, array or number. A nan becomes None; objects with a ``name`` (a section) become that name."""
    if isinstance(value, Record):
        return {name: to_plain(v) for name, v in value.items()}
    if isinstance(value, dict):
        return {name: to_plain(v) for name, v in value.items()}
    if isinstance(value, np.ndarray):
        return [to_plain(v) for v in value] if value.ndim else to_plain(value[()])
    if isinstance(value, (list, tuple)):
        return [to_plain(v) for v in value]
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    if isinstance(value, (int, np.integer)):
        return int(value)
    if isinstance(value, (float, np.floating)):
        return None if math.isnan(value) else float(value)
    if value is None or isinstance(value, str):
        return value
    return value.name


def from_plain(kind: type[Kind], plain: dict[str, Any], **known: Any) -> Kind:
    """A record of a kind from its plain data; ``known`` gives fields that plain data cannot hold.

    Raises AerodesignError where a field is missing or unknown.
    """
    hints = get_type_hints(kind, include_extras=True)
    names = {f.name for f in dataclasses.fields(kind)}  # type: ignore[arg-type]
    unknown = set(plain) - names
    if unknown:
        raise AerodesignError(
            f"{kind.__name__}: unknown {', '.join(sorted(unknown))}; was this file written by a newer version?"
        )
    values = {name: _restore(hints[name], plain[name]) for name in plain if name not in known}
    try:
        return kind(**values, **known)
    except TypeError as cause:
        raise AerodesignError(f"{kind.__name__}: {cause}; the file is incomplete") from cause


def _restore(hint: Any, plain: Any) -> Any:
    bare = get_args(hint)[0] if get_origin(hint) is Annotated else hint
    if isinstance(bare, type) and issubclass(bare, Record):
        return from_plain(bare, plain)
    if isinstance(plain, list) and mark_of(hint, Several) is not None:
        return tuple(plain)
    if isinstance(plain, list):
        return np.array([math.nan if v is None else v for v in plain])
    if plain is None:
        return math.nan
    return plain
