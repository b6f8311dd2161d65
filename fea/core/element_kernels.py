"""Compiled product of a stiffness with vectors, element by element, never assembled.

The strain of a quadratic displacement is linear in an element, so its values at the
four corners are all of it. Elements are taken `LANES` at a time, with the lanes last in
every array, so that the compiler makes vector instructions of each loop over them.
"""

import numpy as np

from fea.core.kernels import Array, Int32, compiled, inlined

LANES = 32

# Nodes of an element; the row after them is nobody's: zero where it is read, unread
# where it is written. It stands in where a slope depends on one node alone.
NOBODY = 10

# Values of an element's geometry: three gradients, and Lamé's constants times a
# twentieth of the volume.
GEOMETRY = 11


@inlined
def _read(places: Int32, near: Array, moved: Array) -> None:
    """Displacement of the elements' nodes. `moved` (11, 3, lanes)."""
    for node in range(NOBODY):
        for e in range(LANES):
            place = places[node, e]
            moved[node, 0, e] = near[place, 0]
            moved[node, 1, e] = near[place, 1]
            moved[node, 2, e] = near[place, 2]


@inlined
def _read_geometry(given: Array, gradients: Array, lam: Array, mu: Array) -> None:
    """Gradients of all four coordinates (4, 3, lanes), Lamé's constants (lanes,)."""
    for axis in range(3):
        for e in range(LANES):
            one, two, three = given[axis, e], given[3 + axis, e], given[6 + axis, e]
            gradients[0, axis, e] = -(one + two + three)
            gradients[1, axis, e], gradients[2, axis, e] = one, two
            gradients[3, axis, e] = three
    for e in range(LANES):
        lam[e], mu[e] = given[9, e], given[10, e]


@inlined
def _slopes(
    corner: int,
    second: Int32,
    weights: Array,
    moved: Array,
    gradients: Array,
    slopes: Array,
) -> None:
    """Slopes of the displacement at a corner: component by axis. (3, 3, lanes)."""
    n0, n1 = second[corner, 0], second[corner, 1]
    n2, n3 = second[corner, 2], second[corner, 3]
    a0, a1 = weights[0, corner, 0], weights[0, corner, 1]
    a2, a3 = weights[0, corner, 2], weights[0, corner, 3]
    b0, b1 = weights[1, corner, 0], weights[1, corner, 1]
    b2, b3 = weights[1, corner, 2], weights[1, corner, 3]
    for x in range(3):
        for e in range(LANES):
            d0 = a0 * moved[0, x, e] + b0 * moved[n0, x, e]
            d1 = a1 * moved[1, x, e] + b1 * moved[n1, x, e]
            d2 = a2 * moved[2, x, e] + b2 * moved[n2, x, e]
            d3 = a3 * moved[3, x, e] + b3 * moved[n3, x, e]
            for y in range(3):
                slopes[x, y, e] = (
                    d0 * gradients[0, y, e]
                    + d1 * gradients[1, y, e]
                    + d2 * gradients[2, y, e]
                    + d3 * gradients[3, y, e]
                )


@inlined
def _stress(slopes: Array, lam: Array, mu: Array, stress: Array) -> None:
    """Stress xx, yy, zz, xy, yz, zx at a corner. (6, lanes)."""
    for e in range(LANES):
        once, twice = mu[e], mu[e] + mu[e]
        even = lam[e] * (slopes[0, 0, e] + slopes[1, 1, e] + slopes[2, 2, e])
        stress[0, e] = even + twice * slopes[0, 0, e]
        stress[1, e] = even + twice * slopes[1, 1, e]
        stress[2, e] = even + twice * slopes[2, 2, e]
        stress[3, e] = once * (slopes[0, 1, e] + slopes[1, 0, e])
        stress[4, e] = once * (slopes[1, 2, e] + slopes[2, 1, e])
        stress[5, e] = once * (slopes[2, 0, e] + slopes[0, 2, e])


@inlined
def _weigh(stress: Array) -> None:
    """Weigh stress at the corners as products of linear functions integrate.

    Those are (1 + delta) / 20 of the volume. `stress` (4, 6, lanes), in place.
    """
    for q in range(6):
        for e in range(LANES):
            total = (
                stress[0, q, e] + stress[1, q, e] + stress[2, q, e] + stress[3, q, e]
            )
            for corner in range(4):
                stress[corner, q, e] += total


