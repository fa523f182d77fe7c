"""The casing's outside as an even wall: closed and valid, and as thick as asked, measured on the solid."""

import numpy as np
import pytest
from test_cad_casing import SECTIONS, judged, regions_of, with_section

from aerodesign.aero.sections import RoundedTrapezoid
from aerodesign.cad import shapes
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.surfaces import point
from aerodesign.cad.tessellate import tessellate
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import FitForm
from aerodesign.geometry.fit import fit

pytestmark = pytest.mark.solids

ROUND = [name for name in SECTIONS if "rectangle" not in name]
WALL = 0.006


def distances(face, gas, count):
    """From nodes of a face's triangles, spread evenly, to the gas's faces, over the wall; the kernel's own search for the least.

    To the faces and not to the solid, for the kernel's classifier takes some 3 of 9000 nodes outside for inside (measured), and
    the distance of such a node to the solid is 0.
    """
    (skin,) = shapes.parts(gas, "SHELL")
    mesh = occ.BRep.BRep_Tool.Triangulation_s(face, occ.TopLoc.TopLoc_Location())
    chosen = np.linspace(1, mesh.NbNodes(), count).astype(int)
    nodes = [mesh.Node(int(i)) for i in chosen]
    found = []
    for node in nodes:
        vertex = occ.BRepBuilderAPI.BRepBuilderAPI_MakeVertex(point((node.X(), node.Y(), node.Z()))).Vertex()
        found.append(occ.BRepExtrema.BRepExtrema_DistShapeShape(vertex, skin).Value())
    return np.array(found) / (MM * WALL)


@pytest.mark.slow
@pytest.mark.parametrize("name", ROUND)
def test_the_wall_of_a_shell_is_as_thick_as_asked(name, typical):
    """Round the scroll it is even; round the duct nowhere thinner, thicker only where it bridges the tongue's hollow.

    The last faces of the solid are the shell's: plate, half of the pipe, plate, half of the pipe, scroll.
    """
    regions = regions_of(with_section(typical.blower, SECTIONS[name]), outside="shell", wall=WALL)
    casing, gas = regions.casing(), regions.volute().shape
    judged(casing)
    *_, one, _, other, scroll = shapes.faces(casing.shape)

    round_scroll = distances(scroll, gas, 60)
    assert round_scroll.min() > 0.99
    assert np.percentile(round_scroll, 90) < 1.01
    round_duct = np.concatenate([distances(face, gas, 40) for face in (one, other)])
    assert round_duct.min() > 0.97
    assert np.median(round_duct) < 1.05


@pytest.mark.slow
@pytest.mark.parametrize(
    "choices",
    [
        {"inlet": "bell", "rotation": "clockwise", "position": "TAD"},
        {"discharge_turn": np.pi / 2, "flange": "PN10"},
        {"discharge_turn": -0.6, "flange": "tube"},
        {"wall": 0.003},
        {"wall": 0.012},
    ],
)
def test_every_form_of_a_shell_passes_the_gate(choices, typical):
    judged(regions_of(typical.blower, outside="shell", **choices).casing())


def test_a_shell_is_lighter_than_a_block(typical):
    block, shell = (regions_of(typical.blower, outside=outside).casing() for outside in ("block", "shell"))
    assert shell.volume < 0.5 * block.volume


def test_round_a_rectangle_the_shell_is_the_block(typical):
    blower = with_section(typical.blower, SECTIONS["rectangle"])
    block, shell = (regions_of(blower, outside=outside).casing() for outside in ("block", "shell"))
    assert shell.volume == block.volume


@pytest.mark.slow
def test_a_split_shell_has_two_halves_that_are_the_whole(typical):
    regions = regions_of(typical.blower, outside="shell", split=True, position="TH")
    halves = [regions.casing_half(side) for side in (-1, 1)]
    for half in halves:
        judged(half)
    np.testing.assert_allclose(sum(shapes.volume(h.shape) for h in halves), regions.casing().volume, rtol=2e-4)


def test_feet_stand_below_a_shell(typical):
    regions = regions_of(typical.blower, outside="shell", position="TH", mount="feet")
    np.testing.assert_allclose(regions.mount().bounds[1, 1], regions.casing().bounds[0, 1])


def test_a_section_that_does_not_flare_on_both_sides_is_refused_in_words(typical):
    blower = with_section(typical.blower, RoundedTrapezoid(lean=np.pi / 6))
    with pytest.raises(RejectedSolid, match=r'volute_side.*outside = "block"'):
        regions_of(blower, outside="shell").casing()


def test_a_cone_too_short_for_a_shell_is_refused_in_words(typical):
    volute = typical.blower.volute.but(cone_length=0.06)
    with pytest.raises(RejectedSolid, match=r'cone_angle.*outside = "block"'):
        regions_of(typical.blower.but(volute=volute), outside="shell", wall=0.05).casing()


@pytest.mark.parametrize(
    ("turn", "position", "rotation"),
    [
        (0.0, "UB", "counter-clockwise"),
        (np.pi / 4, "TAU", "clockwise"),
        (-np.pi / 2, "TH", "clockwise"),
        (0.0, "BH", "counter-clockwise"),
    ],
)
@pytest.mark.parametrize("outside", ["block", "shell"])
def test_the_envelope_of_the_fit_is_that_of_the_solid(outside, turn, position, rotation, typical):
    """On each side what the fit says reaches beyond the solid by the wall at most; the discharge of either hand faces the same way."""
    regions = regions_of(
        typical.blower, outside=outside, wall=WALL, discharge_turn=turn, position=position, rotation=rotation
    )
    place = fit(typical.blower, FitForm(), regions.form.casing)
    points = tessellate(regions.casing().shape, deflection=1e-4).points[:, :2]
    beyond = np.array([points.min(axis=0) - place.low, place.high - points.max(axis=0)])
    assert np.all(beyond > -2e-4)
    assert np.all(beyond < WALL + 2e-4)
    out = np.array([-np.sin(place.facing), np.cos(place.facing)])
    mouth = np.array([place.discharge_x, place.discharge_y])
    assert points @ out == pytest.approx(np.clip(points @ out, None, mouth @ out), abs=2e-4)
