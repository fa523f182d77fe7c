"""A case file from path or text to :class:`Case`; all that is wrong with it in one CaseError, a line each."""

import hashlib
import json
import re
import tomllib
from pathlib import Path as FilePath
from typing import Any

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.site_curves import Conditions
from aerodesign.case.contents import STANDARD_STATES, Case
from aerodesign.case.duties import Duties, read_duties
from aerodesign.case.lines import lines_of
from aerodesign.case.parts import (
    FORMS,
    OPTIONS,
    read_given,
    read_measured,
    read_models,
    read_options,
    read_service,
    read_states,
    read_system,
)
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.case.site import is_air, read_site
from aerodesign.core.errors import CaseError
from aerodesign.core.texts import file_text, one_line, shown_path
from aerodesign.form import Form

SLIPS = {
    "Expected newline or end of document": 'put a value with its unit in quotes, as in flow = "1800 m3/h"',
    "Cannot declare": "write [[duty]] with double brackets for several duty points",
    "Invalid value": "put text and values with units in straight quotes",
    "Invalid statement": "a line is key = value or [table]; a design.json is read by 'aerodesign rate'",
}
"""Advice for the usual slips, by what the parser says of them."""

TEXTS = ("title", "notes")
KEYS = (
    *TEXTS,
    "invented",
    "service",
    "duty",
    "site",
    *OPTIONS,
    "system",
    "models",
    *STANDARD_STATES,
    "rate",
    "measured",
)


def read_case(path: str | FilePath) -> Case:
    """Read and check a case file. Raises CaseError, with one line for each problem."""
    return case_from_text(file_text(path, "a case file", "a short TOML text"), name=shown_path(path))


def case_from_text(text: str, name: str = "case") -> Case:
    """Read and check the text of a case file; ``name`` stands before the line number in messages.

    Raises CaseError, with one line for each problem.
    """
    content, problems = _parsed(text, name)
    _check_top(content, problems)
    service = read_service(content, problems)
    states = read_states(content, problems)
    options, defaults = read_options(content, problems)
    models = read_models(content.get("models", {}), problems)
    given = read_given(content["rate"], problems) if "rate" in content else None
    measured = read_measured(content.get("measured", []), problems)
    site, site_defaults = read_site(content.get("site", {}), problems)
    air = is_air(content.get("site", {}))
    duties = read_duties(content["duty"], service, site, air, states, problems) if "duty" in content else None
    system, system_defaults = read_system(content.get("system", {}), duties, problems)
    form = _form(content, options, problems)
    problems.stop()
    if site is None:
        raise AssertionError("a site that cannot be read is a problem")

    before = [f"site.{key}" for key in site_defaults] + (duties.defaults if duties else [])
    return Case(
        title=content.get("title", FilePath(name).stem),
        service=service,
        site=site,
        **_asked(duties),
        limits=Limits(**options["limits"]),
        drive=Drive(**options["drive"]),
        choices=Choices(**options["choices"]),
        system=system,
        conditions=Conditions(**options["conditions"]),
        form=form,
        models=models,
        given=given,
        measured=measured,
        standard_states={key: states[key] for key in states if duties and key in duties.flow_references},
        notes=content.get("notes", ""),
        invented=content.get("invented", False),
        defaults=tuple([] if "service" in content else ["service"]) + tuple(before + defaults + system_defaults),
        digest=_digest(content),
        path=name,
        lines=problems.lines,
    )


def _form(content: dict[str, Any], options: dict[str, dict[str, Any]], problems: Problems) -> Form:
    """The tables of form; what contradicts itself within one of them is a problem like any other."""
    form = Form(**{key: kind(**options[key]) for key, kind in FORMS.items()})
    for table, key, complaint in form.faults():
        said = content.get(table, {})
        if set(said) == set(options[table]):  # else some of it could not be read, which has been said
            problems.add((table, key), said.get(key, ABSENT), complaint)
    return form


def _parsed(text: str, name: str) -> tuple[dict[str, Any], Problems]:
    try:
        return (content := tomllib.loads(text)), Problems(name, lines_of(text) if content else {})
    except RecursionError as cause:
        raise CaseError(f"{name}:1 is not valid TOML: nested too deeply") from cause
    except ValueError as cause:
        # tomllib ends its messages with "(at line 3, column 5)" or "(at end of document)".
        reason, _, place = str(cause).partition(" (at ")
        at_line = re.match(r"line ([0-9]+), column ([0-9]+)", place)
        line = int(at_line[1]) if at_line else text.count("\n") + 1
        column = f" at column {at_line[2]}" if at_line else ""
        hint = next((advice for sign, advice in SLIPS.items() if sign in reason), "see a file in cases/ for the form")
        raise CaseError(f"{name}:{line} is not valid TOML: {one_line(reason, 120)}{column}; {hint}") from cause


def _check_top(content: dict[str, Any], problems: Problems) -> None:
    for key, value in content.items():
        if key not in KEYS:
            problems.unknown((key,), value, KEYS)
        elif key in TEXTS and not isinstance(value, str):
            problems.add((key,), value, "must be text in quotes")
        elif key == "invented" and not isinstance(value, bool):
            problems.add((key,), value, "must be true or false, without quotes")
    if "duty" not in content and "rate" not in content:
        problems.add(("duty",), ABSENT, "is missing; say what is asked in a table [duty]")


def _asked(duties: Duties | None) -> dict[str, Any]:
    if duties is None:
        return {}
    return {
        "duty": duties.duty,
        "design_index": duties.design_index,
        "flow_references": duties.flow_references,
    }


def _digest(content: dict[str, Any]) -> str:
    """SHA-256 of what the file says; its comments, order and layout do not count."""
    canonical = json.dumps(content, sort_keys=True, separators=(",", ":"), default=str)
    return hashlib.sha256(canonical.encode("utf-8", "surrogatepass")).hexdigest()
