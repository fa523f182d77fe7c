"""Hub-to-shroud throughflow of an impeller by streamline curvature, from the inlet duct through the blades into the diffuser.

The equation stands in :mod:`aerodesign.aero.velocity_gradient`, the channel in :mod:`aerodesign.aero.streamlines`, what the blades
prescribe in :mod:`aerodesign.aero.swirl_laws`. Boundary layers on the walls are left out: distortion and peaks are those of the core.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero.relaxation import Mixing, Smoother, smoother
from aerodesign.aero.streamlines import Array, Channel
from aerodesign.aero.swirl_laws import Loading
from aerodesign.aero.velocity_gradient import SLOWEST, Case, Velocities, velocities
from aerodesign.core.flags import Flag
from aerodesign.core.quantities import MassFlow, Pressure, Speed, Temperature
from aerodesign.gas.perfect import Gas

PASSES = 30
"""Passes over the channel. Of 203 random wheels (shroud radius 0.45 to 0.72 and exit width 0.06 to 0.22 of r2, backsweep to 60 degrees, 60
to 130 per cent of design flow, below 88 per cent of the inducer's choke) 202 settle to 1e-5 with prescribed swirl, 201 with blade
angles; the others pass the speed of sound at the inducer's shroud. Nineteen of twenty are there after 20 passes.
"""

SOLVED_SHIFT, SOLVED_FLOW = 1e-5, 1e-9
"""Largest displacement that the last pass asks for over the channel's height, and error of mass flow, of a flow that counts as solved."""


SLOW = 0.2
"""Least c_m over the station's mean that raises no flag: boundary layers will turn back sooner than the core. Our own choice, no source."""

DISTORTED = 0.05
"""Equivalent blockage of the core flow at the exit beyond which one mean velocity describes it badly: our own choice, no source."""


@dataclass(frozen=True, eq=False)
class Throughflow:
    """A flow solved on quasi-orthogonals; fields of shape (stations, streamlines, *designs), then numbers per design.

    ``eta`` is a point's share of the way from hub to shroud, ``beta`` the relative flow angle, ``mach`` that of the relative velocity
    ``w``, ``curvature`` in 1/m. ``history`` (passes, *designs) holds the largest displacement that each pass asked for over the
    channel's height. Not a Record: most of its arrays run over space.
    """

    eta: Array
    z: Array
    r: Array
    cm: Array
    cu: Array
    w: Array
    beta: Array
    rho: Array
    T: Array
    mach: Array
    curvature: Array

    history: Array
    flow_error: Any
    slowest: Any
    distortion: Any
    peak_curvature: Any
    solved: Any


def throughflow(
    channel: Channel,
    *,
    gas: Gas,
    pt0: Pressure,
    Tt0: Temperature,
    mass_flow: MassFlow,
    speed: Speed,
    loading: Loading,
    entropy: Any = 0.0,
    streamlines: int = 9,
    passes: int = PASSES,
) -> Throughflow:
    """Solve the hub-to-shroud flow from a uniform total state at the first station; equal mass flows between the streamlines.

    ``entropy`` is the rise above the inlet in J/(kg K); it broadcasts to (stations, streamlines, *designs): an array (stations, 1)
    that grows linearly with m is a loss spread evenly. Broadcasts over designs; a fixed number of passes, ``solved`` per
    design. Nothing is raised for a bad answer.
    """
    case = Case(channel, loading, gas, pt0, Tt0, mass_flow, speed, entropy)
    with np.errstate(all="ignore"):
        psi, eta, cm = _start(case, streamlines)
        scale = np.mean(cm, axis=1, keepdims=True)
        mixing = Mixing(share=0.6, first=0.35, plain=3)
        history = []
        for number in range(passes):
            now = velocities(case, eta, cm)
            if number in (0, 2):
                smooth = _smoother(case, now)

            # A streamline with too little flow beneath it moves by what is missing over the flow per eta.
            share = now.across.integral(now.flux) / now.flow
            wanted = (psi - share) * mass_flow / now.flux
            history.append(np.max(np.abs(wanted), axis=(0, 1)))
            if number < passes - 1:
                unknowns = np.concatenate([eta, cm / scale], axis=1)
                change = np.concatenate([smooth(wanted), (now.cm - cm) / scale], axis=1)
                taken = mixing(unknowns.reshape(-1, *eta.shape[2:]), change.reshape(-1, *eta.shape[2:]))
                shift, faster = np.split(taken.reshape(change.shape), 2, axis=1)
                eta, cm = _moved(eta, shift), np.maximum(cm + faster * scale, SLOWEST * scale)
        return _result(case, eta, now, np.array(history))


def judge(flow: Throughflow) -> list[Flag]:
    """What a throughflow warns of; each flag per design. A flow that broke off in the iteration (nan) raises all of them."""
    fastest = np.max(flow.mach, axis=(0, 1))
    return [
        Flag(
            "throughflow not solved",
            ~flow.solved,
            "the hub-to-shroud flow did not settle: it chokes or turns back at a wall",
            "see choke margin and slowest flow; its numbers must not be used",
            flow.history[-1],
            SOLVED_SHIFT,
        ),
        Flag(
            "throughflow slow at a wall",
            ~(flow.slowest >= SLOW),
            "hub or shroud receives little flow: it is about to turn back there",
            "load hub and shroud differently, lengthen the wheel, or raise the flow",
            flow.slowest,
            SLOW,
        ),
        Flag(
            "throughflow supersonic",
            ~(fastest <= 1),
            "the relative flow is faster than sound somewhere between hub and shroud",
            "a larger eye or a lower speed",
            fastest,
            1.0,
        ),
        Flag(
            "throughflow distortion",
            ~(flow.distortion <= DISTORTED),
            "the exit flow is uneven from hub to shroud beyond what one mean velocity describes",
            "a narrower exit or a longer wheel",
            flow.distortion,
            DISTORTED,
        ),
    ]


def _start(case: Case, streamlines: int) -> tuple[Array, Array, Array]:
    """Shares of the flow below the streamlines; streamlines that part the area so; a uniform velocity at the density of rest."""
    channel = case.channel
    designs = np.broadcast(channel.hub_z[0], channel.shroud_z[0], case.mass_flow, case.speed, case.pt0, case.Tt0).shape
    psi = np.linspace(0, 1, streamlines).reshape(1, -1, *(1,) * len(designs))

    full = np.zeros((len(channel.hub_z), streamlines, *designs))
    hub, shroud = channel.hub_r[:, None], channel.shroud_r[:, None]
    eta = full + psi * (shroud + hub) / (hub + np.sqrt(hub**2 + psi * (shroud**2 - hub**2)))
    at_rest = case.pt0 / (case.gas.R * case.Tt0)
    return psi, eta, full + case.mass_flow / (at_rest * np.pi * (hub + shroud) * channel.height[:, None])


def _smoother(case: Case, now: Velocities) -> Smoother:
    """A smoother for the streamlines and Mach numbers of a pass."""
    height = case.channel.height
    weight = np.mean(np.maximum(now.subsonic, 0) * (now.normal / height[:, None]) ** 2 / now.stiffness, axis=1)
    streamlines = now.cm.shape[1]
    step = now.path.step[:, streamlines // 2]
    return smoother(height=height + 0 * weight, step=step, weight=weight, streamlines=streamlines)


def _moved(eta: Array, shift: Array) -> Array:
    """Streamlines moved; where a move would bring two closer than 0.4 of their distance, all of the station move less."""
    gap, closing = eta[:, 1:] - eta[:, :-1], shift[:, :-1] - shift[:, 1:]
    room: Array = 0.6 / np.maximum(np.max(closing / gap, axis=1, keepdims=True), 0.6)
    return eta + room * shift


def _result(case: Case, eta: Array, now: Velocities, history: Array) -> Throughflow:
    r, cu = now.path.r, now.rcu / now.path.r
    wu = case.speed * r - cu
    w = np.sqrt(now.cm**2 + wu**2)
    flow_error = np.max(np.abs(now.flow / case.mass_flow - 1), axis=(0, 1))
    slowest = np.min(now.free / now.mean, axis=(0, 1))
    solved = (history[-1] < SOLVED_SHIFT) & (flow_error < SOLVED_FLOW) & (slowest > SLOWEST)
    return Throughflow(
        eta=eta,
        z=now.path.z,
        r=r,
        cm=now.cm,
        cu=cu,
        w=w,
        beta=np.arctan2(wu, now.cm),
        rho=now.rho,
        T=now.T,
        mach=w / np.sqrt(case.gas.gamma * case.gas.R * now.T),
        curvature=now.path.curvature,
        history=history,
        flow_error=flow_error,
        slowest=slowest,
        distortion=_distortion(now, case.channel.trailing),
        peak_curvature=np.max(np.abs(now.path.curvature), axis=(0, 1)),
        solved=solved,
    )


def _distortion(now: Velocities, station: int) -> Any:
    r"""Equivalent blockage of the profile at a station, :math:`1 - \bar c_m/\tilde c_m`, with the mean c_m over area and over mass flow.

    With this blockage a uniform stream has the same mass flow and the same mass-averaged c_m, hence the same work behind blades
    of one angle, as the distorted one. At constant density it is :math:`1 - \bar c_m^2/\overline{c_m^2}`.
    """
    flow = now.flow[station, 0]
    by_mass = now.across.total(now.flux * now.cm)[station, 0] / flow
    by_area = flow / now.across.total(now.flux / now.cm)[station, 0]
    return 1 - by_area / by_mass
