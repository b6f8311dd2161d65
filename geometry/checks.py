"""Checks that every dimension of a part passes, in one wording."""

from dataclasses import fields
from math import isfinite
from typing import Any

from geometry.errors import ShapeError

# Thinner than this nobody mills a wall that carries load, and the mesh would need
# elements smaller than the wall. [mm]
LEAST_WALL_MM = 1.0

# Walls are differences of dimensions: one that is just thick enough may come out a
# few bits thinner. [mm]
ROUNDING_MM = 1e-9

# The parts of the lathes that this program is for are smaller than this. [mm]
LARGEST_MM = 1000.0


def require_length(part: str, field: str, value: float) -> None:
    """Refuse what cannot be a dimension. `value` [mm]."""
    if not (isfinite(value) and 0.0 < value <= LARGEST_MM):
        problem = f"{value:g} mm must be above 0 and at most {LARGEST_MM:g} mm"
        raise ShapeError(part, (field,), problem)


def require_lengths(part: str, shape: Any, signed: tuple[str, ...] = ()) -> None:
    """Check every plain number of a part; `signed` ones may be zero or negative."""
    for field in fields(shape):
        value = getattr(shape, field.name)
        if not isinstance(value, int | float):
            continue
        if field.name not in signed:
            require_length(part, field.name, value)
        elif not (isfinite(value) and abs(value) <= LARGEST_MM):
            problem = f"{value:g} mm must be a number within {LARGEST_MM:g} mm"
            raise ShapeError(part, (field.name,), problem)


def require_wall(
    part: str, where: str, wall: float, values: dict[str, float], advice: str
) -> None:
    """Refuse a wall that is too thin, or gone.

    Parameters
    ----------
    part : which part it is
    where : where the wall stands, as "under the slot"
    wall : its thickness, negative if gone [mm]
    values : the dimensions that collide, by their names [mm or degrees]
    advice : what to change
    """
    if wall >= LEAST_WALL_MM - ROUNDING_MM:
        return
    given = ", ".join(f"{name} = {value:g}" for name, value in values.items())
    problem = (
        f"{given} leave {wall:.4g} mm of wall {where}, at least "
        f"{LEAST_WALL_MM:g} mm is needed; {advice}"
    )
    raise ShapeError(part, tuple(values), problem)
