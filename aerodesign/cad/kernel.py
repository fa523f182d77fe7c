"""The door to the geometry kernel: the only file that imports it, and only when a solid is asked for.

``occ.gp.gp_Pnt`` is the class of that name in the kernel's package ``gp``; a package is loaded at its first use. The
kernel works in millimetres, the rest of the project in metres: multiply by ``MM`` on the way in.
"""

from importlib import import_module
from typing import Any

from aerodesign.core.errors import MissingLibrary

MM = 1000.0
"""Kernel units (millimetres) in a metre."""

_ADVICE = (
    "solids need cadquery and the system libraries libGL and libX11 (Debian packages libgl1 libx11-6): "
    "apt-get install -y libgl1 libx11-6"
)


def load(name: str) -> Any:
    """Import a module of the solid-modelling libraries; :class:`MissingLibrary` names the line that installs it."""
    try:
        return import_module(name)
    except ImportError as error:
        raise MissingLibrary(f"cannot load {name} ({error}): {_ADVICE}") from error


class _Kernel:
    """Packages of the kernel as attributes."""

    def __getattr__(self, package: str) -> Any:
        if package.startswith("_"):
            raise AttributeError(package)
        module = load(f"OCP.{package}")
        if "Message" not in self.__dict__:
            self.__dict__["Message"] = _silenced(load("OCP.Message"))
        self.__dict__[package] = module
        return module


def _silenced(message: Any) -> Any:
    """Take the printers from the kernel's messenger: it would write its statistics to standard output."""
    messenger = message.Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)
    return message


occ: Any = _Kernel()
