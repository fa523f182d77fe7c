"""The casing: closed and valid, clear of gas and wheel, nowhere thinner than its wall."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from random_machines import casings
from scipy.spatial import cKDTree

from aerodesign.aero.sections import Circle, Ellipse, Rectangle, RoundedTrapezoid
from aerodesign.aero.spiral import schedule
from aerodesign.cad import shapes
from aerodesign.cad.block import block_round
from aerodesign.cad.boundary import Boundary
from aerodesign.cad.crossing import crossings
from aerodesign.cad.duct import strip_points
from aerodesign.cad.gate import accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.placing import placed
from aerodesign.cad.primitives import frame
from aerodesign.cad.regions import Regions
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.cad.volute import add_walls, in_millimetres
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import CasingForm, Form
from aerodesign.geometry.entry import diffuser_entry, middle
from aerodesign.machine.flanges import RATINGS, flange_for

pytestmark = pytest.mark.solids

SECTIONS = {
    "ellipse": Ellipse(),
    "ellipse to one side": Ellipse(lean=-0.4),
    "circle to one side": Circle(lean=np.pi / 6),
    "trapezoid to one side": RoundedTrapezoid(lean=-0.35),
    "rectangle to one side": Rectangle(width=4.0, side=1.0),
    "circle": Circle(),
    "trapezoid": RoundedTrapezoid(),
    "rectangle": Rectangle(width=5.0),
    "flush rectangle": Rectangle(width=1.0),
}
FORMS = {
    "nominal": {},
    "bell": {"inlet": "bell", "rotation": "clockwise", "position": "TAD"},
    "turned on": {"discharge_turn": np.pi / 2, "flange": "PN10"},
    "turned back, plain": {"discharge_turn": -0.6, "flange": "tube"},
    "thick": {"wall": 0.012, "running_gap": 0.004, "shaft_opening": 0.06},
}


def with_section(blower, section):
    """The blower with another section that carries the same flow in its throat."""
    volute, slot = blower.volute, {"r3": blower.diffuser.r3, "b3": blower.diffuser.b3}
    size4 = section.size_for(angular_integral=volute.section.angular_integral(size=volute.size4, **slot), **slot)
    area = section.area(size=size4, **slot)
    return blower.but(
        volute=volute.but(
            section=section,
            size4=size4,
            A4=area,
            r4=section.centroid_radius(size=size4, **slot),
            r5=max(volute.r5, 1.05 * np.sqrt(area / np.pi)),
        )
    )


def regions_of(blower, **choices):
    return Regions(blower, Form(casing=CasingForm(**choices)))


def judged(solid):
    return accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name="casing")


@pytest.mark.parametrize("name", SECTIONS)
def test_a_casing_round_every_section_passes_the_gate(name, typical):
    judged(regions_of(with_section(typical.blower, SECTIONS[name])).casing())


DEFLECTION = 3e-4


@pytest.mark.parametrize("name", SECTIONS)
def test_gas_and_casing_do_not_cross_themselves(name, typical):
    """Deeper than the deflection of the triangles: along the crease between duct and tongue these cross by less."""
    regions = regions_of(with_section(typical.blower, SECTIONS[name]))
    for solid in (regions.volute(), regions.casing()):
        skin = tessellate(solid.shape, deflection=DEFLECTION, angle=0.4)
        assert len(crossings(skin, within=DEFLECTION)) == 0


def test_a_scroll_pushed_into_another_is_seen_to_cross(typical):
    skin = tessellate(regions_of(typical.blower).volute().shape, deflection=DEFLECTION, angle=0.4)
    beside = skin.points + np.array([2e-3, 1e-3, 1.5e-3])
    both = Triangles(
        np.concatenate([skin.points, beside]), np.concatenate([skin.triangles, skin.triangles + len(skin.points)])
    )
    assert len(crossings(both, within=DEFLECTION)) > 100


@pytest.mark.parametrize("name", FORMS)
def test_every_form_passes_the_gate(name, typical):
    judged(regions_of(typical.blower, **FORMS[name]).casing())


@pytest.mark.parametrize("changes", [{"covered": True}, {"covered": True, "bore": 0.02}, {"bore": 0.025}])
def test_round_every_wheel(changes, typical):
    judged(regions_of(typical.blower.but(impeller=typical.blower.impeller.but(**changes))).casing())


def common_volume(one, other):
    return abs(shapes.volume(occ.BRepAlgoAPI.BRepAlgoAPI_Common(one, other).Shape(), within=1e-3))


@pytest.mark.slow
@pytest.mark.parametrize("covered", [False, True])
def test_casing_gas_and_wheel_have_no_room_in_common(covered, typical):
    """With the kernel's boolean, which had no part in building them."""
    blower = typical.blower.but(impeller=typical.blower.impeller.but(covered=covered, bore=0.02))
    regions = regions_of(blower, rotation="clockwise", position="TH")
    solids = {name: getattr(regions, name)().shape for name in ("casing", "inlet", "passage", "volute")}
    solids["wheel"] = placed(impeller_solid(blower.impeller), regions.form.casing).shape
    for one, other in combinations(solids, 2):
        if {one, other} != {"passage", "wheel"}:  # held in the test of the regions
            assert common_volume(solids[one], solids[other]) < 1e-9, (one, other)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["casing", "volute", "inlet"])
