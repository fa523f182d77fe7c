"""The usual cautions where a machine can hurt someone; every page carries them."""

CAUTIONS = (
    ("Rotating parts", "Guard the wheel, the coupling and both openings. Lock the drive out before anyone reaches in: air from a "
     "second blower or a wind can turn a wheel that is switched off."),
    ("Burst", "The disc's stress here is that of a plain model, with strengths from memory. Before a wheel turns it needs a stress analysis of the "
     "whole, with overspeed, fatigue, temperature and the real material; then balancing and an overspeed test behind a barrier, and a casing "
     "and guard that hold the pieces."),
    ("Pressure", "Casing, pipes and receivers can fail. Check them for the highest pressure with the outlet shut and, in vacuum service, "
     "for the suction with the inlet shut; fit relief where a code asks for it."),
    ("Surge", "Below the stall band the flow can break down and reverse violently. Keep the machine off that region by control or blow-off."),
    ("Noise", "Blowers of this kind usually need silencers, lagging and hearing protection. Measure; the estimate here decides nothing."),
    ("Hot surfaces", "Discharge pipes and casings burn skin, and throttled machines run hotter than the design point tells."),
    ("Electricity", "Motors and inverters kill, also for minutes after they are switched off. Only licensed people may connect them."),
    ("Explosive or poisonous gas", "Flammable, toxic or dusty gases need materials, seals, clearances and zones that nothing here considers."),
)  # fmt: skip
"""Head and words."""

DEFERENCE = (
    "This is a preliminary design. It replaces neither the codes and laws of the place where the machine is built and run nor the judgement "
    "of a licensed engineer, and both go before it."
)
