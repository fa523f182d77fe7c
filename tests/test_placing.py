"""Hand and discharge position: the rigid moves at the end of every part's construction."""

import numpy as np
import pytest
from test_cad_volute import R2, volute_and_diffuser

from aerodesign.aero.sections import section_named
from aerodesign.cad import shapes
from aerodesign.cad.gate import accept
from aerodesign.cad.kernel import occ
from aerodesign.cad.placing import placed, turned_by
from aerodesign.cad.volute import volute_solid
from aerodesign.form import CasingForm
from aerodesign.form.casing import HANDS, POSITIONS

pytestmark = pytest.mark.solids

# Where the gas leaves to, seen from the drive with x to the right and y up: clockwise wheels blow to the right from the
# top and to the left from the bottom. AMCA 99-2406, from memory.
CLOCKWISE = {
    "UB": (0, 1),
    "TAU": (1, 1),
    "TH": (1, 0),
    "TAD": (1, -1),
    "DB": (0, -1),
    "BAD": (-1, -1),
    "BH": (-1, 0),
    "BAU": (-1, 1),
}


@pytest.fixture(scope="module")
def native():
    return volute_solid(*volute_and_diffuser(section_named("rectangle")), r2=R2)


def middle_of_the_flange(shape):
    """Centre of the largest plane face that does not lie across the axis."""
    found = []
    for face in shapes.faces(shape):
        kind = occ.BRepAdaptor.BRepAdaptor_Surface(face)
        if kind.GetType() == occ.GeomAbs.GeomAbs_SurfaceType.GeomAbs_Plane:
            axis = kind.Plane().Axis().Direction()
            if abs(axis.Z()) < 1e-9:
                properties = occ.GProp.GProp_GProps()
                occ.BRepGProp.BRepGProp.SurfaceProperties_s(face, properties)
                centre = properties.CentreOfMass()
                found.append((properties.Mass(), np.array([centre.X(), centre.Y(), centre.Z()])))
    return max(found, key=lambda item: item[0])[1]


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("hand", HANDS)
def test_the_discharge_points_where_the_trade_says(hand, position, native):
    """And the gas leaves with the rotation: the flange stands on the side of the axis that moves towards it."""
    solid = placed(native, CasingForm(rotation=hand, position=position))
    towards = np.array([*CLOCKWISE[position], 0.0]) / np.linalg.norm(CLOCKWISE[position])
    if hand == "counter-clockwise":
        towards = towards * (-1, 1, 1)
    centre, home = middle_of_the_flange(solid.shape), middle_of_the_flange(native.shape)

    np.testing.assert_allclose(centre @ towards, home[1], rtol=1e-9)
    # seen from the drive, from +z, counter-clockwise is a positive turn about +z
    spin = np.cross(centre, towards)[2]
    np.testing.assert_allclose(spin, home[0] * (1 if hand == "counter-clockwise" else -1), rtol=1e-9)


@pytest.mark.parametrize("position", ["UB", "TAD", "BH"])
@pytest.mark.parametrize("hand", HANDS)
def test_volume_bounds_and_validity_stay(hand, position, native):
    """Moved along the axis, mirrored and turned: the gate accepts it with the bounds of the moved points."""
    solid = placed(native, CasingForm(rotation=hand, position=position), shift=0.04)

    assert shapes.valid(solid.shape)
    np.testing.assert_allclose(shapes.volume(solid.shape), shapes.volume(native.shape), rtol=1e-9)
    np.testing.assert_allclose(solid.bounds[:, 2] - native.bounds[:, 2], 0.04)
    accept(solid.shape, volume=solid.volume, bounds=solid.bounds, deflection=4e-4)


def test_a_mirror_image_is_one_of_the_native_solid(native):
    """Bounds of the clockwise one: x changes its sign, nothing else."""
    solid = placed(native, CasingForm(rotation="clockwise"))
    (low, high), (low0, high0) = solid.bounds, native.bounds

    np.testing.assert_allclose([low[0], high[0]], [-high0[0], -low0[0]])
    np.testing.assert_allclose(solid.bounds[:, 1:], native.bounds[:, 1:])
    assert turned_by(CasingForm(rotation="clockwise", position="TH")) == -np.pi / 2