def test_cut_through_the_axis_it_gives_two_valid_solids_that_add_up(name, typical):
    solid = getattr(regions_of(typical.blower), name)()
    halves = []
    for side in (1, -1):
        half = occ.BRepPrimAPI.BRepPrimAPI_MakeHalfSpace(
            occ.BRepBuilderAPI.BRepBuilderAPI_MakeFace(occ.gp.gp_Pln(frame((0, 0, 0), (1, 0.3, 0), (0, 0, 1)))).Face(),
            occ.gp.gp_Pnt(100.0 * side, 0, 0),
        ).Solid()
        halves.append(occ.BRepAlgoAPI.BRepAlgoAPI_Common(solid.shape, half).Shape())

    assert all(shapes.valid(half) for half in halves)
    np.testing.assert_allclose(sum(shapes.volume(half) for half in halves), solid.volume, rtol=1e-4)


@pytest.mark.parametrize("name", SECTIONS)
@pytest.mark.parametrize("wall", [2.0, 5.0, 12.0])
def test_the_wall_is_nowhere_thinner_than_asked(name, wall, typical):
    """Distance in the plan, in mm, of everything that bounds the gas to the block's outline; across it the plane sides."""
    blower = with_section(typical.blower, SECTIONS[name])
    volute, diffuser, _ = in_millimetres(blower.volute, blower.diffuser, blower.impeller.r2)
    walls = add_walls(Boundary(), volute, diffuser, diffuser_entry(blower).scaled(MM))
    block = block_round(volute, diffuser, walls.duct, wall=wall, limit=float(walls.duct.exit.flange_distance) - 20)
    theta = np.linspace(0, 2 * np.pi, 181)
    outline = volute.section.outline(size=schedule(volute, diffuser, theta).size, r3=diffuser.r3, b3=diffuser.b3)
    scroll = np.stack([outline.r * np.cos(theta), outline.r * np.sin(theta), outline.z], axis=-1).reshape(-1, 3)
    duct = [strip_points(s, walls.duct.exit, np.linspace(0, 1, 41), 61).reshape(-1, 3) for s in walls.duct.strips]
    gas = np.concatenate([scroll, *duct])
    gas = gas[gas[:, 1] < block.end]

    line = block.outline(count=401)
    far = line[np.hypot(line[:, 0] - float(walls.duct.exit.axis), line[:, 1] - block.end) > 1e-9]
    edge = far[far[:, 1] < block.end - 1e-6]
    distance, _ = cKDTree(edge).query(gas[:, :2])
    assert distance.min() > 0.995 * wall
    assert min(gas[:, 2].min() - block.sides[-1], block.sides[1] - gas[:, 2].max()) > 0.995 * wall


