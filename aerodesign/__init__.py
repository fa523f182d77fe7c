"""Preliminary design of industrial high-speed centrifugal blowers, from a duty to a machine.

The public names, loaded when first used, so that importing the package stays light::

    import aerodesign

    case = aerodesign.read_case("cases/trout-hatchery.toml")
    design = aerodesign.design_case(case)
    print(design.speed, design.stage.efficiency_static)
    aerodesign.deliver(design, case, "hatchery-result")
"""

from importlib import import_module
from typing import Any

PUBLIC = {
    "AerodesignError": "aerodesign.core.errors",
    "Blower": "aerodesign.aero.impeller",
    "Case": "aerodesign.case",
    "Choices": "aerodesign.aero.choices",
    "Design": "aerodesign.aero.design",
    "Diffuser": "aerodesign.aero.impeller",
    "Drive": "aerodesign.aero.choices",
    "Duty": "aerodesign.aero.duty",
    "Gas": "aerodesign.gas.perfect",
    "Impeller": "aerodesign.aero.impeller",
    "Limits": "aerodesign.aero.choices",
    "Models": "aerodesign.aero.models",
    "Site": "aerodesign.aero.duty",
    "Stage": "aerodesign.aero.stage",
    "Triangle": "aerodesign.aero.triangles",
    "Volute": "aerodesign.aero.impeller",
    "backswept_line": "aerodesign.correlations.cordier",
    "case_from_text": "aerodesign.case",
    "deliver": "aerodesign.report.deliver",
    "design": "aerodesign.aero.design",
    "design_case": "aerodesign.case.run",
    "euler_work": "aerodesign.aero.triangles",
    "exit_triangle": "aerodesign.aero.triangles",
    "explain": "aerodesign.whole.explained",
    "explain_lines": "aerodesign.report.explain_lines",
    "family": "aerodesign.aero.family",
    "grease_life": "aerodesign.machine.grease",
    "life_hours": "aerodesign.machine.bearings",
    "machine_check": "aerodesign.whole",
    "performance_map": "aerodesign.aero.performance_map",
    "qiu": "aerodesign.correlations.slip",
    "rate_case": "aerodesign.case.run",
    "rating_life": "aerodesign.machine.bearings",
    "read_case": "aerodesign.case",
    "read_design": "aerodesign.report.design_json",
    "schedule": "aerodesign.aero.spiral",
    "section_named": "aerodesign.aero.sections",
    "solve": "aerodesign.aero.meanline",
    "solve_blocks": "aerodesign.aero.blocks",
    "specific_diameter": "aerodesign.correlations.cordier",
    "specific_speed": "aerodesign.correlations.cordier",
    "stanitz": "aerodesign.correlations.slip",
    "stodola": "aerodesign.correlations.slip",
    "wiesner": "aerodesign.correlations.slip",
}
"""Public name to the module that defines it: the only such list."""

__all__ = ["__version__", *PUBLIC]


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("aerodesign")
    except PackageNotFoundError:  # run from a source tree that was not installed
        return "0+unknown"


def __getattr__(name: str) -> Any:
    if name == "__version__":
        return _version()
    if name not in PUBLIC:
        raise AttributeError(f"module 'aerodesign' has no attribute {name!r}")
    value = getattr(import_module(PUBLIC[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
