"""The page beside the table of simulated volutes."""

from pathlib import Path

from aerodesign.cfd.volute_beside import COMPARED
from aerodesign.report.simulated_table import Row, read_table
from aerodesign.report.volute_simulated import VOLUTE_HEADS


def page_of_volutes(table: Path) -> str:
    """The page as text in GitHub's flavour of Markdown. Raises AerodesignError where the file is no table of simulated volutes."""
    rows = read_table(table, VOLUTE_HEADS)
    passed = sum(row["accepted"] == "1" for row in rows)
    return (
        "\n".join(
            [
                "# Simulated volutes beside predicted",
                "",
                f"{passed} of {len(rows)} simulated points passed every gate. Simulated over meanline, from the wheel's exit to the flange: the "
                "flow and swirl of the meanline come in even all round, walls are smooth, the mesh is coarse with wall functions. No coefficient "
                "was fitted. A point fails where its loss swings by more than 2 % to either side, as past the critical angle of the vaneless "
                "diffuser. `cases/simulated/run-volutes` makes the table `volutes.csv` and this page; more runs extend it.",
                "",
                "| machine | mesh | flow | mismatch S | " + " | ".join(COMPARED.values()) + " | gates |",
                "|---|---|---|---|" + "---|" * (len(COMPARED) + 1),
                *(_row(row) for row in rows),
            ]
        )
        + "\n"
    )


def _row(row: Row) -> str:
    cells = [f"{float(row[f'{name}_simulated']):.4g} / {float(row[f'{name}_meanline']):.4g}" for name in COMPARED]
    verdict = "passed" if row["accepted"] == "1" else "**failed**"
    return f"| {row['case']} | {row['size']} | {row['part']} | {row['mismatch']} | {' | '.join(cells)} | {verdict} |"
