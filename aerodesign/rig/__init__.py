"""Readings of a blower on a test rig, turned into flow, pressure rise, power and efficiency with their uncertainty."""

from aerodesign.rig.contents import RigTest
from aerodesign.rig.lines import reduced_lines
from aerodesign.rig.points import points_text
from aerodesign.rig.reading import read_test, rig_test
from aerodesign.rig.results import Budget, Converted, Reduced, Results
from aerodesign.rig.rows import reduced_rows
from aerodesign.rig.run import reduce_test

__all__ = [
    "Budget",
    "Converted",
    "Reduced",
    "Results",
    "RigTest",
    "points_text",
    "read_test",
    "reduce_test",
    "reduced_lines",
    "reduced_rows",
    "rig_test",
]
