"""The room of the gas in pieces: each one closed and valid, and fitting its neighbours face to face."""

import numpy as np
import pytest

from aerodesign.cad import shapes
from aerodesign.cad.gate import accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.regions import Regions
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import BladeForm, CasingForm, Form, WheelForm
from aerodesign.geometry.gas_room import gas_room
from aerodesign.geometry.inlet import inlet

pytestmark = pytest.mark.solids

WHEELS = {
    "semi-open": {},
    "covered": {"covered": True},
    "splitters": {"blades": 8, "splitters": 8},
    "covered with splitters": {"blades": 8, "splitters": 8, "covered": True},
}
KINDS = ("inlet", "annulus", "volute")


@pytest.fixture(scope="module", params=WHEELS)
def regions(request, typical):
    return Regions(typical.blower.but(impeller=typical.blower.impeller.but(**WHEELS[request.param])), Form())


@pytest.fixture(scope="module")
def solids(regions):
    return {name: getattr(regions, name)() for name in (*KINDS, "passage")}


def faces_on(shape, kind, where):
    """Faces of a kind of surface for which ``where`` of their adaptor holds."""
    found = []
    for face in shapes.faces(shape):
        surface = occ.BRepAdaptor.BRepAdaptor_Surface(face)
        if surface.GetType() == getattr(occ.GeomAbs.GeomAbs_SurfaceType, f"GeomAbs_{kind}") and where(surface):
            found.append(face)
    return found


def area(faces):
    properties, total = occ.GProp.GProp_GProps(), 0.0
    for face in faces:
        occ.BRepGProp.BRepGProp.SurfaceProperties_s(face, properties, 1e-9)
        total += properties.Mass()
    return total / MM**2


def box(faces):
    """Exact box of faces in metres: (2, 3)."""
    found = occ.Bnd.Bnd_Box()
    for face in faces:
        occ.BRepBndLib.BRepBndLib.AddOptimal_s(face, found, False, False)
    low, high = found.CornerMin(), found.CornerMax()
    return np.array([[p.X(), p.Y(), p.Z()] for p in (low, high)]) / MM


@pytest.mark.parametrize("name", [*KINDS, "passage"])
def test_each_region_passes_the_gate(solids, name):
    solid = solids[name]
    accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name=name)
    np.testing.assert_allclose(shapes.volume(solid.shape), solid.volume, rtol=5e-5)


def test_passages_side_by_side_are_the_annulus(regions, solids):
    """Volume, and the walls that bound them: a passage has its part of every wall, and the two surfaces between passages."""
    count = round(float(regions.blower.impeller.blades))
    np.testing.assert_allclose(
        count * shapes.volume(solids["passage"].shape), shapes.volume(solids["annulus"].shape), rtol=1e-6
    )
    for kind in ("Plane", "Cylinder"):
        whole, one = (area(faces_on(solids[name].shape, kind, lambda s: True)) for name in ("annulus", "passage"))
        np.testing.assert_allclose(count * one, whole, rtol=1e-6)


def test_the_sides_of_a_passage_are_one_surface_turned_by_a_pitch(regions, solids):
    """Every pole of one is a pole of the other, turned: neighbours fit to rounding."""
    sides = faces_on(solids["passage"].shape, "BSplineSurface", lambda s: s.NbUPoles() > 100)
    poles = []
    for face in sides:
        surface = occ.BRepAdaptor.BRepAdaptor_Surface(face).BSpline()
        count = surface.NbUPoles(), surface.NbVPoles()
        points = [[surface.Pole(i + 1, j + 1) for j in range(count[1])] for i in range(count[0])]
        poles.append(np.array([[(p.X(), p.Y(), p.Z()) for p in row] for row in points]))
    first, last = poles[-2:]
    pitch = 2 * np.pi / round(float(regions.blower.impeller.blades))
    c, s = np.cos(pitch), np.sin(pitch)
    np.testing.assert_allclose(first @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]), last, atol=1e-9)


def test_inlet_and_wheel_share_a_ring(regions, solids):
    """The same plane, the same two circles, and so the same area."""
    z = MM * float(regions.room.hub.at(regions.room.start)[0])

    def on_it(surface):
        return abs(surface.Plane().Location().Z() - z) < 1e-6 and abs(surface.Plane().Axis().Direction().Z()) > 0.5

    rings = [faces_on(solids[name].shape, "Plane", on_it) for name in ("inlet", "annulus")]
    (r_hub,), (r_casing,) = (
        c.at(np.array([regions.room.start]))[:, 1] for c in (regions.room.hub, regions.room.casing)
    )

    np.testing.assert_allclose([area(ring) for ring in rings], np.pi * (r_casing**2 - r_hub**2), rtol=1e-9)
    np.testing.assert_allclose(*(box(ring) for ring in rings), atol=1e-9)


def test_wheel_and_volute_share_a_cylinder(regions, solids):
    """The same radius and the same two circles; the blades' trailing edges are the part of it that is metal."""
    r2 = MM * float(regions.blower.impeller.r2)

    def on_it(surface):
        return abs(surface.Cylinder().Radius() - r2) < 1e-6

    wheel, volute = (faces_on(solids[name].shape, "Cylinder", on_it) for name in ("annulus", "volute"))
    low, high = box(volute)

    # the box across the axis is that of the circle only where no trailing edge stands on an axis of the frame
    np.testing.assert_allclose(box(wheel)[:, 2], [low[2], high[2]], atol=2e-8)
    np.testing.assert_allclose(area(volute), 2 * np.pi * r2 / MM * (high[2] - low[2]), rtol=1e-9)
    assert 0.7 < area(wheel) / area(volute) < 1