@pytest.mark.parametrize(
    ("choices", "words"),
    [
        ({"inlet_length": 0.07}, "inlet_length"),
        ({"shaft_opening": 0.27}, "shaft_opening"),
        ({"running_gap": 0.02}, "running_gap"),
    ],
)
def test_what_has_no_room_is_refused_in_words(choices, words, typical):
    with pytest.raises(RejectedSolid, match=words):
        regions_of(typical.blower, **choices).casing()


def test_a_discharge_too_short_for_its_walls_is_refused_in_words(typical):
    volute = typical.blower.volute.but(cone_length=0.06)
    with pytest.raises(RejectedSolid, match=r"thinner wall.*cone_angle"):
        regions_of(typical.blower.but(volute=volute), wall=0.05).casing()


def test_flanges_grow_with_their_tube_and_clear_it():
    """Steel pipes of a nominal size are that much outside (ISO 4200, from memory, mm): each gets the flange of its size."""
    for rating, sizes in RATINGS.items():
        assert all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(sizes.values()))
        for nominal, outside in {50: 60.3, 100: 114.3, 150: 168.3, 200: 219.1, 300: 323.9}.items():
            flange = flange_for(rating, tube=outside / 1e3)
            assert flange.nominal == nominal
            assert flange.outside > flange.bolt_circle + flange.hole
        assert flange_for(rating, tube=2.0) is None


def test_split_in_the_plane_of_the_spiral_both_halves_pass_the_gate(typical):
    """Each against a volume that the kernel's cut had no part in; together they are the whole."""
    regions = regions_of(typical.blower, split=True, position="TH")
    halves = [regions.casing_half(side) for side in (-1, 1)]
    for half in halves:
        judged(half)

    np.testing.assert_allclose(sum(shapes.volume(h.shape) for h in halves), regions.casing().volume, rtol=1e-4)
    front, back = (half.bounds for half in halves)
    np.testing.assert_allclose([front[1, 2], back[0, 2]], float(middle(typical.blower.impeller)), atol=1e-9)


def test_a_section_to_one_side_has_no_middle_to_split(typical):
    blower = with_section(typical.blower, SECTIONS["circle to one side"])
    with pytest.raises(RejectedSolid, match="volute_side = 0"):
        regions_of(blower, split=True).casing_half(1)


@pytest.mark.parametrize("choices", [{"mount": "feet"}, {"mount": "feet", "centre_height": 0.5}, {"mount": "flange"}])
def test_the_room_of_a_mount_touches_the_casing(choices, typical):
    regions = regions_of(typical.blower, position="TH", **choices)
    casing, mount = regions.casing(), regions.mount()
    accept(mount.shape, volume=mount.volume, bounds=mount.bounds, name="mount")
    if choices["mount"] == "feet":
        np.testing.assert_allclose(mount.bounds[1, 1], casing.bounds[0, 1])
        if "centre_height" in choices:
            np.testing.assert_allclose(mount.bounds[0, 1], -0.5)
    else:
        np.testing.assert_allclose(mount.bounds[0, 2], casing.bounds[1, 2])


def test_feet_below_a_discharge_that_points_down_are_refused_in_words(typical):
    with pytest.raises(RejectedSolid, match=r"centre_height.*position"):
        regions_of(typical.blower, mount="feet", centre_height=0.4, position="DB").mount()


@pytest.mark.slow
@pytest.mark.parametrize(("blower", "form"), list(casings(12, seed=7)))
def test_a_dozen_random_casings_of_every_section_pass_the_gate(blower, form):
    regions = Regions(blower, form)
    for name in ("volute", "casing"):
        solid = getattr(regions, name)()
        accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, deflection=1e-3, name=name)
