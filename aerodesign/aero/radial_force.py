"""Radial force on the shaft: the pressure round a volute is even at its design flow only."""

import numpy as np

from aerodesign.aero.spiral import TURN, flow_share, schedule
from aerodesign.aero.stage import Stage
from aerodesign.core.quantities import Angle, Force, Ratio, Values
from aerodesign.core.record import Record, record
from aerodesign.correlations.radial_force import stepanoff

STATIONS = 73


@record
class RadialForce(Record):
    """Force on the wheel's rim: size, direction (angle from the tongue, with the rotation), and two estimates of it.

    ``force`` is by the momentum balance round the spiral, ``by_rule`` by Stepanoff's rule for pump volutes; ``flow_ratio`` is the flow
    over that for which the volute's throat carries the swirl without a loss. ``coefficient`` is the force over total pressure
    rise, diameter and width.
    """

    force: Force
    direction: Angle
    by_rule: Force
    flow_ratio: Ratio
    coefficient: Ratio


def pressure_round(stage: Stage, theta: Values) -> Values:
    r"""Static pressure at the base circle over its mean, at angles ``theta`` (evenly spaced from 0 to 2 pi), shape ``(n, *points)``.

    The wheel feeds each angle alike, with angular momentum K; the volute's section there carries what came before it. The
    moment of momentum of a slice asks

    .. math:: \bar r A\,\frac{dp}{d\theta} = \dot m' K - \frac{d(\dot m c\bar r)}{d\theta}, \quad c = \dot m/(\rho A)

    which vanishes where the sections follow the swirl, :math:`c\bar r = K`. Density is that at the volute's inlet; wall friction is
    left out.
    """
    volute, diffuser = stage.blower.volute, stage.blower.diffuser
    spiral = schedule(volute, diffuser, theta)
    extra = (1,) * (np.ndim(stage.mass_flow + 0 * stage.speed) - (np.ndim(spiral.area) - 1))
    area, radius = (x.reshape(x.shape + extra) for x in (spiral.area, spiral.centroid_radius))
    share = flow_share(volute, spiral.theta).reshape(np.shape(spiral.theta) + extra)

    K = diffuser.r3 * stage.cu3
    # Per unit of mass flow through the throat; the share grows evenly with the angle.
    moment = share**2 * radius / area * stage.mass_flow**2 / stage.rho3
    gained = share * stage.mass_flow * K
    slope = np.gradient(gained - moment, np.asarray(theta), axis=0) / (radius * area)
    step = np.diff(np.asarray(theta)).reshape((-1,) + (1,) * (slope.ndim - 1))
    rise = np.cumsum((slope[1:] + slope[:-1]) / 2 * step, axis=0)
    pressure = np.concatenate([np.zeros_like(rise[:1]), rise])
    return pressure - pressure.mean(axis=0)


def volute_flow_ratio(stage: Stage) -> Ratio:
    """Flow over that at which throat and swirl agree (mismatch S = 1) at the same speed.

    The whirl falls with the flow V: cu2 = slip u2 - k V. With V / Vd = x, S = (cu2 / x) / (slip u2 - k V / x), so
    x = (cu2 / S + k V) / (slip u2); friction and density are taken alike at both flows.
    """
    ideal = stage.slip * stage.u2
    return (stage.exit.cu / stage.volute_mismatch + ideal - stage.exit.cu) / ideal


def radial_force(stage: Stage) -> RadialForce:
    """Radial force of a solved stage, one or many points of one machine.

    The pressure acts on the exit's width of the rim, as on a cylinder of radius r2; that it varies less there than at the base
    circle is on the safe side. Of the two estimates the larger should be designed for.
    """
    wheel = stage.blower.impeller
    theta = np.linspace(0, TURN, STATIONS)
    pressure = pressure_round(stage, theta)
    angle = theta.reshape((-1,) + (1,) * (pressure.ndim - 1))
    step = TURN / (STATIONS - 1)
    weight = np.ones(STATIONS)
    weight[[0, -1]] = 0.5
    weight = weight.reshape(angle.shape) * step

    width = wheel.r2 * wheel.b2
    fx = -np.sum(weight * pressure * np.cos(angle), axis=0) * width
    fy = -np.sum(weight * pressure * np.sin(angle), axis=0) * width
    force = np.hypot(fx, fy)
    ratio = volute_flow_ratio(stage)
    return RadialForce(
        force=force[()],
        direction=np.arctan2(fy, fx)[()],
        by_rule=stepanoff(flow_ratio=ratio, rise_total=np.maximum(stage.rise_total, 0), r2=wheel.r2, b2=wheel.b2),
        flow_ratio=ratio,
        coefficient=(force / (np.maximum(stage.rise_total, 1.0) * 2 * width))[()],
    )
