"""Loading and unloading of a push test: what its order allows."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import copysign, dist, hypot

from fea.measurement.plausible_limit import load_limits
from fea.measurement.record import PushReading, Spot

# Cosine from which two directions count as one (within 45 degrees).
ALIKE = 0.7

# A reading counts as different from another, or from zero, by so many deviations:
# chance alone does that to one in four hundred.
SURE = 3.0

# Two forces count as equal within what a scale repeats (assumed).
_SAME_FORCE = 0.01


def cosine(push: PushReading) -> float:
    """Return the cosine between force and reading."""
    one, other = push.force_along, push.read_along
    return one.x * other.x + one.y * other.y + one.z * other.z


def is_one_point(push: PushReading) -> bool:
    """Whether the indicator reads along the force, where the force acts."""
    if abs(cosine(push)) < ALIKE or push.force_at.part != push.read_at.part:
        return False
    return (
        dist(_point(push.force_at), _point(push.read_at)) <= load_limits()["near"].high
    )


def _point(spot: Spot) -> tuple[float, float, float]:
    return spot.x_mm, spot.y_mm, spot.z_mm


def order_problems(pushes: Sequence[PushReading]) -> list[str]:
    """Return what is out of order, test by test.

    Rows that follow each other with the same points and directions are one test.
    """
    return [
        text
        for _, test in groupby(pushes, key=_set_up)
        for text in _test_problems(tuple(test))
    ]


def _set_up(push: PushReading) -> tuple[object, ...]:
    points = (push.force_at, push.force_along, push.read_at, push.read_along)
    return (push.stack, push.overhang_mm, *points)


def _test_problems(test: Sequence[PushReading]) -> Iterator[str]:
    loaded: list[PushReading] = []
    before: PushReading | None = None
    for push in test:
        if push.phase == "loading":
            loaded.append(push)
        else:
            yield from _unloading_problems(push, loaded, before)
        before = push


def _unloading_problems(
    push: PushReading, loaded: Sequence[PushReading], before: PushReading | None
) -> Iterator[str]:
    where = f"{push.source}, column 'phase'"
    if not loaded or before is None:
        yield (
            f"{where}: unloading, but no loading of this test stands above it; write "
            "the rows in the order of the readings, loading first"
        )
        return
    slack = 1.0 + _SAME_FORCE
    largest = max(one.force_n for one in loaded)
    if push.force_n > largest * slack:
        yield (
            f"{where}: unloading at {push.force_n:.4g} N, above the largest load "
            f"before it, {largest:.4g} N; write loading, or put the rows in their order"
        )
    elif before.phase == "unloading" and push.force_n > before.force_n * slack:
        yield (
            f"{where}: unloading, but the force grows from {before.force_n:.4g} to "
            f"{push.force_n:.4g} N; write loading, or put the rows in their order"
        )
    else:
        yield from _gain_problems(push, loaded)


def _gain_problems(push: PushReading, loaded: Sequence[PushReading]) -> Iterator[str]:
    """Friction holds motion back: on its way down a point lags, it never leads."""
    if not is_one_point(push):
        return
    for one in loaded:
        if abs(one.force_n - push.force_n) > _SAME_FORCE * push.force_n:
            continue
        lead = (one.reading_um - push.reading_um) * copysign(1.0, cosine(push))
        if lead > SURE * hypot(one.uncertainty_um, push.uncertainty_um):
            yield (
                f"{push.source}, column 'reading': {push.reading_um:g} um on the way "
                f"down, but {one.reading_um:g} um at the same {push.force_n:.4g} N on "
                f"the way up (line {one.source.line}): friction leaves more motion on "
                "the way down, never less; are the phases swapped, or did the "
                "indicator move?"
            )
            return
