"""The uncut chip of longitudinal turning: how thick it is along the engaged edge.

Seen in the reference plane, x points away from the work and y toward the tailstock;
the tool is fed toward -y. The edge rises from the nose arc's lowest point (0, 0) to
the main edge on the headstock's side and to the minor edge on the other. A place on
the edge is named by the angle a of its normal (cos a, sin a), which points from the
work into the tool: a = entering angle on the main edge, 0 at the lowest point, and
below 0 behind it, where the nose grazes the ridge of the revolution before.

The chip is what lies between the edge, its position one feed earlier (the same
profile moved by +feed along y) and the unmachined surface x = depth:

* on the nose, below the height where the arc meets the straight edge (or stands at
  right angles to the feed), thickness is measured along the edge's normal, up to the
  earlier edge or up to that height, whichever is met first;
* above, the chip is sliced along the feed, which gives thickness feed * sin(a) and
  width d(depth)/sin(a): the nominal chip of ISO 3002-3, to which Kienzle's constants
  belong.

Each point of the chip belongs to exactly one piece of the edge, so the areas add up
to depth * feed less the ridge that the nose leaves behind.

Assumed of the minor edge: it stays clear of the work, so the ridge is cut by the nose
arc alone. Where the feed is so coarse for the nose that a ridge would stand above the
height named first, the chip above it keeps its nominal thickness.
"""

from dataclasses import dataclass

import numpy as np

from fea.machining.cut import Cut
from geometry.errors import InputError
from geometry.pad import FloatArray

