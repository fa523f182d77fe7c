"""Losses of the impeller: one velocity triangle through all equations, and Daily and Nece's discs.

Regression on arithmetic with remembered equations (Coppage 1956, Jansen 1967, Oh 1997, Johnston and Dean 1966): made
apart from the code, they check the transcription, not the sources, none of which could be opened.
"""

import fluids
import numpy as np
import pytest

from aerodesign.aero.triangles import Triangle, euler_work, exit_triangle
from aerodesign.correlations import (
    blockage,
    clearance,
    curvature,
    friction,
    good_stage,
    incidence,
    inlet,
    leakage,
    loading,
    mixing,
    recirculation,
    volute,
)
from aerodesign.correlations.slip import wiesner
from aerodesign.correlations.windage import daily_nece, disc_torque_coefficient

U2, BETA2, BLADES = 210.0, np.radians(45), 14


@pytest.fixture
def known():
    """The wheel of the set: r2 180 mm, eye 30/90 mm, b2 18 mm, 14 blades at 45 degrees, 210 m/s."""
    slip = wiesner(beta2_blade=BETA2, blades_effective=BLADES, radius_ratio=0.5)
    exit = exit_triangle(u2=U2, cm2=0.28 * U2, beta2_blade=BETA2, slip=slip)
    tip = Triangle(u=U2 / 2, cm=75.0, cu=0.0)
    work = euler_work(inlet=tip, exit=exit)
    factor = loading.diffusion_factor(
        work=work, u2=U2, w1s=tip.w, w2=exit.w, blades_effective=BLADES, r1s=0.09, r2=0.18, splitters=0
    )
    return dict(slip=slip, exit=exit, tip=tip, work=work, diffusion_factor=factor)


def test_triangles(known):
    """Slip factor, velocities, flow angle, work and diffusion factor."""
    exit = known["exit"]
    assert known["slip"] == pytest.approx(0.867428, abs=5e-7)
    assert exit.cu == pytest.approx(123.3598, abs=5e-5)
    assert exit.c == pytest.approx(136.6568, abs=5e-5)
    assert exit.w == pytest.approx(104.7089, abs=5e-5)
    assert np.degrees(exit.alpha) == pytest.approx(64.515, abs=5e-4)
    assert known["tip"].w == pytest.approx(129.0349, abs=5e-5)
    assert known["work"] == pytest.approx(25905.56, abs=0.01)
    assert known["diffusion_factor"] == pytest.approx(0.299270, abs=5e-7)


def test_losses(known):
    """Loading, clearance of 0.5 mm, recirculation after Oh and Coppage, mixing with a fifth of the exit blocked."""
    exit, factor = known["exit"], known["diffusion_factor"]
    inlet_area = np.pi * (0.09**2 - 0.03**2)

    assert loading.coppage(diffusion_factor=factor, u2=U2) == pytest.approx(197.486, abs=5e-4)
    assert recirculation.oh(alpha2=exit.alpha, diffusion_factor=factor, u2=U2) == pytest.approx(23.369, abs=5e-4)
    assert recirculation.coppage(alpha2=exit.alpha, diffusion_factor=factor, u2=U2) == pytest.approx(114.418, abs=5e-4)
    mixed = mixing.johnston_dean(cm2=exit.cm, exit_blockage=0.2, b2=0.018, b3=0.018)
    assert mixed == pytest.approx(108.045, abs=5e-4)
    assert mixing.johnston_dean(cm2=exit.cm, exit_blockage=0.2, b2=0.018, b3=0.016) == mixed
    assert mixing.johnston_dean(cm2=exit.cm, exit_blockage=0.2, b2=0.018, b3=0.020) > mixed
    lost = clearance.jansen(
        tip_gap=0.0005, b2=0.018, cu2=exit.cu, cm1=75.0, blades_effective=BLADES, inlet_area=inlet_area,
        r1s=0.09, r2=0.18, rho1=1.18, rho2=1.25,
    )  # fmt: skip
    assert lost == pytest.approx(275.250, abs=1e-3)


@pytest.mark.parametrize(
    ("reynolds", "gap", "coefficient"),
    [(1e5, 0.05, 0.008672), (1e6, 0.02, 0.004856), (1e6, 0.1, 0.005112), (3e6, 0.05, 0.003829)],
    ids=["separate laminar", "merged turbulent", "separate turbulent", "separate turbulent, faster"],
)
def test_daily_nece_torque_coefficients(reynolds, gap, coefficient):
    """Torque coefficient of both sides in three of the regimes; laminar constants read, turbulent ones from memory."""
    assert disc_torque_coefficient(reynolds=reynolds, gap_ratio=gap) == pytest.approx(coefficient, abs=1e-6)