@inlined
def _push(
    corner: int,
    second: Int32,
    weights: Array,
    stress: Array,
    gradients: Array,
    pushed: Array,
) -> None:
    """Add what stress at a corner pushes the nodes with. `pushed` (11, 3, lanes)."""
    for k in range(4):
        own, other = weights[0, corner, k], weights[1, corner, k]
        node = second[corner, k]
        for e in range(LANES):
            gx, gy, gz = gradients[k, 0, e], gradients[k, 1, e], gradients[k, 2, e]
            x = stress[0, e] * gx + stress[3, e] * gy + stress[5, e] * gz
            y = stress[3, e] * gx + stress[1, e] * gy + stress[4, e] * gz
            z = stress[5, e] * gx + stress[4, e] * gy + stress[2, e] * gz
            pushed[k, 0, e] += own * x
            pushed[k, 1, e] += own * y
            pushed[k, 2, e] += own * z
            pushed[node, 0, e] += other * x
            pushed[node, 1, e] += other * y
            pushed[node, 2, e] += other * z


@inlined
def _add(places: Int32, pushed: Array, forces: Array) -> None:
    """Add what the elements' nodes are pushed with. `forces` (n_place, 3)."""
    for node in range(NOBODY):
        for e in range(LANES):
            place = places[node, e]
            forces[place, 0] += pushed[node, 0, e]
            forces[place, 1] += pushed[node, 1, e]
            forces[place, 2] += pushed[node, 2, e]


@inlined
def _push_batch(
    elements: tuple[Int32, Array],
    batch: int,
    table: tuple[Int32, Array],
    nodal: tuple[Array, Array],
    work: tuple[Array, Array, Array, Array, Array, Array, Array],
) -> None:
    """Add what one batch of elements pushes with. See `push_groups`."""
    gradients, lam, mu, moved, slopes, stress, pushed = work
    second, weights = table
    _read_geometry(elements[1][batch], gradients, lam, mu)
    _read(elements[0][batch], nodal[0], moved)
    for corner in range(4):
        _slopes(corner, second, weights, moved, gradients, slopes)
        _stress(slopes, lam, mu, stress[corner])
    _weigh(stress)
    pushed[:] = 0.0
    for corner in range(4):
        _push(corner, second, weights, stress[corner], gradients, pushed)
    _add(elements[0][batch], pushed, nodal[1])


@inlined
def _most(starts: Int32, first: int, last: int) -> int:
    """Places of the largest group of a range."""
    most = 0
    for k in range(first, last):
        most = max(most, starts[k + 1] - starts[k])
    return most


@compiled
def push_groups(
    first: int,
    last: int,
    groups: tuple[Int32, Int32, Int32],
    elements: tuple[Int32, Array],
    table: tuple[Int32, Array],
    vectors: Array,
    out: Array,
) -> None:
    """Multiply a range of groups of elements with vectors, each in its own places.

    Parameters
    ----------
    first, last : groups to multiply
    groups : where a group's batches start (n_group + 1,), where its places start
        (n_group + 1,), and the node at every place (n_place,)
    elements : places of their nodes, counted in the group (n_batch, 10, lanes);
        geometry (n_batch, 11, lanes)
    table : second node (4 corners, 4 coordinates) and both nodes' weights (2, 4, 4) in
        the derivative of a displacement by a coordinate
    vectors : (n_node, 3, m)
    out : (n_place, 3, m)
    """
    kind, most = out.dtype, _most(groups[1], first, last)
    nodal = (np.empty((most, 3), kind), np.empty((most, 3), kind))
    work = (
        np.empty((4, 3, LANES), kind),
        np.empty(LANES, kind),
        np.empty(LANES, kind),
        np.zeros((NOBODY + 1, 3, LANES), kind),
        np.empty((3, 3, LANES), kind),
        np.empty((4, 6, LANES), kind),
        np.empty((NOBODY + 1, 3, LANES), kind),
    )
    for k in range(first, last):
        begin, count = groups[1][k], groups[1][k + 1] - groups[1][k]
        for c in range(vectors.shape[2]):
            nodal[1][:count] = 0.0
            for i in range(count):
                for x in range(3):
                    nodal[0][i, x] = vectors[groups[2][begin + i], x, c]
            for batch in range(groups[0][k], groups[0][k + 1]):
                _push_batch(elements, batch, table, nodal, work)
            for i in range(count):
                for x in range(3):
                    out[begin + i, x, c] = nodal[1][i, x]
