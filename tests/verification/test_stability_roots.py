"""Limits against the roots of the delay equation, at random depths and speeds.

The roots come from collocation (see `tests/delay_equation.py`), which knows no phases,
no lobes and no eigenvalue of a loop. It is checked itself against semi-discretisation
of the mode of a course's exercise, whose numbers were recomputed apart from this code.

Systems are drawn: two modes in space, a nose, an entering angle, process damping with
friction or without. A point is left out where 2 % more or less cutting force would turn
the roots' own answer.
"""

import numpy as np
import pytest
from delay_equation import growth_rate

from fea.core.modal_model import ModalModel, receptance
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import (
    EngagedEdge,
    cutting_matrix,
    force_slopes,
    rubbing_matrix,
    turning_edge,
)
from fea.machining.stability import EdgeGrid, limits_at, search_frequencies
from fea.machining.work_material import load_work_materials

STEEL = load_work_materials()["low_carbon_steel"]
DEPTHS = np.geomspace(0.1, 20.0, 13)
DIAMETER_MM = 40.0
FRICTION = 0.3
SYSTEMS, SPEEDS, POINTS = 6, 20, 2
BOUNDARY = 0.02


def test_the_roots_are_those_of_semi_discretisation() -> None:
    # 250 Hz, 0.012, 2.26e8 N/m at 30 degrees, 1000 MPa, 8664.3 rev/min: radius after a
    # revolution 0.9965, 0.99997 and 1.0034 at 0.97, 1 and 1.03 of 7.3188 mm.
    tilt = np.radians(30.0)
    size = 2.0 * np.pi * 250.0 / np.sqrt(2.26e5)
    model = ModalModel(
        frequency_hz=np.array([250.0]),
        damping_ratio=np.array([0.012]),
        shapes=size * np.array([[np.sin(tilt), np.cos(tilt), 0.0]]),
        residual=np.zeros((3, 3)),
    )
    revolution = 60.0 / 8664.3
    rates = [
        growth_rate(
            model,
            7.3188 * share * 1000.0 * np.diag([0.0, 1.0, 0.0]),
            np.zeros((3, 3)),
            revolution,
        )
        for share in (0.97, 1.0, 1.03)
    ]
    # The printed digits; semi-discretisation itself stops at a few 1e-5.
    assert np.exp(np.array(rates) * revolution) == pytest.approx(
        [0.9965, 0.99997, 1.0034], abs=1e-4
    )


def drawn_model(random: np.random.Generator) -> ModalModel:
    frequency = np.sort(random.uniform(120.0, 600.0, 2))
    stiffness = 10.0 ** random.uniform(4.0, 5.0, 2)
    direction = random.normal(size=(2, 3))
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    return ModalModel(
        frequency_hz=frequency,
        damping_ratio=random.uniform(0.015, 0.05, 2),
        shapes=direction * (2.0 * np.pi * frequency / np.sqrt(stiffness))[:, None],
        residual=np.zeros((3, 3)),
    )


def drawn_cut(random: np.random.Generator) -> Cut:
    return Cut(
        feed_mm=random.uniform(0.05, 0.2),
        entering_angle_deg=random.uniform(45.0, 95.0),
        nose_radius_mm=random.uniform(0.0, 0.8),
        rake_deg=0.0,
    )


def grid(cut: Cut, edge: EngagedEdge, rubbing: float) -> EdgeGrid:
    return EdgeGrid(
        depth_mm=edge.depth_mm,
        cutting=cutting_matrix(edge, force_slopes(STEEL, cut, edge)),
        damping=rubbing_matrix(edge, rubbing, FRICTION),
    )


def verdicts(
    model: ModalModel, cut: Cut, rubbing: float, random: np.random.Generator
) -> list[tuple[bool, bool]]:
    """Whether points chatter, by limit and by roots; clear points only."""
    frequency = search_frequencies(model)
    speeds = 60.0 * model.frequency_hz[0] / random.uniform(0.4, 6.0, SPEEDS)
    limits = limits_at(
        frequency,
        receptance(model, frequency),
        grid(cut, turning_edge(cut, DEPTHS), rubbing),
        speeds,
        DIAMETER_MM,
    ).depth_mm
    found = []
    for speed, limit in zip(speeds, limits, strict=True):
        middle = limit if np.isfinite(limit) else 10.0
        for depth in middle * np.exp(random.uniform(-0.7, 0.5, POINTS)):
            one = grid(cut, turning_edge(cut, np.array([depth])), rubbing)
            drag = one.damping[0] * 60.0 / (np.pi * DIAMETER_MM * speed)
            grows = [
                growth_rate(model, one.cutting[0] * harder, drag, 60.0 / speed) > 0.0
                for harder in (1.0 - BOUNDARY, 1.0 + BOUNDARY)
            ]
            if grows[0] == grows[1] and DEPTHS[0] < depth < DEPTHS[-1]:
                found.append((bool(depth > limit), grows[0]))
    return found


@pytest.mark.parametrize("rubbing", [0.0, 20.0, 200.0])
def test_limits_and_roots_agree_at_random_points(rubbing: float) -> None:
    random = np.random.default_rng(7)
    found = [
        each
        for _ in range(SYSTEMS)
        for each in verdicts(drawn_model(random), drawn_cut(random), rubbing, random)
    ]
    by_limit, by_roots = np.array(found).T
    assert len(found) >= 200
    assert 0.2 < by_roots.mean() < 0.8  # both kinds are there
    assert (by_limit == by_roots).all()