def test_daily_nece_border_of_the_laminar_regimes():
    """Merged layers give way to separate ones at a gap of 1.62 Re^(-5/11) (read): there the regimes agree."""
    reynolds = np.array([1e3, 3e3, 1e4])
    border = 1.62 * reynolds ** (-5 / 11)
    below = disc_torque_coefficient(reynolds=reynolds, gap_ratio=0.97 * border)
    above = disc_torque_coefficient(reynolds=reynolds, gap_ratio=1.03 * border)

    np.testing.assert_allclose(below, 2 * np.pi / (0.97 * border * reynolds), rtol=1e-12)
    np.testing.assert_allclose(above, 3.70 * (1.03 * border) ** 0.1 / np.sqrt(reynolds), rtol=1e-12)


def test_daily_nece_power():
    """A disc of 0.2 m at 200 m/s in air: 752.7 W on both sides with a gap of 5 %; the code's gap is 3 %."""
    disc = dict(r2=0.2, speed=1000.0, rho2=1.2, mu2=1.8e-5, mass_flow=0.7)
    both = daily_nece(**disc, disc_sides=2) * 0.7

    assert both == pytest.approx(752.7 * (0.03 / 0.05) ** 0.1, rel=1e-4)
    assert daily_nece(**disc, disc_sides=1) * 0.7 == pytest.approx(both / 2, rel=1e-12)


def test_jansen_skin_friction():
    """Lengths of the passage, mean velocity and loss for the same wheel, 70 mm long, blades at 25 and 55 degrees."""
    wheel = dict(
        r1h=0.03,
        r1s=0.09,
        r2=0.18,
        b2=0.018,
        beta1h_blade=np.radians(25),
        beta1s_blade=np.radians(55),
        beta2_blade=BETA2,
    )
    length = friction.blade_length(**wheel, axial_length=0.070)
    diameter = friction.hydraulic_diameter(**wheel, inlet_height=0.06, blades=BLADES, blades_effective=BLADES)
    assert length == pytest.approx(0.1964786, rel=1e-6)
    assert diameter == pytest.approx(0.0286449, rel=1e-6)

    lost = friction.jansen(
        blade_length=length, hydraulic_diameter=diameter, roughness=3.2e-6, cm1=75.0, c2=136.6568, w1h=82.7647,
        w1s=129.0349, w2=104.7089, rho1=1.18, mu1=1.82e-5,
    )  # fmt: skip
    assert lost == pytest.approx(591.2615, rel=1e-6)


def test_aungier_blockage():
    """Friction's, diffusion's and half the gap's part."""
    found = blockage.aungier(
        friction_loss_ratio=0.1, hydraulic_diameter=0.02, blade_length=0.12, b2=0.02, w1=120.0, w2=100.0, rho1=1.2,
        rho2=1.3, inlet_area=0.02, beta1_blade=np.radians(50), beta2_blade=np.radians(40), r2=0.15, tip_gap=0.0005,
    )  # fmt: skip
    assert found == pytest.approx(0.2449071, rel=1e-6)


def test_aungier_hub_to_shroud_loading():
    """A right-angled bend of 100 mm, 39 mm wide on average, at 110 m/s."""
    passage = dict(w1=120.0, w2=100.0, inlet_height=0.06, b2=0.018, meridional_length=0.1)
    assert curvature.aungier(**passage, b1=0.0) == pytest.approx(378.4191, rel=1e-6)
    assert curvature.aungier(**passage, b1=0.06) == 0, "blades that begin at a cylinder hold no bend"


def test_ito_nanbu_friction_of_rotating_pipes():
    """From memory, so held against itself: nothing at K = 1, both branches alike at K = 500, half more in a blower's passage."""

    def ratio(K):
        # Re = 1e5 in a bore of 20 mm: (Omega d^2 / nu)^2 = K Re.
        nu, d, re = 1.5e-5, 0.02, 1e5
        return friction.ito_nanbu(
            speed=np.sqrt(K * re) * nu / d**2, hydraulic_diameter=d, w1=re * nu / d, rho1=1.2, mu1=1.2 * nu
        )

    assert ratio(1.0) == pytest.approx(1, abs=1e-12)
    assert ratio(0.01) == pytest.approx(1, abs=1e-12)
    assert ratio(499.9) == pytest.approx(ratio(500.1), rel=0.008)
    assert ratio(12_500.0) == pytest.approx(0.942 * 12_500**0.05, rel=1e-9)
    assert ratio(12_500.0) == pytest.approx(1.51, abs=0.005)


def test_labyrinth_leakage():
    """0.3 mm over an eye of 90 mm, 17 kPa less the core's rotation, four teeth."""
    seal = dict(r1s=0.09, r2=0.18, speed=1200.0, p1=98e3, rho2=1.25, mass_flow=1.0, work=26e3)
    assert leakage.labyrinth(**seal, seal_gap=0.0003, p2=115e3) == pytest.approx(262.13, rel=1e-6)
    assert leakage.labyrinth(**seal, seal_gap=0.0003, p2=99e3) == 0


