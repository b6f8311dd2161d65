"""Bands of shares, for members as the report counts them."""

from fea.analysis.member import kind_name
from fea.analysis.result import StackResult

Ends = tuple[float, float]


def share_bands(stack: StackResult) -> dict[str, Ends]:
    """Low and high share of every member, numbered ones of a kind added up.

    Adding up ends makes the band of several screws a little too wide: as if the
    constants that favour one favoured all.
    """
    bands: dict[str, Ends] = {}
    for name, (low, high) in stack.bands.shares.items():
        kind = kind_name(name)
        a, b = bands.get(kind, (0.0, 0.0))
        bands[kind] = (a + low, b + high)
    return bands
