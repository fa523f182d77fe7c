"""The solid of a wheel against the numbers that it was built from, and what must not change it."""

import numpy as np
import pytest
from test_cad_impeller import COVERED, OPEN

from aerodesign.cad.blade_faces import BladeShape
from aerodesign.cad.gate import accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.shapes import faces, parts, valid, volume
from aerodesign.cad.step import read_step, write_step
from aerodesign.cad.tessellate import tessellate
from aerodesign.form import BladeForm, Form
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.throat import turned

pytestmark = pytest.mark.solids

WITHIN = 0.005
"""What the issue allows between surface and analytic points, in mm."""


def distances(shape, points):
    """Distance in mm of points (mm) from the nearest face of a shape."""
    found = []
    for p in points:
        vertex = occ.BRepBuilderAPI.BRepBuilderAPI_MakeVertex(occ.gp.gp_Pnt(*map(float, p))).Vertex()
        near = min(occ.BRepExtrema.BRepExtrema_DistShapeShape(vertex, face).Value() for face in shape)
        found.append(near)
    return np.array(found)


@pytest.mark.parametrize(
    ("wheel", "form"),
    [
        (OPEN, Form()),
        (OPEN, Form(blade=BladeForm(surface="ruled"))),
        (COVERED, Form(blade=BladeForm(trailing_edge="rounded"))),
    ],
    ids=["free", "ruled", "covered and rounded"],
)
def test_surface_lies_on_the_analytic_points(wheel, form):
    """Points of the blade's profiles at places that are no nodes of the splines, many of them near both edges."""
    solid = impeller_solid(wheel, form)
    blading = Blading(wheel, form.blade)
    surface = BladeSurface(blading, start=0.0, beyond=0.01 * wheel.r2)
    rng = np.random.default_rng(2)
    sigma = np.r_[rng.uniform(-0.9, 0.9, 18), rng.uniform(-0.28, 0.28, 12), rng.uniform(0.9, 0.97, 8)]
    points = MM * surface.at(rng.uniform(0.25, 0.75, len(sigma)), sigma)
    points = points[np.hypot(points[:, 0], points[:, 1]) < MM * wheel.r2]
    assert len(points) > 30
    curved = [face for face in faces(solid.shape) if _is_spline(face)]
    near = [face for face in curved if _reaches(face, points)]
    assert distances(near, points).max() < WITHIN


def bends(face, u, v):
    """Curvature in 1/mm along u of a face's own surface, and its unit normal, from the kernel's derivatives."""
    surface = occ.BRep.BRep_Tool.Surface_s(face)
    p, du, dv, duu, dvv, duv = occ.gp.gp_Pnt(), *(occ.gp.gp_Vec() for _ in range(5))
    surface.D2(float(u), float(v), p, du, dv, duu, dvv, duv)
    normal = du.Crossed(dv)
    normal.Normalize()
    return duu.Dot(normal) / du.SquareMagnitude(), np.array([normal.X(), normal.Y(), normal.Z()])


@pytest.mark.parametrize("edge", ["cut", "full round"])
def test_curvature_of_the_kernels_surface_does_not_jump_where_edges_meet_the_sides(edge):
    """From side to side round the nose, on the surface that the solid has, and on both sides of the seams of a full round edge.

    The quarter of an ellipse of ratio 3 set against a flat side would jump there by a 27th of the curvature of its tip (b/a^2 against a/b^2);
    from step to step the curvature changes by less than a hundredth of that, the less the closer the steps.
    """
    made = blade_row(Blading(OPEN, BladeForm(trailing_edge=edge))).full
    shape = BladeShape(made, "full")
    sides, height = surface_face(shape.surfaces[-1]), 0.5

    def largest_step(stations):
        bent = np.array([bends(sides, u, height)[0] for u in np.linspace(0.2, 0.8, stations)])
        return np.abs(np.diff(bent)).max() / np.abs(bent).max()

    coarse, fine = largest_step(1201), largest_step(4801)
    assert fine < 0.3 * coarse
    assert fine < 0.005 < 1 / 27
    if made.exit is None:
        return
    edge_face = surface_face(shape.round_surfaces[-1])
    tightest = max(abs(bends(edge_face, u, height)[0]) for u in np.linspace(0, 1, 101))
    for (face, u), (next_face, next_u) in (((sides, 1.0), (edge_face, 0.0)), ((edge_face, 1.0), (sides, 0.0))):
        (before, one), (after, other) = bends(face, u, height), bends(next_face, next_u, height)
        assert abs(after - before) < 1e-3 * tightest
        assert np.linalg.norm(np.cross(one, other)) < 1e-4


