"""The mesh as a CGNS file, the standard that most flow solvers and viewers read. The only file that imports h5py.

One base holds one unstructured zone of hexahedra; each patch is a section of quadrilaterals, a boundary condition on it and a
family of the same name, whose type says wall, inflow or outflow. The two periodic patches are also a connection with its turn about z.
Layout by the "CGNS Standard Interface Data Structures" and its "HDF5 File Mapping Manual", version 3.4 (from memory; two
independent readers agree in the tests).
"""

import os
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.core.errors import MissingLibrary
from aerodesign.mesh.io import FLUID, complete
from aerodesign.mesh.passage import Mesh

VERSION = 3.4
HEXA_8, QUAD_4 = 17, 7
FLOWS = {"inlet": "BCInflow", "outlet": "BCOutflow", "periodic_low": "UserDefined", "periodic_high": "UserDefined"}
"""Types of the families that are not walls."""
WALL = "BCWall"
KINDS = {"float32": "R4", "float64": "R8", "int32": "I4", "int8": "C1"}
UNITS = ("Kilogram", "Meter", "Second", "Kelvin", "Radian")


def write_cgns(mesh: Mesh, path: str | os.PathLike[str], *, stamp: str = "") -> Path:
    """Write a CGNS file (HDF5) of cells, patches and the periodic connection; returns its path."""
    h5py = _h5py()
    with (
        complete(path, ".cgns") as unfinished,
        h5py.File(unfinished, "w", track_order=True, libver=("v108", "v110")) as file,
    ):
        _Node(h5py, file).fill(mesh, stamp)
    return Path(path)


class _Node:
    """A node of the file: name, label, perhaps data, and nodes below."""

    def __init__(self, h5py: Any, group: Any) -> None:
        self.h5py, self.group = h5py, group

    def add(self, name: str, label: str, data: Any = None) -> "_Node":
        """A node below this one; ``data`` is text or an array as the standard writes it, first index fastest."""
        group = self.group.create_group(name, track_order=True)
        below = _Node(self.h5py, group)
        values = None if data is None else _array(data)
        below._attributes(name, label, "MT" if values is None else KINDS[values.dtype.name])
        if values is not None:
            group.create_dataset(" data", data=values)
        return below

    def fill(self, mesh: Mesh, stamp: str) -> None:
        """Everything below the root."""
        self._attributes("HDF5 MotherNode", "Root Node of HDF5 File", "MT")
        for name, text, size in (
            (" format", "IEEE_LITTLE_32", 15),
            (" hdf5version", f"HDF5 Version {self.h5py.version.hdf5_version}", 33),
        ):
            self.group.create_dataset(name, data=np.frombuffer(text.encode().ljust(size, b"\0"), np.int8))
        self.add("CGNSLibraryVersion", "CGNSLibraryVersion_t", np.array([VERSION], np.float32))

        base = self.add("passage", "CGNSBase_t", np.array([3, 3], np.int32))
        if stamp:
            base.add("Made", "Descriptor_t", stamp)
        base.add("DataClass", "DataClass_t", "Dimensional")
        base.add(
            "DimensionalUnits", "DimensionalUnits_t", np.array([list(u.ljust(32).encode()) for u in UNITS], np.int8)
        )
        for name in mesh.patches:
            family = base.add(name, "Family_t")
            family.add("FamilyBC", "FamilyBC_t", FLOWS.get(name, WALL))
        _zone(base, mesh)

    def _attributes(self, name: str, label: str, kind: str) -> None:
        for key, value, size in (("name", name, 33), ("label", label, 33), ("type", kind, 3)):
            text = self.h5py.h5t.C_S1.copy()
            text.set_size(size)
            text.set_strpad(self.h5py.h5t.STR_NULLTERM)
            space = self.h5py.h5s.create(self.h5py.h5s.SCALAR)
            made = self.h5py.h5a.create(self.group.id, key.encode(), text, space)
            made.write(np.array(value.encode(), f"S{size}"), mtype=text)
        if kind != "MT" or label != "Root Node of HDF5 File":
            self.group.attrs.create("flags", np.array([1], np.int32))


def _zone(base: _Node, mesh: Mesh) -> None:
    zone = base.add(FLUID, "Zone_t", np.array([[len(mesh.points)], [len(mesh.hexes)], [0]], np.int32))
    zone.add("ZoneType", "ZoneType_t", "Unstructured")
    zone.add("FamilyName", "FamilyName_t", FLUID)
    grid = zone.add("GridCoordinates", "GridCoordinates_t")
    for axis, name in enumerate("XYZ"):
        grid.add(f"Coordinate{name}", "DataArray_t", np.ascontiguousarray(mesh.points[:, axis]))

    ranges = {FLUID: (1, len(mesh.hexes))}
    _section(zone, "hexahedra", HEXA_8, mesh.hexes, ranges[FLUID])
    conditions = zone.add("ZoneBC", "ZoneBC_t")
    end = len(mesh.hexes)
    for name, quads in mesh.patches.items():
        ranges[name] = (end + 1, end + len(quads))
        end += len(quads)
        _section(zone, f"{name}_faces", QUAD_4, quads, ranges[name])
        condition = conditions.add(name, "BC_t", "FamilySpecified")
        condition.add("PointRange", "IndexRange_t", np.array(ranges[name], np.int32)[:, None])
        condition.add("GridLocation", "GridLocation_t", "FaceCenter")
        condition.add("FamilyName", "FamilyName_t", name)

    connections = zone.add("ZoneGridConnectivity", "ZoneGridConnectivity_t")
    sides = ("periodic_low", "periodic_high")
    for side, other, turn in ((*sides, mesh.pitch), (*sides[::-1], -mesh.pitch)):
        connection = connections.add(f"{side}_to_{other}", "GridConnectivity_t", FLUID)
        connection.add("GridConnectivityType", "GridConnectivityType_t", "Abutting1to1")
        connection.add("GridLocation", "GridLocation_t", "FaceCenter")
        for name, patch in (("PointList", side), ("PointListDonor", other)):
            first, last = ranges[patch]
            connection.add(name, "IndexArray_t", np.arange(first, last + 1, dtype=np.int32)[:, None])
        periodic = connection.add("GridConnectivityProperty", "GridConnectivityProperty_t").add(
            "Periodic", "Periodic_t"
        )
        for name, vector in (
            ("RotationCenter", (0, 0, 0)),
            ("RotationAngle", (0, 0, turn)),
            ("Translation", (0, 0, 0)),
        ):
            periodic.add(name, "DataArray_t", np.array(vector, np.float32))


def _section(zone: _Node, name: str, kind: int, corners: np.ndarray, span: tuple[int, int]) -> None:
    section = zone.add(name, "Elements_t", np.array([kind, 0], np.int32))
    section.add("ElementRange", "IndexRange_t", np.array(span, np.int32))
    section.add("ElementConnectivity", "DataArray_t", (corners.ravel() + 1).astype(np.int32))


def _array(data: Any) -> np.ndarray:
    return np.frombuffer(data.encode("ascii", "replace"), np.int8) if isinstance(data, str) else data


def _h5py() -> Any:
    try:
        import h5py
    except ImportError as error:
        raise MissingLibrary(f"writing CGNS needs h5py ({error}); install it: pip install h5py") from error
    return h5py
