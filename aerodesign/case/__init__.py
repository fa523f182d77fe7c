"""Case files: TOML text in, checked records out. Strings with units live here and nowhere further in."""

from aerodesign.case.contents import Case, Given, Measured, StandardState
from aerodesign.case.reading import case_from_text, read_case

__all__ = ["Case", "Given", "Measured", "StandardState", "case_from_text", "read_case"]
