r"""The velocity gradient from hub to shroud, and the level that continuity sets.

The mean flow between the blades is taken as rotationally symmetric, with a blade force normal to the mean stream surface. Momentum
along a straight line q from hub to shroud then reads (Katsanis 1964, NASA TN D-2546, from memory; derived again here)

.. math:: c_m\frac{dc_m}{dq} = \kappa\cos\psi\,c_m^2 + \sin\psi\,c_m\frac{\partial c_m}{\partial m}
   + \Big(\omega-\frac{c_u}{r}\Big)\frac{d(rc_u)}{dq} + c_m\frac{\partial(rc_u)}{\partial m}\frac{d\theta}{dq}
   + \frac{dI}{dq} - T\frac{ds}{dq}

with the streamline's curvature :math:`\kappa` (positive towards the shroud), the angle :math:`\psi` between q and the normal to the
streamline, the blade's lean :math:`d\theta/dq`, rothalpy I and entropy s. The small part of a dissipative force that points along q is
left out. With :math:`rc_u = A - rc_m\tau` the right side over c_m is a function g of c_m alone; Newton's
:math:`c_m' = g \approx a\,c_m + b` about the pass before integrates in closed form.

The derivative of c_m along the streamline comes from continuity and the streamlines' course, not from differences of c_m of the
pass before, which would feed an error back enlarged by the height of the channel over the distance of the stations.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from aerodesign.aero.streamlines import Across, Array, Channel, Course, from_spans
from aerodesign.aero.swirl_laws import Coefficients, Loading
from aerodesign.core.quantities import MassFlow, Pressure, Ratio, Speed, Temperature
from aerodesign.gas.perfect import Gas, power

SLOWEST = 0.02
"""Least c_m over the station's mean: slower or reversed flow is held there, and the flow does not count as solved."""

FASTEST = 0.1
"""Least 1 - M^2, over a station's mean, that the iteration divides by: beyond Mach 0.95 it moves carefully."""


@dataclass(frozen=True, eq=False)
class Case:
    """A channel, its loading, and what the flow brings along; ``entropy`` is the rise above the inlet, 0 or over space."""

    channel: Channel
    loading: Loading
    gas: Gas
    pt0: Pressure
    Tt0: Temperature
    mass_flow: MassFlow
    speed: Speed
    entropy: Any = 0.0

    def state(self, r: Array, cm: Array, rcu: Array, rothalpy: Array) -> tuple[Array, Array]:
        """Temperature and density: ``cp T = I + omega r cu - c^2/2``, density along the isentrope less the entropy's part."""
        T = np.maximum((rothalpy + self.speed * rcu - (cm * cm + (rcu / r) ** 2) / 2) / self.gas.cp, 0.3 * self.Tt0)
        rest = self.pt0 / (self.gas.R * self.Tt0)
        if np.ndim(self.entropy):
            rest = rest * np.exp(-self.entropy / self.gas.R)
        return T, rest * power(T / self.Tt0, 1 / self.gas.kappa - 1)


class Velocities(NamedTuple):
    """Result of one pass; arrays (stations, streamlines, *designs).

    ``flux`` is the mass flow per eta, ``flow`` (stations, 1, *designs) its integral, ``free`` the c_m before it is held, ``mean`` that of
    the station. ``normal`` is the cosine between quasi-orthogonal and streamlines' normal times the height, ``stiffness`` the factor
    ``1 + tan(beta)^2`` by which blades weaken the gradient of c_m, ``subsonic`` the one by which the Mach number weakens the flux.
    """

    path: Course
    across: Across
    cm: Array
    rcu: Array
    T: Array
    rho: Array
    flux: Array
    flow: Array
    free: Array
    mean: Array
    normal: Array
    stiffness: Array
    subsonic: Array