GAUSS_POINTS = 24
"""Per smooth piece of the nose: the force is then good to better than 1e-6."""
_POINT, _WEIGHT = np.polynomial.legendre.leggauss(GAUSS_POINTS)
_UNIT = 0.5 * (_POINT + 1.0)
# Thickness vanishes at the ends of a piece, and a fractional power of it has no
# bounded slope there; s = u²(3 - 2u) crowds the points at both ends and cures that.
_STATION = _UNIT**2 * (3.0 - 2.0 * _UNIT)
_STATION_WEIGHT = 0.5 * _WEIGHT * 6.0 * _UNIT * (1.0 - _UNIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipElements:
    """The engaged edge in short pieces, one row for each depth.

    Parameters
    ----------
    width_mm : (n_depth, n_element) length of edge; 0 where a piece is not engaged
    thickness_mm : (n_depth, n_element) local thickness of the uncut chip
    area_mm2 : (n_depth, n_element) cross-section that the piece removes
    normal_angle : (n_depth, n_element) [rad], a of the normal (cos a, sin a)
    """

    width_mm: FloatArray
    thickness_mm: FloatArray
    area_mm2: FloatArray
    normal_angle: FloatArray


def require_depths(depth_mm: float | FloatArray) -> FloatArray:
    """Depths as an array of at least one dimension, refused if not usable.

    Parameters
    ----------
    depth_mm : () or (n,) [mm]

    Returns
    -------
    (n,) [mm]

    Raises
    ------
    InputError
        A depth is negative or not a number, or the array has two dimensions.
    """
    depths = np.atleast_1d(np.asarray(depth_mm, dtype=float))
    if depths.ndim != 1:
        message = f"depth_mm has shape {depths.shape}: give one number or a plain list"
        raise InputError(message)
    bad = ~np.isfinite(depths) | (depths < 0.0)
    if bad.any():
        message = f"depth_mm = {depths[bad][0]:g} mm: must be a number, 0 or greater"
        raise InputError(message)
    return depths


def chip_elements(cut: Cut, depth_mm: float | FloatArray) -> ChipElements:
    """Pieces of the engaged edge, each with the chip that it removes.

    Parameters
    ----------
    cut : feed and shape of the edge
    depth_mm : () or (n,) depth of cut. [mm]

    Returns
    -------
    ChipElements
        Arrays (n, n_element), of which the last two columns are the straight edge
        and the remainder: the chip that no normal of the nose reaches, which happens
        only if the feed is greater than the nose radius.

    Raises
    ------
    InputError
        A depth is negative or not a number.
    """
    depths = require_depths(depth_mm)
    nose_top = np.minimum(depths, _nose_height(cut))
    top = _angle_at(cut, nose_top)
    start, split = _nose_limits(cut, top)
    pieces = [
        _nose_piece(cut, start, split, None),
        _nose_piece(cut, split, top, nose_top),
    ]
    if cut.entering_angle > np.pi / 2.0:
        pieces.append(_overhanging_piece(cut, depths))
    pieces.append(_straight_piece(cut, depths))
    pieces.append(_remainder(cut, top, nose_top, pieces[:2]))
    columns = (np.concatenate(parts, axis=1) for parts in zip(*pieces, strict=True))
    width, thickness, area, angle = columns
    return ChipElements(
        width_mm=width, thickness_mm=thickness, area_mm2=area, normal_angle=angle
    )


_Piece = tuple[FloatArray, FloatArray, FloatArray, FloatArray]
"""Width, thickness, area, angle of the normal."""


def _nose_height(cut: Cut) -> float:
    """Height up to which thickness is measured along the normals. [mm]."""
    angle = min(cut.entering_angle, np.pi / 2.0)
    return float(cut.nose_radius_mm * (1.0 - np.cos(angle)))


def _angle_at(cut: Cut, height: FloatArray) -> FloatArray:
    """Angle of the nose arc's normal at a height above its lowest point. (n,)."""
    if cut.nose_radius_mm == 0.0:
        return np.zeros_like(height)
    return np.asarray(np.arccos(1.0 - height / cut.nose_radius_mm))


def _nose_limits(cut: Cut, top: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where the nose's engagement begins, and where its normals miss the earlier edge.

    Behind `start` the earlier revolution has already cut. From `split` to `top` a
    normal leaves the chip at its upper limit instead of at the earlier edge. Both (n,).
    """
    feed, r = cut.feed_mm, cut.nose_radius_mm
    if r == 0.0:
        return -top, -top
    start = -np.minimum(np.arcsin(min(1.0, feed / (2.0 * r))), top)
    corner = np.arctan2(r * np.sin(top) - feed, r * np.cos(top))
    # Beyond the tangent from the centre to the earlier arc a normal meets nothing.
    tangent = -np.arccos(min(1.0, r / feed)) if feed < np.sqrt(2.0) * r else -np.pi
    split = np.where(feed * np.sin(top) <= r, corner, tangent)
    return start, np.clip(split, start, top)


def _nose_piece(
    cut: Cut, begin: FloatArray, end: FloatArray, nose_top: FloatArray | None
) -> _Piece:
    """Nose between two angles; thickness up to `nose_top` or the earlier edge."""
    feed, r = cut.feed_mm, cut.nose_radius_mm
    angle = begin[:, None] + (end - begin)[:, None] * _STATION
    width = r * (end - begin)[:, None] * _STATION_WEIGHT
    sine, cosine = np.sin(angle), np.cos(angle)
    if nose_top is None:
        reach = np.maximum(r**2 - (feed * cosine) ** 2, 0.0)
        thickness = r + feed * sine - np.sqrt(reach)
    else:
        room = nose_top[:, None] - r * (1.0 - cosine)
        thickness = room / np.maximum(cosine, np.finfo(float).tiny)
    # Where a piece has no length the formula may miss; rounding may pass below 0.
    thickness = np.where(width > 0.0, np.maximum(thickness, 0.0), 0.0)
    # The normals of an arc draw together toward its centre.
    spread = 1.0 - thickness / (2.0 * r) if r > 0.0 else np.ones_like(thickness)
    return width, thickness, width * thickness * spread, angle


def _overhanging_piece(cut: Cut, depths: FloatArray) -> _Piece:
    """Nose arc above the point at right angles to the feed, sliced along the feed."""
    r = cut.nose_radius_mm
    arc_top = r * (1.0 - np.cos(cut.entering_angle))
    begin = np.pi / 2.0
    end = np.maximum(_angle_at(cut, np.minimum(depths, arc_top)), begin)
    if r == 0.0:
        end = np.full_like(depths, begin)
    angle = begin + (end - begin)[:, None] * _STATION
    width = r * (end - begin)[:, None] * _STATION_WEIGHT
    thickness = cut.feed_mm * np.sin(angle)
    return width, thickness, width * thickness, angle


def _straight_piece(cut: Cut, depths: FloatArray) -> _Piece:
    """Straight main edge: the nominal chip. One column."""
    kappa = cut.entering_angle
    height = np.maximum(depths - cut.nose_radius_mm * (1.0 - np.cos(kappa)), 0.0)
    width = (height / np.sin(kappa))[:, None]
    thickness = np.full_like(width, cut.feed_mm * np.sin(kappa))
    return width, thickness, width * thickness, np.full_like(width, kappa)


def _remainder(
    cut: Cut, top: FloatArray, nose_top: FloatArray, nose: list[_Piece]
) -> _Piece:
    """Chip below `nose_top` that no normal reaches, given to the nose's upper end.

    Its thickness is the nose radius, as that of the chip beside it.
    """
    thickness = np.full((top.size, 1), max(cut.nose_radius_mm, np.finfo(float).tiny))
    area = np.zeros_like(thickness)
    if cut.feed_mm > cut.nose_radius_mm > 0.0:
        reached = sum(piece[2].sum(axis=1) for piece in nose)
        missing = np.maximum(_nose_area(cut, nose_top) - reached, 0.0)
        # Rounding must not leave a sliver where the normals reach everything.
        apart = cut.feed_mm * np.sin(top) > cut.nose_radius_mm
        area = np.where(apart, missing, 0.0)[:, None]
    return area / thickness, thickness, area, top[:, None]


def _nose_area(cut: Cut, nose_top: FloatArray) -> FloatArray:
    """Chip below `nose_top`: integral of min(feed, chord of the nose). (n,) [mm²]."""
    feed, r = cut.feed_mm, cut.nose_radius_mm
    if r == 0.0:
        return feed * nose_top
    half = np.minimum(np.arcsin(min(1.0, feed / (2.0 * r))), _angle_at(cut, nose_top))
    segment = r**2 * (half - np.sin(half) * np.cos(half))
    ridge = r * (1.0 - np.cos(half))
    return np.asarray(segment + feed * np.maximum(nose_top - ridge, 0.0))


def ridge_area(cut: Cut) -> float:
    """Cross-section of the ridge that the nose leaves behind at each revolution. [mm²].

    Parameters
    ----------
    cut : feed and shape of the edge

    Returns
    -------
    float
        For a cut that is deeper than the nose's height.
    """
    height = np.array([_nose_height(cut)])
    return float((cut.feed_mm * height - _nose_area(cut, height))[0])
