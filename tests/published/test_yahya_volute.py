"""Rectangular volute of a centrifugal blower: S. M. Yahya, Turbines, Compressors and Fans, example 12.5.

Numbers and both laws as solved in the public Scilab textbook companion 2223, chapter 12 (FOSSEE, IIT Bombay); the book
itself was not opened. Radii of the outer wall every 45 degrees, in centimetres.
"""

import numpy as np

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.sections import Rectangle
from aerodesign.aero.spiral import schedule

R3, B3, FLOW, CU3, CM4 = 0.25, 0.12, 5.4, 177.5, 145.0
THETA = np.radians(np.arange(45, 361, 45))
FREE_VORTEX = np.array([28.379, 32.214, 36.567, 41.509, 47.119, 53.487, 60.716, 68.921]) / 100
CONSTANT_VELOCITY = np.array([28.879, 32.759, 36.638, 40.517, 44.397, 48.276, 52.155, 56.034]) / 100
HALF_A_DIGIT = 0.5e-5


def test_free_vortex_gives_the_eight_radii():
    angular_integral = THETA * FLOW / (2 * np.pi * CU3 * R3)

    size = Rectangle().size_for(angular_integral=angular_integral, r3=R3, b3=B3)

    np.testing.assert_allclose(R3 + size, FREE_VORTEX, rtol=0, atol=HALF_A_DIGIT)


def test_free_vortex_through_the_schedule_of_a_spiral_closed_at_its_start():
    size4 = FREE_VORTEX[-1] - R3
    section = Rectangle()
    volute = Volute(
        size4=size4,
        A4=section.area(size=size4, r3=R3, b3=B3),
        r4=section.centroid_radius(size=size4, r3=R3, b3=B3),
        r5=0.3,
        cone_length=0.5,
        tongue_radius=0.005,
        opening=0.0,
        section=section,
    )

    spiral = schedule(volute, Diffuser(r3=R3, b3=B3), THETA)

    np.testing.assert_allclose(spiral.outer_radius, FREE_VORTEX, rtol=0, atol=2 * HALF_A_DIGIT)


def test_constant_mean_velocity_gives_the_eight_radii():
    area = Rectangle().area(size=CONSTANT_VELOCITY - R3, r3=R3, b3=B3)

    np.testing.assert_allclose(area, THETA * FLOW / (2 * np.pi * CM4), rtol=0, atol=B3 * HALF_A_DIGIT)


def test_throat_length_over_base_diameter():
    size = Rectangle().size_for(angular_integral=FLOW / (CU3 * R3), r3=R3, b3=B3)

    np.testing.assert_allclose(size / (2 * R3), 0.878419, atol=0.5e-6)
