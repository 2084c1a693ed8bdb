"""Checks of what is fed and what is carried over, by units, roots and prints from outside."""

import math

import numpy as np
from scipy import integrate, optimize

from rackview.science import feeding, transfer
from tests.science.checks import PINT, SCIPY, Check, magnitude, q

FEEDING = [
    Check(
        "feeding",
        "feeding.dose_g",
        "any",
        PINT,
        lambda: magnitude(q(5e6, "") * q(0.6, "g") / 1e6 / q(1, "day") * q(36, "hour"), "g"),
        lambda: feeding.dose_g(5e6, 0.6, 1.5),
    ),
    Check(
        "feeding",
        "feeding.implied_ration",
        "any",
        PINT,
        lambda: magnitude(q(750, "mg") / q(2.5, ""), "g"),
        lambda: feeding.implied_ration(0.75, 2.5e6),
    ),
    Check(
        "feeding",
        "feeding.concentrate_strength",
        "any",
        PINT,
        lambda: magnitude(q(12, "percent") * q(1.05, "kg/L"), "g/mL"),
        lambda: feeding.concentrate_strength(12, 1.05),
    ),
    Check(
        "feeding",
        "feeding.dose_ml",
        "any",
        PINT,
        lambda: magnitude(q(1.5, "g") / q(120, "mg/mL"), "mL"),
        lambda: feeding.dose_ml(1.5, 0.12),
    ),
    Check(
        "feeding",
        "feeding.grams_of_cells",
        "any",
        PINT,
        lambda: magnitude(1.3e11 * q(6.1, "pg"), "g"),
        lambda: feeding.grams_of_cells(1.3e11, 6.1),
    ),
    Check(
        "feeding",
        "feeding.cells_in_grams",
        "any",
        PINT,
        lambda: magnitude(q(0.5, "g") / q(168.2, "pg"), ""),
        lambda: feeding.cells_in_grams(0.5, 168.2),
    ),
    Check(
        "feeding",
        "feeding.ration_from_cells",
        "any",
        PINT,
        lambda: magnitude(1e6 * 1.3e5 * q(6.1, "pg"), "g"),
        lambda: feeding.ration_from_cells(1.3e5, 6.1),
    ),
    Check(
        "feeding",
        "feeding.ration_from_body",
        "any",
        PINT,
        lambda: magnitude(1e6 * q(0.5, "ug") * 0.75, "g"),
        lambda: feeding.ration_from_body(0.5, 0.75),
    ),
    Check(
        "feeding",
        "feeding.dose_for_cells",
        "any",
        f"root of the mass balance by {SCIPY}",
        lambda: optimize.brentq(lambda v: (2e5 * 2e4 + 5e7 * v) / (2e4 + v) - 1e6, 0, 1e4, xtol=1e-12),
        lambda: feeding.dose_for_cells(20, 1e6, 2e5, 5e7),
    ),
    Check(
        "feeding",
        "feeding.cell_volume_um3",
        "any",
        f"solid of revolution by {SCIPY}",
        lambda: integrate.quad(lambda x: math.pi * (2.5**2 - x * x), -2.5, 2.5)[0],
        lambda: feeding.cell_volume_um3(5.0),
    ),
    Check(
        "feeding",
        "feeding.ration_doubt",
        "believable",
        "rations measured: 0.86 and 0.72 g per million a day, Lebedeva & Orlenko 1995; 0.8 and 2.0, Attramadal & "
        "Sandvand 1993",
        lambda: 1.0,
        lambda: float(not any(feeding.ration_doubt(r) for r in (0.86, 0.72, 0.8, 2.0))),
    ),
    Check(
        "feeding",
        "feeding.ration_doubt",
        "beyond belief",
        "24,699 cells a minute are 217 g per million: Savas & Guclu 2006, Isr. J. Aquacult. 58:39-45",
        lambda: 1.0,
        lambda: float(bool(feeding.ration_doubt(217))),
    ),
]


TRANSFER = [
    Check(
        "transfer",
        "transfer.animals_in",
        "any",
        PINT,
        lambda: magnitude(q(21.4, "L") * q(1149, "1/mL"), ""),
        lambda: transfer.animals_in(21.4, 1149),
    ),
    Check(
        "transfer",
        "transfer.harvest_volume",
        "any",
        PINT,
        lambda: magnitude(q(2e6, "") / (q(180, "1/mL") * 0.9), "L"),
        lambda: transfer.harvest_volume(2e6, 180, 0.9),
    ),
    Check(
        "transfer",
        "transfer.enrichment_volume",
        "any",
        PINT,
        lambda: magnitude(q(2e6, "") / q(400, "1/mL"), "L"),
        lambda: transfer.enrichment_volume(2e6, 400),
    ),
    Check(
        "transfer",
        "transfer.enrichment_doses",
        "any",
        PINT,
        lambda: magnitude(q(2, "L") * q(300, "mg/L") / 3, "g"),
        lambda: transfer.enrichment_doses(2, 300, 3)[0],
    ),
    Check(
        "transfer",
        "transfer.per_cm2",
        "any",
        PINT,
        lambda: magnitude(q(5, "1/mL") * q(10, "L") / q(0.25, "m^2"), "1/cm^2"),
        lambda: transfer.per_cm2(5, 10, 2500),
    ),
    Check(
        "transfer",
        "transfer.most_to_take",
        "any",
        f"root of the refilled density by {SCIPY}",
        lambda: optimize.brentq(lambda v: 200 * (20 - v) / 20 - 60, 0, 20),
        lambda: transfer.most_to_take(20, 200, 60),
    ),
    Check(
        "transfer",
        "transfer.starter_volume",
        "any",
        "volumes and animals as two equations by numpy.linalg.solve",
        lambda: np.linalg.solve([[1, 1], [200, 0]], [10, 10 * 60])[0],
        lambda: transfer.starter_volume(10, 60, 200),
    ),
    Check(
        "transfer",
        "transfer.move",
        "any",
        "donor, new water and receiver as three equations by numpy.linalg.solve",
        lambda: np.linalg.solve([[200, 0, 0], [200, 20, 0], [1, 0, 1]], [10 * 60, 200 * 20, 20])[1],
        lambda: transfer.move(20, 200, 10, 60, 60).donor_per_ml,
    ),
]
