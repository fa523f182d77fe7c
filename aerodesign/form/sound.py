"""What stands between the machine and the ear."""

from typing import Annotated

from aerodesign.core.bounds import Several, Within
from aerodesign.core.quantities import Length, Level
from aerodesign.core.record import Record, record

NOTHING = (0.0,) * 8
"""No insertion loss in any octave band, 63 Hz to 8 kHz."""


@record
class SoundForm(Record):
    """Choices for the sound; table ``[noise]`` of a case file.

    ``silencer`` and ``lagging`` hold the insertion losses of the octave bands from 63 Hz to 8 kHz as their makers state them:
    eight values. ``target`` is the highest level wanted at ``distance``, A-weighted.
    """

    silencer: Annotated[Level, Several(8, 8), Within("0 dB", "80 dB")] = NOTHING
    lagging: Annotated[Level, Several(8, 8), Within("0 dB", "80 dB")] = NOTHING
    distance: Annotated[Length, Within("0.1 m", "100 m")] = 1.0
    target: Annotated[Level, Within("30 dB", "120 dB")] = 85.0
