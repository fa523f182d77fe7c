"""The page beside the table of simulations: simulated over predicted, in sum and machine by machine, and what was not believed."""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from aerodesign.cfd.beside import COMPARED
from aerodesign.report.simulated_table import ACCEPTED, NONE, OPEN, VERDICTS, WAVERS, Row, read_table

SUMMED = ("work", "slip", "exit_blockage", "needed_blockage", "loss_impeller", "loss_diffuser", "pressure_ratio")
MESHES = ("work", "slip", "exit_blockage", "efficiency_impeller", "efficiency")
"""Compared from mesh to mesh."""
SIZES = ("look", "design", "study")


def page_of_table(table: Path) -> str:
    """The page as text in GitHub's flavour of Markdown. Raises AerodesignError where the file is no table of simulations."""
    rows = read_table(Path(table))
    best = finest(rows)
    measured = all(row["case"].startswith("measured-") for row in rows)
    machines = "measured ones" if measured else "those of the demonstration, and of duties drawn at random"
    lines = [
        "# Simulated beside predicted",
        "",
        f"{_counted(best)}. {_counted(rows, points='run')}, coarser meshes of the same point included. Machines: {machines}. "
        "Simulated: wheel and vaneless diffuser, smooth walls, wall functions, the clearance over "
        "open tips where it says so; no leakage, no disc "
        f"friction. No coefficient was fitted. `cases/simulated/run` makes the table `{Path(table).name}` and this page; more runs extend it.",
        "",
        "*accepted*: every gate passed. *wavers*: the flow never came to rest, all other gates pass on fields averaged over the last "
        "iterations; the table holds the torque's deviation and the standard error of its mean. *refused*: another gate failed. Only accepted "
        "points are summed first; those that waver stand by themselves.",
        "",
        "Slip and blockage of a simulation are one pair, and not a correlation's: slow gas at the walls fills the passage and is carried along. "
        "Like stands beside like in the work, and in the blockage with which the meanline, its slip kept, would find the simulated swirl "
        "(*needed*). [reading.md](reading.md) says what measured machines, put through the same chain, tell about both.",
        "",
        *_sum_table("accepted", [row for row in best if row["verdict"] == ACCEPTED]),
        *_sum_table("wavering, from mean fields", [row for row in best if row["verdict"] == WAVERS]),
        *_kinds(best),
        *_meshes(rows),
        "## Point by point",
        "",
        "Simulated / meanline.",
        "",
        "| machine | mesh | clearance | flow | " + " | ".join(_word(name) for name in SUMMED) + " | verdict |",
        "|---|---|---|---|" + "---|" * (len(SUMMED) + 1),
        *(_row(row) for row in rows),
    ]
    return "\n".join(lines) + "\n"


def _word(name: str) -> str:
    return "blockage needed" if name == "needed_blockage" else COMPARED[name].split(",")[0]


def finest(rows: list[Row]) -> list[Row]:
    """For each point the row that has an answer on the finest mesh, with the clearance open where it was."""
    best: dict[tuple[str, str], Row] = {}
    for row in sorted(
        rows, key=lambda row: (row["verdict"] != NONE, row["clearance"] == OPEN, SIZES.index(row["size"]))
    ):
        best[row["case"], row["part"]] = row
    return list(best.values())


def _counted(rows: list[Row], points: str = "point") -> str:
    """How many of the rows have each verdict, of how many machines."""
    count = Counter(row["verdict"] for row in rows)
    told = ", ".join(f"{count[verdict]} {verdict}" for verdict in VERDICTS if count[verdict])
    return f"{len(rows)} {points}s of {len({row['case'] for row in rows})} machines: {told or 'none'}"


def _ratios(rows: Iterable[Row], name: str) -> np.ndarray:
    found = [float(row[f"{name}_simulated"]) / float(row[f"{name}_meanline"]) for row in rows]
    return np.array([ratio for ratio in found if np.isfinite(ratio)])


def _sum_table(title: str, rows: list[Row]) -> list[str]:
    """Median and extremes of each ratio over some rows."""
    if not rows:
        return []
    lines = [
        f"## Simulated over meanline: {title}",
        "",
        "| quantity | median | least | most | points |",
        "|---|---|---|---|---|",
    ]
    for name in SUMMED:
        ratios = _ratios(rows, name)
        numbers = f"{np.median(ratios):.3f} | {ratios.min():.3f} | {ratios.max():.3f}" if ratios.size else " | | "
        lines.append(f"| {COMPARED[name]} | {numbers} | {ratios.size} |")
    return [*lines, ""]


def _kinds(rows: list[Row]) -> list[str]:
    """The work over the meanline's for open and covered wheels apart: their flows differ."""
    lines = []
    for word, covered in (("open", "0"), ("covered", "1")):
        some = [row for row in rows if row["covered"] == covered and row["verdict"] in (ACCEPTED, WAVERS)]
        if some:
            found = {name: _ratios(some, name) for name in ("work", "exit_blockage", "needed_blockage")}
            parts = ", ".join(f"{_word(name)} {np.median(ratios):.3f}" for name, ratios in found.items() if ratios.size)
            lines.append(f"- {word} wheels, {len(some)} points, medians: {parts}")
    return [*lines, ""] if lines else []


def _meshes(rows: list[Row]) -> list[str]:
    """Points that were simulated on more than one mesh, accepted or wavering: the trend with the mesh."""
    of_point: dict[tuple[str, ...], dict[str, Row]] = {}
    for row in rows:
        if row["verdict"] in (ACCEPTED, WAVERS):
            of_point.setdefault((row["case"], row["part"], row["clearance"]), {})[row["size"]] = row
    several = {key: sizes for key, sizes in of_point.items() if len(sizes) > 1}
    if not several:
        return []
    lines = [
        "## From mesh to mesh",
        "",
        "| machine | flow | clearance | mesh | cells | " + " | ".join(_word(name) for name in MESHES) + " |",
        "|---|---|---|---|---|" + "---|" * len(MESHES),
    ]
    for (case, part, gap), sizes in sorted(several.items()):
        for size in (size for size in SIZES if size in sizes):
            row = sizes[size]
            cells = " | ".join(f"{float(row[f'{name}_simulated']):.4g}" for name in MESHES)
            lines.append(f"| {case} | {part} | {gap} | {size} | {row['cells']} | {cells} |")
    return [*lines, ""]


def _row(row: Row) -> str:
    cells = [_beside(row, name) for name in SUMMED]
    said = f"{row['verdict']}: {row['reason']}" if row["reason"] else row["verdict"]
    return f"| {row['case']} | {row['size']} | {row['clearance']} | {row['part']} | {' | '.join(cells)} | {said} |"


def _beside(row: Row, name: str) -> str:
    found, said = row[f"{name}_simulated"], row[f"{name}_meanline"]
    return f"{float(found):.4g} / {float(said):.4g}" if found and np.isfinite(float(said)) else ""
