"""What the machine may sound like: octave bands by three estimates at the duty points, tones, and what silencer and lagging leave."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from aerodesign.aero.points import Points
from aerodesign.core.book import Book, Step
from aerodesign.core.correlation import PRACTICE, card
from aerodesign.core.limit import Limit, guideline
from aerodesign.core.quantities import Frequency, Level, Ratio, Values
from aerodesign.form import SoundForm
from aerodesign.machine import sound_bands as bands
from aerodesign.machine.noise import blade_passing_frequency, sound_power_level, specific_sound_power_level

WITHIN_RANGE = 5.0
"""Band in dB either way where the estimates are not stretched: common practice, no source."""


@dataclass(frozen=True)
class Sound:
    """Sound of one machine; arrays are per duty point, bands first.

    ``estimates`` holds the sound power of the open inlet or outlet by each source, ``silenced`` and ``lagged`` the largest
    behind the silencer and behind the lagging, or bare where the case gives none; the
    wall's own insulation is not counted. ``spread`` is the band in dB either way.
    """

    blade_passing: Frequency
    level: Level
    off_peak: Level
    estimates: dict[str, Level]
    silenced: Level
    lagged: Level
    a_weighted: dict[str, Level]
    at_distance: dict[str, Level]
    spread: Level
    stretched: bool
    findings: list[Limit]
    steps: Mapping[str, Step]


def sound(points: Points, *, blades: Values, best: Ratio, form: SoundForm) -> Sound:
    """The sound at the duty points; ``best`` is the best efficiency of the speed line, ``blades`` those that end at the exit."""
    book = Book()
    level = book.note("sound_power_level", sound_power_level, flow=points.flow, pressure_rise=points.pressure_rise)
    specific = book.note(
        "specific_sound_power_level", specific_sound_power_level, flow=points.flow, pressure_rise=points.pressure_rise
    )
    passing = book.note("blade_passing", blade_passing_frequency, speed=points.speed, blades=blades)
    extra = book.note(
        "off_peak", bands.off_peak_addition, part=np.clip(points.efficiency / best, 0, 1), source=bands.OFF_PEAK_SOURCE
    )
    found = {
        name: book.note(
            f"octave_bands_{_word(name)}", bands.octave_bands, level=specific if name.startswith("specific") else level, estimate=name,
            blade_passing=passing, off_peak=extra,
            source=bands.SPECTRUM_SOURCES[name],
        )
        for name in bands.SPECTRA
    }  # fmt: skip
    larger = np.fmax.reduce(list(found.values()))
    silencer, lagging = (np.array(losses)[:, None] for losses in (form.silencer, form.lagging))
    silenced, lagged = larger - silencer, larger - lagging
    weighted = {
        name: book.note(f"a_weighted_{_word(name)}", bands.a_weighted, bands=one, source=bands.A_SOURCE)
        for name, one in found.items()
    }
    after = {
        "open end behind the silencer" if any(form.silencer) else "open end without silencer": silenced,
        "casing behind the lagging" if any(form.lagging) else "casing without lagging": lagged,
    }
    at_distance = {
        name: bands.pressure_level(bands.a_weighted(one), distance=form.distance) for name, one in after.items()
    }
    stretched = bool(np.max(points.pressure_rise) > card(sound_power_level).valid["pressure_rise"][1])
    findings = [
        guideline(
            f"sound pressure at {form.distance:.3g} m, A-weighted, {name}", np.max(one), high=form.target, quantity="level",
            source=PRACTICE, advice="silencers, lagging, distance, ears protected; measure before deciding",
        )
        for name, one in at_distance.items()
    ]  # fmt: skip
    return Sound(
        blade_passing=passing, level=level, off_peak=extra, estimates=found, silenced=silenced, lagged=lagged, a_weighted=weighted,
        at_distance=at_distance, spread=bands.WIDE if stretched else WITHIN_RANGE, stretched=stretched, findings=findings,
        steps=book.steps,
    )  # fmt: skip


def _word(estimate: str) -> str:
    """The estimate's source in a word."""
    return bands.SPECTRUM_SOURCES[estimate].author.split()[-1].lower()
