"""What the records know is said in words."""

import numpy as np

from fea.measurement.case_sets import StackSets
from fea.measurement.identifiability import identifiability

COUNT = 400


def sets(ways: np.ndarray, base: np.ndarray, tool: np.ndarray) -> StackSets:
    """Make a stack of three members with these parts in the motion. [um each N]."""
    total = ways + base + tool
    none = np.full(COUNT, 1.0)
    return StackSets(
        name="quick-change",
        depth_mm=np.array([1.0]),
        deflection_um=np.ones((COUNT, 1, 3)),
        stiffness_n_per_um=1.0 / total,
        shares={
            "way near work": ways / total,
            "base": base / total,
            "tool bit": tool / total,
        },
        limit_mm=none,
        smallest_mm=none,
        damping_ratio=none,
    )


def drawn(random: np.random.Generator, middle: float, spread: float) -> np.ndarray:
    return middle * np.exp(spread * random.standard_normal(COUNT))


def test_two_members_whose_sum_alone_is_known_are_named() -> None:
    random = np.random.default_rng(1)
    before = sets(*(drawn(random, 0.03, 0.5) for _ in range(3)))
    ways = random.uniform(0.01, 0.05, COUNT)
    together = 0.06 + 0.001 * random.standard_normal(COUNT)
    after = sets(ways, together - ways, drawn(random, 0.03, 0.5))
    said = " ".join(identifiability(before, after).sentences)
    assert "cannot tell the way near work from the base" in said
    assert "the tool bit" in said.partition("next to nothing about: ")[2]


def test_members_that_are_each_known_are_not_confused() -> None:
    random = np.random.default_rng(2)
    before = sets(*(drawn(random, 0.03, 0.5) for _ in range(3)))
    after = sets(*(drawn(random, 0.03, 0.05) for _ in range(3)))
    found = identifiability(before, after)
    assert found.confused == ()
    assert "These records tell how much gives" in " ".join(found.sentences)
    assert all(each.spread < 0.2 for each in found.members)
