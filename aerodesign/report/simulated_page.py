"""The page beside the table of simulations: simulated over predicted, in sum and machine by machine."""

import csv
from pathlib import Path

import numpy as np

from aerodesign.cfd.beside import COMPARED
from aerodesign.core.errors import AerodesignError
from aerodesign.report.simulated_table import HEADS

SUMMED = ("work", "slip", "exit_blockage", "loss_impeller", "loss_diffuser", "pressure_ratio")


def page_of_table(table: Path) -> str:
    """The page as text in GitHub's flavour of Markdown. Raises AerodesignError where the file is no table of simulations."""
    with Path(table).open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        if tuple(reader.fieldnames or ()) != HEADS:
            raise AerodesignError(f"{table}: is not a table of simulations")
        rows = list(reader)
    believed = [row for row in rows if row["accepted"] == "1"]
    machines = {row["case"] for row in believed}
    lines = [
        "# Simulated beside predicted",
        "",
        f"{len(believed)} of {len(rows)} simulated points passed every gate, of {len(machines)} of {len({row['case'] for row in rows})} machines "
        "whose duties were drawn at random or are the demonstration's. Simulated: wheel and vaneless diffuser without tip gap, leakage and "
        "disc friction, smooth walls, a coarse mesh with wall functions. No coefficient was fitted. `cases/simulated/run` makes the table "
        "`points.csv` and this page; more runs extend it.",
        "",
        "| quantity | median, simulated over meanline | least | most | points |",
        "|---|---|---|---|---|",
        *(_sum(name, believed) for name in SUMMED),
        "",
        "| machine | mesh | flow | " + " | ".join(COMPARED[name].split(",")[0] for name in SUMMED) + " | gates |",
        "|---|---|---|" + "---|" * (len(SUMMED) + 1),
        *(_row(row) for row in rows),
    ]
    return "\n".join(lines) + "\n"


def _ratio(row: dict[str, str], name: str) -> float:
    return float(row[f"{name}_simulated"]) / float(row[f"{name}_meanline"])


def _sum(name: str, rows: list[dict[str, str]]) -> str:
    ratios = np.array([_ratio(row, name) for row in rows])
    if not ratios.size:
        return f"| {COMPARED[name]} | | | | 0 |"
    return f"| {COMPARED[name]} | {np.median(ratios):.3f} | {ratios.min():.3f} | {ratios.max():.3f} | {ratios.size} |"


def _row(row: dict[str, str]) -> str:
    cells = [f"{float(row[f'{name}_simulated']):.4g} / {float(row[f'{name}_meanline']):.4g}" for name in SUMMED]
    return f"| {row['case']} | {row['size']} | {row['part']} | {' | '.join(cells)} | {'passed' if row['accepted'] == '1' else '**failed**'} |"