@pytest.mark.parametrize("model", [incidence.galvas, incidence.conrad])
def test_no_incidence_loss_where_the_narrowed_flow_follows_the_blades(model):
    """Blades take the part B of the way: the flow speeds up by 1/(1-B) and then has the blade's direction (continuity)."""
    blade, part, cm = np.radians(50), 0.15, 80.0
    u = cm / (1 - part) * np.tan(blade)
    fits = dict(beta1_blade=blade, inlet_blockage=part)

    assert model(w1=np.hypot(cm, u), beta1=np.arctan(u / cm), **fits) == pytest.approx(0, abs=1e-9)
    assert model(w1=np.hypot(cm, 0.9 * u), beta1=np.arctan(0.9 * u / cm), **fits) > 1
    assert model(w1=np.hypot(cm, 1.1 * u), beta1=np.arctan(1.1 * u / cm), **fits) > 1


def test_conrad_takes_six_tenths_of_the_lost_whirl():
    """Without blockage: 0.6 of half the square of the difference of relative whirl."""
    cm, u = 80.0, 120.0
    lost = incidence.conrad(
        w1=np.hypot(cm, u), beta1=np.arctan(u / cm), beta1_blade=np.arctan(100 / cm), inlet_blockage=0.0
    )
    assert lost == pytest.approx(0.6 * 20.0**2 / 2, rel=1e-12)


def test_volute_and_inlet():
    """Tangential mismatch at S = 2 and 1/2, meridional dump, bell and elbow: simple shares of kinetic energies."""
    volute_ = dict(r3=0.2, r4=0.25, cu3=100.0)
    assert volute.tangential_mismatch(volute_mismatch=2.0, **volute_) == pytest.approx(4000 * 0.5 * 0.75, rel=1e-12)
    assert volute.tangential_mismatch(volute_mismatch=0.5, **volute_) == pytest.approx(4000, rel=1e-12)
    assert volute.borda_carnot(volute_mismatch=2.0, **volute_) == pytest.approx((80 - 40) ** 2 / 2, rel=1e-12)
    assert volute.borda_carnot(volute_mismatch=0.5, **volute_) == pytest.approx((80 - 160) ** 2 / 2, rel=1e-12)
    assert volute.meridional_dump(cm3=40.0) == pytest.approx(800, rel=1e-12)
    axial = dict(cm1=80.0, r1s=0.1, b1=0.0)
    assert inlet.bell(**axial) == pytest.approx(160, rel=1e-12)
    assert inlet.elbow(**axial) == pytest.approx(800, rel=1e-12)


def test_the_turn_ahead_of_a_cylindrical_leading_edge():
    """An eye of radius r passes what crosses the cylinder 2 pi r b1; the turn is an elbow's after Rennels (library fluids)."""
    elbow = fluids.bend_rounded(Di=0.2, angle=90, fd=0.018, bend_diameters=1.0, method="Rennels")
    eye = 30.0 * 2 * 0.04 / 0.1
    turned = inlet.bell(cm1=30.0, r1s=0.1, b1=0.04)
    assert turned == pytest.approx((0.05 + elbow) * eye**2 / 2, rel=0.02)


def test_the_throat_costs_more_than_the_turn_at_low_flow_and_nothing_at_high():
    """Aungier 2000 (from memory): nothing at the optimum, both signs of incidence cost, the throat's diffusion only low flow."""
    blade, u = np.radians(50), 82.0

    def loss(cm):
        beta = np.arctan(u / cm)
        return incidence.aungier(
            w1=np.hypot(u, cm), beta1=beta, beta1_blade=blade, inlet_blockage=0.0, w_throat=cm / np.cos(blade)
        )  # fmt: skip

    matched = u / np.tan(blade)
    assert loss(matched) == pytest.approx(0, abs=1e-9)
    assert loss(1.3 * matched) > 0
    low = 0.6 * matched
    w1 = np.hypot(u, low)
    assert loss(low) == pytest.approx(0.8 * (1 - low / np.cos(blade) / w1) ** 2 * w1**2 / 2)
    assert loss(low) > 0.8 * (1 - np.cos(np.arctan(u / low)) / np.cos(blade)) ** 2 * w1**2 / 2 - 1e-9


@pytest.mark.parametrize(
    ("flow_coefficient", "efficiency"), [(0.02, 0.7207), (0.04, 0.8118), (0.06, 0.8500), (0.08, 0.8600), (0.10, 0.8566)]
)
def test_good_stages_after_robinson_casey_woods(flow_coefficient, efficiency):
    """Arithmetic with the remembered equation, made apart from the code."""
    assert good_stage.robinson_casey_woods(flow_coefficient=flow_coefficient) == pytest.approx(efficiency, abs=1e-4)
