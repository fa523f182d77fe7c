"""Errors that a user can act on. Every message says where, what was got, what is allowed and what to do."""


class AerodesignError(Exception):
    """Base of all errors raised on purpose; the command line prints its message as one line."""

    exit_status = 2


class CaseError(AerodesignError):
    """A case file that cannot be read as asked."""


class UnitError(AerodesignError):
    """A quantity in a string that cannot be read: unknown unit, wrong dimension, no number."""


class GasError(AerodesignError):
    """A gas that cannot be had: unknown name, fractions that do not add up, a state in which it would condense."""


class InfeasibleDuty(AerodesignError):
    """A duty that no single stage can meet; names the limiting number and the nearest duty that works."""

    exit_status = 4


class MissingLibrary(AerodesignError):
    """A library, or a system library under it, that is not there; names the line that installs it."""

    exit_status = 7


class RejectedSolid(AerodesignError):
    """A solid that failed the acceptance gate and was therefore not written."""

    exit_status = 6


class RejectedMesh(AerodesignError):
    """A mesh with folded cells or without a passage, which was therefore not handed out."""

    exit_status = 6


class RejectedMachine(AerodesignError):
    """A shaft, bearing or drive that cannot be as asked."""

    exit_status = 6