def velocities(case: Case, eta: Array, cm: Array) -> Velocities:
    """Velocities on streamlines at ``eta``, linearised about those ``cm`` of the pass before."""
    channel = case.channel
    path, across = Course(*channel.points(eta)), Across(eta)
    law = case.loading.coefficients(channel, path, eta, cm, case.speed)
    rothalpy = case.gas.cp * case.Tt0 - case.speed * law.A[:1] + 0 * eta
    rcu = law.A - path.r * cm * law.tau
    T, rho = case.state(path.r, cm, rcu, rothalpy)
    opening = 1 - channel.bladed(eta) * from_spans(channel.blocked, eta)

    z_across, r_across = (channel.shroud_z - channel.hub_z)[:, None], (channel.shroud_r - channel.hub_r)[:, None]
    normal = r_across * path.tangent_z - z_across * path.tangent_r
    along = z_across * path.tangent_z + r_across * path.tangent_r
    a2 = case.gas.gamma * case.gas.R * T
    turning = case.speed - rcu / path.r**2

    work = law.A_along - law.rtau_along * cm
    rate = _growth_along(case, path, across, law, opening, normal, along, cm, rcu, a2, turning, work)
    push = along * rate * cm
    if np.ndim(channel.lean):
        lean = channel.bladed(eta) * across.derivative(from_spans(channel.lean, eta))
        push = push + (work - path.r * law.tau * rate * cm) * lean
    supply = across.derivative(rothalpy)
    if np.ndim(case.entropy):
        supply = supply - T * across.derivative(np.broadcast_to(case.entropy, cm.shape))

    # g = top / bottom, and Newton's a = dg/dcm with push and supply kept.
    bent = path.curvature * normal * cm
    rtau = path.r * law.tau
    oblique = across.derivative(rtau)
    loaded = across.derivative(law.A) - oblique * cm
    top = (bent + push) * cm + turning * loaded + supply
    bottom = cm + turning * rtau
    slope = top / bottom
    a = (2 * bent + push + law.tau / path.r * loaded - turning * oblique - slope * (1 + law.tau**2)) / bottom
    b = slope - a * cm

    stiffness = bottom / cm
    subsonic = 1 - cm**2 * stiffness / a2
    subsonic = subsonic + np.maximum(FASTEST - np.mean(subsonic, axis=1, keepdims=True), 0)
    area = 2 * np.pi * path.r * opening * normal
    growth = np.exp(np.minimum(across.integral(a), 30))
    forced = growth * across.integral(b / growth)
    whole = rho * area
    answering = whole * subsonic
    level = (case.mass_flow - across.total(whole * cm + answering * (forced - cm))) / across.total(answering * growth)
    free = growth * level + forced
    mean = case.mass_flow / across.total(whole)
    new = np.maximum(free, SLOWEST * mean)

    rcu = law.A - path.r * new * law.tau
    T, rho = case.state(path.r, new, rcu, rothalpy)
    flux = rho * new * area
    flow = across.total(flux)
    return Velocities(
        path=path,
        across=across,
        cm=new,
        rcu=rcu,
        T=T,
        rho=rho,
        flux=flux,
        flow=flow,
        free=free,
        mean=mean,
        normal=normal,
        stiffness=stiffness,
        subsonic=subsonic,
    )


def _growth_along(
    case: Case,
    path: Course,
    across: Across,
    law: Coefficients,
    opening: Array,
    normal: Array,
    along: Array,
    cm: Array,
    rcu: Array,
    a2: Array,
    turning: Array,
    work: Array,
) -> Ratio:
    r"""Derivative of ln(cm) along the streamline from continuity: streamlines that spread, the radius, the blades' opening, density.

    :math:`(1-M_m^2-\ldots)\,\partial\ln c_m/\partial m = -[\partial\varphi/\partial n + (1+c_u^2/a^2)\sin\varphi/r
    + (\omega-c_u/r)\,\partial(rc_u)/\partial m/a^2 + \partial\ln(1-B)/\partial m - \partial s/\partial m/R]`
    """
    turn = across.derivative(np.arctan2(path.tangent_r, path.tangent_z))
    spread = (turn - along * path.curvature) / normal
    narrowing = path.along(np.log(opening)) if np.ndim(case.channel.blocked) else 0.0
    heating = path.along(case.entropy + 0 * cm) / case.gas.R if np.ndim(case.entropy) else 0.0

    answer = (
        spread + path.tangent_r / path.r * (1 + (rcu / path.r) ** 2 / a2) + turning * work / a2 + narrowing - heating
    )
    return -answer / np.maximum(1 - (cm + turning * path.r * law.tau) * cm / a2, FASTEST)
