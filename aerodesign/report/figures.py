"""All figures of a design. Each is a function of the design and the units that gives a matplotlib Figure."""

from matplotlib.figure import Figure

from aerodesign.aero.design import Design
from aerodesign.core.errors import AerodesignError
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.fit import fit
from aerodesign.geometry.wheel_flow import wheel_flow
from aerodesign.milling.survey import Survey
from aerodesign.report.display import Units
from aerodesign.report.figures_base import save_drawing, save_svg, svg_text
from aerodesign.report.figures_control import control, sites
from aerodesign.report.figures_flow import cordier, losses, triangles
from aerodesign.report.figures_inside import inside_the_wheel
from aerodesign.report.figures_machine import campbell, disc_stress
from aerodesign.report.figures_map import performance
from aerodesign.report.figures_milling import milling_view
from aerodesign.report.figures_running import fit_drawing, sound
from aerodesign.report.figures_shape import blade_angles, meridional_view, plan_view, volute_schedule
from aerodesign.whole import MachineCheck

__all__ = [
    "all_drawings", "all_figures", "blade_angles", "campbell", "control", "cordier", "disc_stress", "fit_drawing", "inside_the_wheel",
    "losses", "meridional_view", "milling_view", "performance", "plan_view", "save_drawing", "save_svg", "sites", "sound", "svg_text",
    "triangles", "units_for", "volute_schedule",
]  # fmt: skip


def units_for(design: Design, system: str = "si") -> Units:
    """The units in which a design is shown."""
    point = design.points[design.design_index]
    return Units(system, service=design.duty.service, rise=float(point.wanted), power=float(point.shaft_power))


def blading_of(design: Design) -> Blading | None:
    """The blades of the design, or None for a wheel that :mod:`aerodesign.geometry.blade` cannot draw (a radial inlet)."""
    try:
        return Blading(design.blower.impeller, design.form.blade)
    except AerodesignError:
        return None


def all_drawings(
    design: Design, units: str = "si", milling: Survey | None = None, machine: MachineCheck | None = None
) -> dict[str, str]:
    """Every figure of :func:`all_figures` as an SVG element whose ids begin with its name, so that all can stand on one page."""
    return {name: svg_text(figure, name) for name, figure in all_figures(design, units, milling, machine).items()}


def all_figures(
    design: Design, units: str = "si", milling: Survey | None = None, machine: MachineCheck | None = None
) -> dict[str, Figure]:
    """Every figure by name, in the order of the page. Meridional view and blade angles are missing where blades cannot be drawn.

    Those of the milling checks, and of disc and rotor, are among them where their survey and check are given.
    """
    shown, blading = units_for(design, units), blading_of(design)
    figures = {
        "triangles": triangles(design, shown),
        "cordier": cordier(design, shown),
        "map": performance(design, shown),
        "control": control(design, shown),
        "sites": sites(design, shown),
    }
    if blading is not None:
        figures["meridional"] = meridional_view(design, shown, blading)
        figures["blade"] = blade_angles(design, shown, blading)
        figures["inside"] = inside_the_wheel(wheel_flow(design.stage, blading), shown)
    if milling is not None:
        figures["milling"] = milling_view(milling, shown)
    if machine is not None:
        figures |= {"disc": disc_stress(machine, shown), "campbell": campbell(machine, shown)}
    figures |= {
        "losses": losses(design, shown),
        "schedule": volute_schedule(design, shown),
        "plan": plan_view(design, shown, blading),
        "sound": sound(design, shown),
    }
    place = fit(design.blower, design.form.fit, design.form.casing)
    return figures | ({"fit": fit_drawing(place, design, shown)} if place.asked else {})
