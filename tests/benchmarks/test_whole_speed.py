"""How fast bands, mesh, start-up and the whole command are; judged as the benchmarks of ``test_speed``."""

import resource
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from test_impeller_looks_speed import reference_seconds
from test_speed import REFERENCE, cpu_seconds, kernel

from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Diffuser
from aerodesign.aero.models import Models
from aerodesign.aero.running import running
from aerodesign.aero.uncertainty import bands
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.cfd.polymesh import write_polymesh
from aerodesign.form import Shop
from aerodesign.geometry.fit import fit
from aerodesign.mesh.io import write_gmsh, write_vtu
from aerodesign.mesh.passage import passage_mesh
from aerodesign.mesh.size import SIZES
from aerodesign.milling.survey import survey_of
from aerodesign.report import figures
from aerodesign.report.chapters import running_chapters
from aerodesign.report.figures_datasheet import data_sheet, save_data_sheet
from aerodesign.report.running_record import running_record

MACHINE = """
title = "A bench"
[duty]
flow = "2600 m3/h"
pressure_rise = "22 kPa"
[site]
altitude = "340 m"
temperature = "15 degC"
[drive]
kind = "belt"
[choices]
search_effort = 64
[money]
price = 20000
[replaces]
kind = "multistage"
[fit]
across = "1 m"
tall = "1.3 m"
shaft_height = "0.5 m"
"""
CASES = Path(__file__).parent.parent.parent / "cases"


def child_seconds(*command: str, runs: int = 7) -> float:
    """Least CPU time of a command over some runs, its own children counted, on the machine of the reference."""
    least = np.inf
    for _ in range(runs):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *command], check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        least = min(least, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return float(least) / (cpu_seconds(kernel, 5) / REFERENCE)


def test_twenty_thousand_samples_of_all_five_bands(typical):
    """Half a second."""
    site = Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])
    speed, flow = typical.point["speed"], float(typical.solve().flow)

    def run():
        return bands(typical.blower, site, service="pressure", basis="static", flow=flow, speed=speed, models=Models())

    assert run().samples == 20_000
    assert reference_seconds(run, 3) < 0.5


def test_a_mesh_to_look_at(typical, tmp_path):
    """Passage mesh with both files: 2 s."""
    wheel = typical.blower.impeller
    diffuser = Diffuser(r3=1.5 * wheel.r2, b3=0.9 * wheel.b2)

    def run():
        mesh = passage_mesh(wheel, diffuser)
        write_vtu(mesh, tmp_path / "passage.vtu")
        write_gmsh(mesh, tmp_path / "passage.msh")

    assert reference_seconds(run, 3) < 2


def test_a_mesh_to_solve_on(typical, tmp_path):
    """In the solver's format: 2 s for 100 000 cells."""
    wheel = typical.blower.impeller.but(blades=16, splitters=0)
    diffuser = Diffuser(r3=1.5 * wheel.r2, b3=0.9 * wheel.b2)
    size = replace(SIZES["study"], inlet=24, blade=60, diffuser=36, growth=1.33)
    cells = len(passage_mesh(wheel, diffuser, size).hexes)
    assert cells > 1e5

    def run():
        write_polymesh(passage_mesh(wheel, diffuser, size), tmp_path / "polyMesh")

    assert reference_seconds(run, 3) < 2 * cells / 1e5


def test_the_milling_checks(typical):
    """With the search for changes: 4 s of the command's 40, 6.5 s with splitters. They run while the other process makes the solids."""
    wheel = typical.blower.impeller
    for one, seconds in ((wheel, 4), (wheel.but(blades=8, splitters=8), 6.5)):
        assert reference_seconds(lambda one=one: survey_of(one, Shop()), 3) < seconds


def test_help_is_quick():
    """0.15 s of CPU above a bare interpreter."""
    assert child_seconds("-m", "aerodesign.cli", "--help") - child_seconds("-c", "") < 0.15


def test_importing_is_quick():
    """0.15 s of CPU above numpy."""
    assert child_seconds("-c", "import aerodesign") - child_seconds("-c", "import numpy") < 0.15


def test_the_public_solver_imports_quickly():
    """What ``aerodesign.solve`` needs, beside numpy: 0.15 s of CPU."""
    assert child_seconds("-c", "import aerodesign; aerodesign.solve") - child_seconds("-c", "import numpy") < 0.15


def test_the_whole_command(tmp_path):
    """Sizing, map, figures, mesh, solids and page of the demo case: 40 s of CPU over both processes, 20 s on two cores."""
    script = f"import sys; sys.argv = ['aerodesign', 'design', {str(CASES / 'trout-hatchery.toml')!r}, '--out', {str(tmp_path / 'out')!r}]"
    assert child_seconds("-c", f"{script}; from aerodesign.cli import main; main()", runs=1) < 40


def test_the_machine_as_it_is_run(tmp_path):
    """Drive, noise, money and fit with their figures, tables and the data sheet: 1 s of the command."""
    case = case_from_text(MACHINE)
    made = design_case(case)
    units = figures.units_for(made)

    def run():
        running(
            made.blower, made.duty, made.site, points=made.points, chart=made.map, line=16, control=made.control, drive=made.drive,
            form=made.form, design_index=0, mechanical_efficiency=0.97,
        )  # fmt: skip
        place = fit(made.blower, made.form.fit)
        running_chapters(made, place, units)
        running_record(made)
        figures.svg_text(figures.sound(made, units), "sound")
        figures.svg_text(figures.fit_drawing(place, made, units), "fit")
        save_data_sheet(data_sheet(made, units, title=case.title), tmp_path / "sheet.pdf", title=case.title)

    assert reference_seconds(run, 3) < 1