def surface_face(surface):
    """A face of the whole of a surface."""
    return occ.BRepBuilderAPI.BRepBuilderAPI_MakeFace(surface, 1e-6).Face()


def _is_spline(face):
    return occ.BRepAdaptor.BRepAdaptor_Surface(face).GetType() == occ.GeomAbs.GeomAbs_SurfaceType.GeomAbs_BSplineSurface


def _reaches(face, points):
    """Whether a face's box holds any of the points."""
    box = occ.Bnd.Bnd_Box()
    occ.BRepBndLib.BRepBndLib.Add_s(face, box)
    low, high = np.array(box.Get()).reshape(2, 3)
    return bool(np.any(np.all((points > low - 0.1) & (points < high + 0.1), axis=1)))


def test_turned_by_one_pitch_it_is_the_same():
    solid = impeller_solid(OPEN)
    skin = tessellate(solid.shape, deflection=5e-4, angle=0.7)
    blades = [face for face in faces(solid.shape) if _is_spline(face)]
    rng = np.random.default_rng(0)
    points = MM * turned(skin.points[rng.choice(len(skin.points), 25)], 2 * np.pi / 3)
    on_blades = distances(faces(solid.shape), points)
    assert on_blades.max() < 1e-3
    assert len(blades) == 3 * 8


def test_scaled_by_two_it_has_eight_times_the_volume():
    double = OPEN.but(**{name: 2 * getattr(OPEN, name) for name in LENGTHS})
    one, other = impeller_solid(OPEN), impeller_solid(double)
    assert volume(other.shape) == pytest.approx(8 * volume(one.shape), rel=1e-6)


LENGTHS = ("r1h", "r1s", "r2", "b2", "axial_length", "thickness_hub", "thickness_shroud", "clearance", "fillet", "bore")


@pytest.mark.slow
@pytest.mark.parametrize("wheel", [OPEN, COVERED], ids=["semi-open", "covered"])
def test_read_back_and_cut_by_a_plane_through_the_axis_the_halves_are_two_valid_solids_that_add_up(wheel, tmp_path):
    (shape,) = read_step(write_step({"wheel": impeller_solid(wheel).shape}, tmp_path / "wheel.step", "test"))
    whole, halves = volume(shape), []
    for side in (-1, 1):
        box = occ.BRepPrimAPI.BRepPrimAPI_MakeBox(
            occ.gp.gp_Pnt(-500, min(0, side * 500), -500), 1000, 500, 1000
        ).Shape()
        half = occ.BRepAlgoAPI.BRepAlgoAPI_Common(shape, box).Shape()
        (solid,) = parts(half, "SOLID")
        assert valid(solid)
        halves.append(volume(solid))
    assert sum(halves) == pytest.approx(whole, rel=1e-5)
    assert min(halves) > 0.4 * whole


@pytest.mark.slow
def test_the_other_hand_is_a_mirror_image_that_passes_the_gate():
    solid = impeller_solid(OPEN)
    mirror = occ.gp.gp_Trsf()
    mirror.SetMirror(occ.gp.gp_Ax2(occ.gp.gp_Pnt(0, 0, 0), occ.gp.gp_Dir(0, 1, 0)))
    other = occ.BRepBuilderAPI.BRepBuilderAPI_Transform(solid.shape, mirror, True).Shape()
    judged = accept(other, volume=solid.volume, bounds=solid.bounds)
    assert judged.volume == pytest.approx(volume(solid.shape), rel=1e-6)
