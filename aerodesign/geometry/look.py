"""A look between the blades of a wheel, for what the meanline cannot know of them."""

from aerodesign.aero.inside import Inside, Look
from aerodesign.aero.stage import Stage
from aerodesign.core.errors import AerodesignError
from aerodesign.form import BladeForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.throat import estimated_area, throat
from aerodesign.geometry.wheel_flow import wheel_flow


def look_inside(form: BladeForm) -> Look:
    """A look at wheels with blades of a form; a quarter of a second each. A wheel that cannot be drawn tells nothing."""

    def look(stage: Stage) -> Inside:
        wheel = stage.blower.impeller
        try:
            blading = Blading(wheel, form)
            through = wheel_flow(stage, blading).through
            opening = throat(blading).area
        except AerodesignError:
            return Inside()
        distortion = float(through.distortion) if through.solved else 0.0
        return Inside(distortion=distortion, throat_ratio=opening / estimated_area(wheel))

    return look