FORMS = {
    "splitters aside, inlet clearance": (
        {"blades": 8, "splitters": 8, "bore": 0.02},
        Form(blade=BladeForm(splitter_position=0.42, clearance_inlet=0.0009)),
    ),
    "ruled, rounded, leaning": (
        {"bore": 0.012},
        Form(blade=BladeForm(surface="ruled", trailing_edge="rounded", lean=0.1)),
    ),
    "tie bolt, cone": ({"bore": 0.012}, Form(wheel=WheelForm(mounting="tie bolt", nose="cone"))),
    "taper, blunt": ({"bore": 0.012}, Form(wheel=WheelForm(mounting="taper", nose="blunt"))),
    "solid, back vanes": ({"bore": 0.0}, Form(wheel=WheelForm(back="flat", back_vanes=8, nose="blunt"))),
    "solid, covered": ({"bore": 0.0, "covered": True}, Form(wheel=WheelForm(nose="cone"))),
}


def formed(typical, name):
    changes, form = FORMS[name]
    return Regions(typical.blower.but(impeller=typical.blower.impeller.but(**changes)), form)


@pytest.mark.parametrize("name", FORMS)
def test_regions_and_casing_follow_the_forms_of_blades_and_wheel(name, typical):
    regions = formed(typical, name)
    for part in ("inlet", "passage", "annulus", "casing"):
        solid = getattr(regions, part)()
        accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name=part)


def test_more_clearance_at_the_inlet_is_more_gas(typical):
    """The casing's room grows by the ring that the wider gap leaves, whose area over the mean contour is elementary."""
    wheel = typical.blower.impeller
    narrow, wide = (gas_room(wheel, BladeForm(clearance_inlet=gap)) for gap in (float(wheel.clearance), 9e-4))
    extra = 9e-4 - float(wheel.clearance)
    assert (
        0 < wide.volume - narrow.volume < 2 * np.pi * float(wheel.r2) * extra * narrow.blading.meridional.shroud.length
    )
    z_r = (room.casing.at(np.array([0.0, 1.0])) for room in (narrow, wide))
    np.testing.assert_allclose(np.hypot(*np.diff([next(z_r), next(z_r)], axis=0)[0].T), [extra, 0.0], atol=2e-6)


@pytest.mark.slow
@pytest.mark.parametrize("name", [None, "splitters aside, inlet clearance", "tie bolt, cone"])
def test_the_wheel_and_its_gas_fill_the_room(name, typical):
    """With the kernel's boolean: a passage of the gas and the impeller have no volume in common."""
    regions = formed(typical, name) if name else Regions(typical.blower, Form())
    wheel = impeller_solid(regions.blower.impeller, regions.form)
    common = occ.BRepAlgoAPI.BRepAlgoAPI_Common(regions.passage().shape, wheel.shape)

    assert abs(shapes.volume(common.Shape(), within=1e-3)) < 1e-6 * regions.room.volume


@pytest.mark.parametrize("kind", ["bell", "pipe"])
def test_the_inlet_meets_flange_and_eye(kind):
    wall = inlet(kind, r0=0.1, eye=0.07, z=-0.02, nose=-0.05, length=np.nan, land=0.001)
    first, last = wall.wall[0], wall.wall[-1]

    np.testing.assert_allclose(wall.radius, 0.1)
    end = last[-1] if isinstance(last, np.ndarray) else last(last.t[-1])
    np.testing.assert_allclose(end, [-0.02, 0.07], atol=1e-12)
    if kind == "bell":
        slope = first(first.t[0], 1)
        np.testing.assert_allclose(slope[1] / slope[0], -1, rtol=1e-4)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"kind": "bell", "r0": 0.071}, 'inlet = "pipe"'),
        ({"kind": "pipe", "length": 0.05}, "inlet_length"),
        ({"kind": "bell", "length": 0.05}, "inlet_length"),
    ],
)
def test_an_inlet_without_room_is_refused_in_words(given, words):
    usual = {"r0": 0.1, "eye": 0.07, "z": -0.02, "nose": -0.05, "length": np.nan, "land": 0.001}
    with pytest.raises(RejectedSolid, match=words):
        inlet(**(usual | given))


@pytest.mark.parametrize("kind", ["bell", "pipe"])
def test_both_kinds_of_inlet_and_both_hands_pass_the_gate(typical, kind):
    wheel = typical.blower.impeller.but(bore=0.02)
    form = Form(casing=CasingForm(inlet=kind, rotation="clockwise", position="TAD"))
    regions = Regions(typical.blower.but(impeller=wheel), form)
    for name in ("inlet", "passage"):
        solid = getattr(regions, name)()
        accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name=name)


def test_the_gas_says_that_balance_holes_are_left_out(typical):
    """The wheel has them, the room of its gas a plain hub."""
    wheel = WheelForm(balance_holes=True)
    flags = Regions(typical.blower, Form(wheel=wheel)).passage().flags
    assert [flag.code for flag in flags] == ["balance_holes_left_out"]
    assert Regions(typical.blower, Form()).passage().flags == []
