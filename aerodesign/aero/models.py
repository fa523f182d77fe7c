"""Which correlation describes which phenomenon, and what a calibration changes about it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from aerodesign.core.correlation import REGISTRY
from aerodesign.core.errors import CaseError
from aerodesign.correlations import (
    blockage,
    clearance,
    cone,
    cordier,
    curvature,
    friction,
    good_stage,
    incidence,
    inlet,
    leakage,
    loading,
    mixing,
    preswirl,
    recirculation,
    slip,
    stall,
    vaneless,
    volute,
    windage,
)

Function = Callable[..., Any]


@dataclass(frozen=True)
class Models:
    """One function per phenomenon. ``factors`` multiplies a phenomenon's result, ``offsets`` adds to it afterwards:
    for calibration, uncertainty and losses switched off (factor 0). Both may hold arrays, one value per design.
    """

    inlet: Function = inlet.bell
    preswirl: Function = preswirl.guide_vanes
    slip: Function = slip.wiesner
    blockage: Function = blockage.aungier
    incidence: Function = incidence.galvas
    loading: Function = loading.coppage
    curvature: Function = curvature.aungier
    rotation: Function = friction.ito_nanbu
    friction: Function = friction.jansen
    clearance: Function = clearance.jansen
    mixing: Function = mixing.johnston_dean
    windage: Function = windage.daily_nece
    recirculation: Function = recirculation.coppage
    leakage: Function = leakage.labyrinth
    vaneless: Function = vaneless.japikse
    volute_dump: Function = volute.meridional_dump
    volute_mismatch: Function = volute.borda_carnot
    volute_friction: Function = volute.spiral_friction
    cone: Function = cone.rennels
    stall: Function = stall.senoo_kinoshita
    cordier: Function = cordier.backswept_line
    good_stage: Function = good_stage.robinson_casey_woods
    factors: Mapping[str, Any] = field(default_factory=dict)
    offsets: Mapping[str, Any] = field(default_factory=dict)

    def adjusted(self, phenomenon: str, value: Any) -> Any:
        """A phenomenon's value with its factor and offset, where it has them."""
        if phenomenon in self.factors:
            value = value * self.factors[phenomenon]
        return value + self.offsets[phenomenon] if phenomenon in self.offsets else value

    def distorted(self, distortion: Any) -> "Models":
        """Models whose exit blockage is larger by a distortion of the core flow, which boundary layers know nothing of."""
        return replace(self, offsets={**self.offsets, "blockage": self.offsets.get("blockage", 0.0) + distortion})

    def functions(self) -> dict[str, Function]:
        """Phenomenon and function, in the order of the flow."""
        return {f.name: getattr(self, f.name) for f in fields(self) if f.name not in ("factors", "offsets")}


def models_named(names: Mapping[str, str]) -> Models:
    """Models with some functions replaced by name: ``{"slip": "stanitz"}``. Raises CaseError for an unknown name."""
    phenomena = Models().functions()
    chosen: dict[str, Any] = {}
    for phenomenon, name in names.items():
        if phenomenon not in phenomena:
            raise CaseError(f"models.{phenomenon}: no such phenomenon; there are {', '.join(phenomena)}")
        choice = REGISTRY[phenomenon]
        if name not in choice:
            raise CaseError(f'models.{phenomenon} = "{name}": no such correlation; there are {", ".join(choice)}')
        chosen[phenomenon] = choice[name]
    return Models(**chosen)
