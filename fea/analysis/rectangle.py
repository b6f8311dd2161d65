"""Pads drawn in the machine frame."""

import numpy as np

from geometry.pad import FloatArray, Pad, as_vector

X, Y, Z = np.eye(3)

Range = tuple[float, float]


def rectangle(
    name: str,
    corner: FloatArray,
    first: FloatArray,
    second: FloatArray,
    along: Range,
    across: Range,
) -> Pad:
    """Pad between two pairs of distances from a point. [mm].

    Parameters
    ----------
    name : of the pad
    corner : (3,) the point
    first, second : (3,) unit vectors; the normal is first x second
    along, across : from and to along `first` and `second`
    """
    middle = corner + sum(along) / 2.0 * first + sum(across) / 2.0 * second
    return Pad(
        name=name,
        centre=as_vector(middle),
        first=as_vector(first),
        second=as_vector(second),
        half_sizes=((along[1] - along[0]) / 2.0, (across[1] - across[0]) / 2.0),
    )


def square(
    name: str, centre: FloatArray, first: FloatArray, second: FloatArray, side: float
) -> Pad:
    """Square pad about a point. [mm]."""
    half = side / 2.0
    return rectangle(name, centre, first, second, (-half, half), (-half, half))


def frame(
    name: str,
    centre: FloatArray,
    first: FloatArray,
    second: FloatArray,
    sides: tuple[float, float],
    window: tuple[float, float],
) -> Pad:
    """Rectangle about a point, a window in its middle, both by their sides. [mm]."""
    return Pad(
        name=name,
        centre=as_vector(centre),
        first=as_vector(first),
        second=as_vector(second),
        half_sizes=(sides[0] / 2.0, sides[1] / 2.0),
        window=(window[0] / 2.0, window[1] / 2.0),
    )
