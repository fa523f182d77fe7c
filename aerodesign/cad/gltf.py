"""Triangles as one binary glTF 2.0 file (GLB; Khronos' specification, from memory) for a page: metres, +y up, named parts.

Positions in single precision, one normal a corner where edges are sharp and a common one where the surface is smooth, plain
non-metallic materials.
"""

import json
import os
import struct
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.step import Colour
from aerodesign.cad.tessellate import Triangles, in_single

Array = NDArray[np.float64]

SHARP = np.radians(35)
"""Neighbouring triangles that lean more than this against each other make a visible edge."""
FLOAT, UINT = 5126, 5125
ARRAY, ELEMENTS = 34962, 34963
"""Words of the format: component types, and targets of a view of the buffer."""


class Shown(NamedTuple):
    """A part of a scene: its triangles (metres), colour, and opacity below 1 for a room of gas."""

    skin: Triangles
    colour: Colour = (0.6, 0.6, 0.6)
    opacity: float = 1.0


def write_glb(parts: Mapping[str, Shown], path: str | Path, stamp: str) -> Path:
    """Write parts by name and return the path. The bytes depend on the arguments only."""
    blob = bytearray()
    scene: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": stamp},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(parts)))}],
        "nodes": [],
        "meshes": [],
        "materials": [],
        "accessors": [],
        "bufferViews": [],
    }
    for number, (name, part) in enumerate(parts.items()):
        points, normals, triangles = shaded(in_single(part.skin))
        accessors = [
            _stored(scene, blob, points.astype("<f4"), FLOAT, "VEC3", ARRAY),
            _stored(scene, blob, normals.astype("<f4"), FLOAT, "VEC3", ARRAY),
            _stored(scene, blob, triangles.reshape(-1).astype("<u4"), UINT, "SCALAR", ELEMENTS),
        ]
        position, normal, index = accessors
        primitive = {"attributes": {"POSITION": position, "NORMAL": normal}, "indices": index, "material": number}
        scene["nodes"].append({"name": name, "mesh": number})
        scene["meshes"].append({"name": name, "primitives": [primitive]})
        scene["materials"].append(_material(name, part))
    scene["buffers"] = [{"byteLength": len(blob)}]
    path = Path(path)
    draft = path.with_name(f".{path.name}")
    draft.write_bytes(_container(json.dumps(scene, separators=(",", ":")).encode(), bytes(blob)))
    os.replace(draft, path)
    return path


def _stored(
    scene: dict[str, Any], blob: bytearray, values: NDArray[Any], component: int, kind: str, target: int
) -> int:
    """Append an array to the buffer and describe it; the number of its accessor."""
    scene["bufferViews"].append({"buffer": 0, "byteOffset": len(blob), "byteLength": values.nbytes, "target": target})
    accessor: dict[str, Any] = {
        "bufferView": len(scene["bufferViews"]) - 1,
        "componentType": component,
        "count": len(values),
        "type": kind,
    }
    if kind == "VEC3":
        accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
    scene["accessors"].append(accessor)
    blob += values.tobytes()
    return len(scene["accessors"]) - 1


def _material(name: str, part: Shown) -> dict[str, Any]:
    look = {"baseColorFactor": [*part.colour, part.opacity], "metallicFactor": 0.0, "roughnessFactor": 0.65}
    material: dict[str, Any] = {"name": name, "pbrMetallicRoughness": look}
    return material | ({"alphaMode": "BLEND", "doubleSided": True} if part.opacity < 1 else {})


def _container(text: bytes, blob: bytes) -> bytes:
    """Header and the two chunks, each filled up to a multiple of four bytes."""
    text, blob = text.ljust(-(-len(text) // 4) * 4, b" "), blob.ljust(-(-len(blob) // 4) * 4, b"\0")
    chunks = struct.pack("<I4s", len(text), b"JSON") + text + struct.pack("<I4s", len(blob), b"BIN\0") + blob
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def shaded(skin: Triangles) -> tuple[Array, Array, NDArray[np.int64]]:
    """Points, normals and triangles; a point on a sharp edge occurs once for each side.

    The normal of a corner is the mean, by area, over the triangles round its point that lean less than :data:`SHARP` against its own.
    """
    t = skin.triangles
    a, b, c = (skin.points[t[:, i]] for i in range(3))
    area = np.cross(b - a, c - a)
    unit = area / np.maximum(np.linalg.norm(area, axis=1, keepdims=True), 1e-300)

    corner = np.argsort(t.reshape(-1), kind="stable")
    point = t.reshape(-1)[corner]
    first = np.searchsorted(point, np.arange(len(skin.points)))
    count = np.bincount(point, minlength=len(skin.points))
    # all pairs of corners that share a point
    around = count[point]
    one = np.repeat(np.arange(len(point)), around)
    step = np.arange(len(one)) - np.repeat(np.cumsum(around) - around, around)
    other = first[point[one]] + step
    mine, its = corner[one] // 3, corner[other] // 3
    smooth = np.einsum("ij,ij->i", unit[mine], unit[its]) > np.cos(SHARP)
    total = np.zeros((len(point), 3))
    for axis in range(3):
        total[:, axis] = np.bincount(one[smooth], weights=area[its[smooth], axis], minlength=len(point))
    normal = np.empty_like(total)
    normal[corner] = total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-300)

    key = np.column_stack([t.reshape(-1), np.round(normal * 1e3).astype(np.int64)])
    _, kept, label = np.unique(key, axis=0, return_index=True, return_inverse=True)
    return skin.points[t.reshape(-1)[kept]], normal[kept], label.reshape(-1, 3)
