"""Ideal plane flow through a wheel of thin blades: exact, to hold slip against."""

import numpy as np


def swirl(*, blades: int, beta: float, radius_ratio: float, phi: float, vortices: int = 200) -> float:
    """Mean swirl behind the wheel over the tip speed, in a flow without friction and without rotation of its own.

    Blades of constant angle from the radius ``radius_ratio`` to 1, through-flow ``phi`` (radial over tip speed at radius 1), no swirl
    ahead. The flow in the frame at rest is a source on the axis and a vortex on each blade element; it follows the blades in the turning
    frame, and leaves them smoothly (vortices at a quarter, conditions at three quarters of each element: Kutta's condition follows).
    This is the flow that A. Busemann solved (ZAMM 8, 1928, from memory) and F. J. Wiesner's slip factor fits.
    """
    edges = 0.5 * (1 - np.cos(np.linspace(0, np.pi, vortices + 1)))

    def blade(share: np.ndarray) -> np.ndarray:
        r = radius_ratio + (1 - radius_ratio) * share
        return np.asarray(r * np.exp(-1j * np.tan(beta) * np.log(r / radius_ratio)))

    start, length = edges[:-1], np.diff(edges)
    vortex, at = blade(start + length / 4), blade(start + 3 * length / 4)
    along = blade(start + 3 * length / 4 + 1e-6) - blade(start + 3 * length / 4 - 1e-6)
    normal = 1j * along / np.abs(along)

    z = at[:, None]
    unit = (
        blades * z ** (blades - 1) / (z**blades - vortex**blades) / (2j * np.pi)
    )  # conjugate velocity of one row of vortices
    through = np.real(np.conj(unit) * np.conj(normal)[:, None])
    wanted = np.real((1j * at - phi * at / np.abs(at) ** 2) * np.conj(normal))
    return float(blades * np.linalg.solve(through, wanted).sum() / (2 * np.pi))
