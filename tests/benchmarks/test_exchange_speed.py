"""How long the files for other programs take; judged as the benchmarks of ``test_speed``."""

import numpy as np
import pytest
from test_impeller_looks_speed import reference_seconds

from aerodesign.cad.exchange import assembly_parts, write_assembly
from aerodesign.cad.export import make
from aerodesign.drawing.dxf import write_dxf
from aerodesign.drawing.meridional import meridional_view
from aerodesign.form import Form
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.inspection import inspection_points
from aerodesign.geometry.row import blade_row

STAMP = "aerodesign test"


@pytest.fixture(scope="module")
def blower(typical):
    """A wheel with 8 blades and 8 splitters, fillets on, in its casing."""
    return typical.blower.but(impeller=typical.blower.impeller.but(blades=8, splitters=8, bore=0.02))


@pytest.fixture(scope="module")
def passed(blower):
    """All parts of the assembly, judged."""
    done = {}
    made = make(assembly_parts(blower, Form()), lambda one: done.update({one.name: one}))
    assert made.missing == []
    return done


def test_step_of_the_assembly(passed, tmp_path):
    """3 s of CPU, the solids being there."""
    assert reference_seconds(lambda: write_assembly(passed, tmp_path / "assembly.step", STAMP), 3) < 3


def test_meridional_drawing(blower, tmp_path):
    """1 s of CPU from the blade's formula to the DXF file."""
    blading = Blading(blower.impeller)
    assert reference_seconds(lambda: write_dxf(meridional_view(blower, blading, 5.0), tmp_path / "m.dxf", STAMP), 3) < 1


def test_surface_points_do_not_cost_a_solid(blower):
    """0.5 s of CPU for all inspection points."""
    blading = Blading(blower.impeller)
    row = blade_row(blading)
    assert np.isfinite(inspection_points(blading, row).points).all()
    assert reference_seconds(lambda: inspection_points(blading, row), 3) < 0.5
