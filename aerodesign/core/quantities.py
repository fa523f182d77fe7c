"""Quantities: a physical unit is written in a type, so that records, case files, reports and tests can read it.

``r2: Length`` says that the field is a length in metres. The exponents of metre, kilogram, second and kelvin let a test
rescale every unit by odd factors and find each dimensional slip in a transcribed formula.
"""

from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin, get_type_hints

Values = Any
"""A float, or an array with one value per design. Not the union of both: arithmetic on it is closed, but no type checker knows."""


@dataclass(frozen=True)
class Quantity:
    """A kind of physical quantity: its name, its SI unit and the exponents of (m, kg, s, K)."""

    name: str
    unit: str
    exponents: tuple[float, float, float, float]


def _quantity(name: str, unit: str, m: float = 0, kg: float = 0, s: float = 0, K: float = 0) -> Quantity:
    return Quantity(name, unit, (m, kg, s, K))


Ratio = Annotated[Values, _quantity("ratio", "")]
Count = Annotated[Values, _quantity("count", "")]
Level = Annotated[Values, _quantity("level", "dB")]
Angle = Annotated[Values, _quantity("angle", "rad")]
Length = Annotated[Values, _quantity("length", "m", m=1)]
Area = Annotated[Values, _quantity("area", "m2", m=2)]
Speed = Annotated[Values, _quantity("speed", "rad/s", s=-1)]
Velocity = Annotated[Values, _quantity("velocity", "m/s", m=1, s=-1)]
VolumeFlow = Annotated[Values, _quantity("volume flow", "m3/s", m=3, s=-1)]
MassFlow = Annotated[Values, _quantity("mass flow", "kg/s", kg=1, s=-1)]
Pressure = Annotated[Values, _quantity("pressure", "Pa", m=-1, kg=1, s=-2)]
Temperature = Annotated[Values, _quantity("temperature", "K", K=1)]
TemperatureDifference = Annotated[Values, _quantity("temperature difference", "K", K=1)]
Density = Annotated[Values, _quantity("density", "kg/m3", m=-3, kg=1)]
Viscosity = Annotated[Values, _quantity("viscosity", "Pa s", m=-1, kg=1, s=-1)]
SpecificHeat = Annotated[Values, _quantity("specific heat", "J/(kg K)", m=2, s=-2, K=-1)]
SpecificEnergy = Annotated[Values, _quantity("specific energy", "J/kg", m=2, s=-2)]
AngularMomentum = Annotated[Values, _quantity("specific angular momentum", "m2/s", m=2, s=-1)]
Power = Annotated[Values, _quantity("power", "W", m=2, kg=1, s=-3)]
Time = Annotated[Values, _quantity("time", "s", s=1)]
Frequency = Annotated[Values, _quantity("frequency", "Hz", s=-1)]
Force = Annotated[Values, _quantity("force", "N", m=1, kg=1, s=-2)]
Torque = Annotated[Values, _quantity("torque", "N m", m=2, kg=1, s=-2)]
Energy = Annotated[Values, _quantity("energy", "J", m=2, kg=1, s=-2)]
# The ampere has no exponent here: no transcribed formula of flow or strength holds one.
Voltage = Annotated[Values, _quantity("voltage", "V")]
Current = Annotated[Values, _quantity("current", "A")]
Mass = Annotated[Values, _quantity("mass", "kg", kg=1)]
Inertia = Annotated[Values, _quantity("moment of inertia", "kg m2", m=2, kg=1)]
Stress = Annotated[Values, _quantity("stress", "Pa", m=-1, kg=1, s=-2)]
Stiffness = Annotated[Values, _quantity("stiffness", "N/m", kg=1, s=-2)]
Unbalance = Annotated[Values, _quantity("unbalance", "kg m", m=1, kg=1)]


def quantity_of(hint: Any) -> Quantity | None:
    """The :class:`Quantity` written in a type hint, or None where the hint carries none."""
    if get_origin(hint) is Annotated:
        return next((extra for extra in get_args(hint)[1:] if isinstance(extra, Quantity)), None)
    return next((q for q in map(quantity_of, get_args(hint)) if q is not None), None)


def quantities(owner: Any) -> dict[str, Quantity]:
    """The quantity of each annotated field of a record, or of each parameter (and ``return``) of a function."""
    hints = get_type_hints(owner, include_extras=True)
    found = {name: quantity_of(hint) for name, hint in hints.items()}
    return {name: q for name, q in found.items() if q is not None}
