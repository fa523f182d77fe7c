"""For the notebooks: a picture with sliders that is a still picture where there are none, and answers that can be checked."""

from collections.abc import Callable
from typing import Any

import numpy as np

from aerodesign.core.errors import AerodesignError

Range = tuple[float, float, float]
"""Least, usual and largest value of a slider."""


def controls(draw: Callable[..., Any], **ranges: Range) -> Any:
    """What ``draw`` makes of the usual values, with a slider for each where the library ipywidgets is installed.

    ``draw`` takes the names of ``ranges`` as keywords and returns a figure. Raises AerodesignError for a range that does not rise.
    """
    for name, (low, usual, high) in ranges.items():
        if not low <= usual <= high or low == high:
            raise AerodesignError(
                f"{name}: got the range {(low, usual, high)}; give least, usual and largest value in that order"
            )
    try:
        from ipywidgets import FloatSlider, interactive
    except ImportError:
        return draw(**{name: usual for name, (_, usual, _) in ranges.items()})
    sliders = {
        name: FloatSlider(value=usual, min=low, max=high, step=(high - low) / 50, continuous_update=False)
        for name, (low, usual, high) in ranges.items()
    }
    return interactive(draw, **sliders)


def check(answer: Any, right: float, *, within: float = 0.02, hint: str = "") -> str:
    """Whether an answer lies within a part of the right value. The dots that stand for it at first are no answer yet."""
    if answer is ... or answer is None:
        return "Not answered yet: put your number in the place of the dots."
    try:
        off = abs(float(answer) - right)
    except (TypeError, ValueError):
        return f"A single number is asked for, not {type(answer).__name__}."
    if np.isfinite(off) and off <= within * abs(right) + 1e-12:
        return f"Right: {right:.4g}."
    return "Not yet." + (f" {hint}" if hint else "")
