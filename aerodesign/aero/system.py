"""What a plant asks of its blower at each flow: a fixed pressure and a part that grows with the square of the flow."""

from typing import Annotated

from aerodesign.core.bounds import Accepts, Within
from aerodesign.core.quantities import Pressure, Ratio, VolumeFlow
from aerodesign.core.record import Record, record


@record
class System(Record):
    """The plant's curve through the design duty.

    ``fixed`` is the part of the pressure (or of the suction) that does not depend on the flow, as the depth of water over an
    aerator; ``fixed_share`` says it as a share of the design duty's pressure instead. The rest grows with the square of the volume
    flow at the inlet flange. Without either the whole does.
    """

    fixed: Annotated[
        Pressure, Accepts("gauge", "vacuum", advice="give a pressure difference"), Within("0 Pa", "2 bar")
    ] = 0.0
    fixed_share: Annotated[Ratio, Within(0, 1)] = 0.0


def fixed_part(system: System, *, design_rise: Pressure) -> Pressure:
    """The pressure that the plant asks at no flow."""
    return system.fixed + system.fixed_share * design_rise


def wanted_rise(system: System, *, flow: VolumeFlow, design_flow: VolumeFlow, design_rise: Pressure) -> Pressure:
    """The pressure rise (or suction) that the plant asks at a flow. Broadcasts."""
    fixed = fixed_part(system, design_rise=design_rise)
    return fixed + (design_rise - fixed) * (flow / design_flow) ** 2
