"""The whole machine: what needs the flow and the solid wheel at once. Disc, blades, shaft, bearings, balance, thrust."""

from aerodesign.whole.machine_check import MachineCheck, machine_check

__all__ = ["MachineCheck", "machine_check"]
