"""The site of a case: pressure by altitude or barometer, and the gas that the blower breathes."""

from typing import Any

from aerodesign.aero.duty import Site
from aerodesign.case.fields import fields_of, missing, read_table
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.core.errors import GasError
from aerodesign.core.units import Parsed
from aerodesign.gas.air import humid_air
from aerodesign.gas.atmosphere import standard_atmosphere
from aerodesign.gas.mixture import mixture, pure_gas
from aerodesign.gas.perfect import Gas

AIR = ("air", "Air")


def read_site(table: Any, problems: Problems) -> tuple[Site | None, list[str]]:
    """The site with its gas, and the keys left at their defaults; None where the table has problems."""
    before = len(problems.found)
    fields = fields_of(Site)
    values = {k: v.value if isinstance(v, Parsed) else v
              for k, v in read_table(table, fields, ("site",), problems, also=("gas",)).items()}  # fmt: skip
    table = table if isinstance(table, dict) else {}

    if "pressure" in table and "altitude" in table:
        problems.add(("site", "altitude"), table["altitude"], "stands beside site.pressure; keep one of the two")
    elif "pressure" not in table and "altitude" not in table:
        problems.add(("site", "altitude"), ABSENT, 'is missing; give it as in "340 m", or pressure as in "97 kPa"')
    if "altitude" in values:
        values["pressure"] = float(standard_atmosphere(altitude=values["altitude"]).pressure)
    missing(values, {name: f for name, f in fields.items() if name == "temperature" and name not in table},
            ("site",), problems)  # fmt: skip
    if len(problems.found) > before:
        return None, []

    gas = _gas(table, values, problems)
    if gas is None:
        return None, []
    optional = ("relative_humidity",) if is_air(table) else ()
    return Site(gas=gas, **values), [name for name in (*optional, "gas") if name not in table]


def is_air(table: Any) -> bool:
    """True where the gas of the table ``[site]`` is (humid) air."""
    return not isinstance(table, dict) or table.get("gas", "air") in AIR


def _is_fraction(part: Any) -> bool:
    return type(part) in (int, float) and abs(part) < 1e30


def _gas(table: dict[str, Any], values: dict[str, Any], problems: Problems) -> Gas | None:
    p, T, asked = values["pressure"], values["temperature"], table.get("gas", "air")
    if not is_air(table) and values.get("relative_humidity", 0) > 0:
        problems.add(
            ("site", "relative_humidity"), table["relative_humidity"],
            "is for air only; give the water of a mixture as H2O",
        )  # fmt: skip
        return None
    try:
        if is_air(table):
            return humid_air(p=p, T=T, relative_humidity=values.get("relative_humidity", 0.0))
        if isinstance(asked, str):
            return pure_gas(name=asked, p=p, T=T)
        if isinstance(asked, dict) and all(_is_fraction(part) for part in asked.values()):
            return mixture(fractions=asked, p=p, T=T)
        problems.add(("site", "gas"), asked, 'must be a name as "N2" or mole fractions as {CH4 = 0.6, CO2 = 0.4}')
    except GasError as cause:
        where = "gas" if "gas" in table else "temperature"
        problems.add(("site", where), table[where], str(cause))
    return None
