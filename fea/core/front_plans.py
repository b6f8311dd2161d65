"""Compiled loops that plan fronts: a graph of nodes, its elimination tree, its fronts.

Trees and counts of columns as in Davis, Direct Methods for Sparse Linear Systems (SIAM
2006), chapters 4 and 6, from memory.
"""

import numpy as np

from fea.core.kernels import Array, Int32, compiled
from geometry.mesh import IntArray

NONE = -1


@compiled
def quotient(starts: Int32, columns: Int32) -> tuple[Int32, Int32, Int32]:
    """Join neighbouring unknowns that touch the same others to nodes of a graph.

    Parameters
    ----------
    starts, columns : (n + 1,), (n_entry,) pattern of a symmetric matrix

    Returns
    -------
    (n_node + 1,) the first unknown of every node; (n_node + 1,), (n_link,) the nodes
    that each node touches, itself left out
    """
    n = len(starts) - 1
    node = np.zeros(n, np.int32)
    first = np.zeros(n + 1, np.int32)
    for row in range(1, n):
        node[row] = node[row - 1]
        if not _alike(starts, columns, row):
            node[row] += 1
            first[node[row]] = row
    count = node[n - 1] + 1
    first[count] = n
    links = np.zeros(count + 1, np.int32)
    ends = np.empty(len(columns), np.int32)
    found = 0
    for own in range(count):
        last = own
        for p in range(starts[first[own]], starts[first[own] + 1]):
            other = node[columns[p]]
            if other != last and other != own:
                ends[found] = other
                found += 1
            last = other
        links[own + 1] = found
    return first[: count + 1], links, ends[:found]


@compiled
def _alike(starts: Int32, columns: Int32, row: int) -> bool:
    """Whether a row has entries just where the one before has them."""
    before, own, count = starts[row - 1], starts[row], starts[row + 1] - starts[row]
    if own - before != count:
        return False
    alike = True
    for p in range(count):
        alike = alike and columns[before + p] == columns[own + p]
    return alike


@compiled
def places(order: Int32) -> Int32:
    """Return where each of what is ordered stands. (n,)."""
    place = np.empty(len(order), np.int32)
    for k in range(len(order)):
        place[order[k]] = k
    return place


@compiled
def tree(links: Int32, ends: Int32, order: Int32) -> Int32:
    """Return the elimination tree: the parent of every place in the order. (n,)."""
    n = len(order)
    place = places(order)
    parent = np.full(n, NONE, np.int32)
    root = np.full(n, NONE, np.int32)
    for k in range(n):
        for p in range(links[order[k]], links[order[k] + 1]):
            i = place[ends[p]]
            while i != NONE and i < k:
                above = root[i]
                root[i] = k
                if above == NONE:
                    parent[i] = k
                i = above
    return parent


@compiled
def postorder(parent: Int32) -> Int32:
    """Order a forest so that every subtree is a range that ends in its root. (n,)."""
    n = len(parent)
    youngest, older = np.full(n + 1, NONE, np.int32), np.full(n, NONE, np.int32)
    for k in range(n):
        # The last place, n, is above all roots; so is NONE, which counts from the end.
        older[k], youngest[parent[k]] = youngest[parent[k]], k
    order, path = np.empty(n, np.int32), np.empty(n + 1, np.int32)
    path[0], depth, done = n, 1, 0
    while depth > 0:
        top = path[depth - 1]
        child = youngest[top]
        if child != NONE:
            youngest[top] = older[child]
            path[depth] = child
            depth += 1
        else:
            depth -= 1
            if top != n:
                order[done] = top
                done += 1
    return order


@compiled
def counts(
    links: Int32, ends: Int32, order: Int32, parent: Int32, sizes: Int32
) -> Int32:
    """Return how many unknowns every node's column of the factor holds. (n,).

    A row of the factor is made of the paths in the tree that lead to it from where the
    matrix's row has entries.
    """
    n = len(order)
    place = places(order)
    count = sizes.copy()
    seen = np.full(n, NONE, np.int32)
    for k in range(n):
        seen[k] = k
        for p in range(links[order[k]], links[order[k] + 1]):
            i = place[ends[p]]
            while i < k and seen[i] != k:
                count[i] += sizes[k]
                seen[i] = k
                i = parent[i]
    return count


@compiled
def fronts(parent: Int32, count: Int32, sizes: Int32, allowed: Array) -> Int32:
    """Join nodes that follow each other to fronts, where few zeros come in.

    Parameters
    ----------
    parent, count : (n,), (n,) from `tree` and `counts`, in postorder
    sizes : (n,) unknowns of each node
    allowed : (k, 2) up to which width a front may hold which share of zeros; the last
        row for any width

    Returns
    -------
    (n_front + 1,) where each front begins
    """
    n = len(parent)
    start = np.empty(n + 1, np.int32)
    width, zeros = np.empty(n), np.empty(n)
    top = 0
    for k in range(n):
        start[top], width[top], zeros[top] = k, sizes[k], 0.0
        below = float(count[k] - sizes[k])
        while top > 0 and start[top] <= parent[start[top] - 1] <= k:
            child = start[top] - 1
            both = width[top - 1] + width[top]
            new = width[top] + below - (count[child] - sizes[child])
            more = zeros[top - 1] + zeros[top] + width[top - 1] * new
            if more > _share(both, allowed) * both * (both / 2 + below):
                break
            top -= 1
            width[top], zeros[top] = both, more
        top += 1
    start[top] = n
    return start[: top + 1]


@compiled
def _share(width: float, allowed: Array) -> float:
    """Share of zeros that a front of some width may hold."""
    for k in range(len(allowed) - 1):
        if width <= allowed[k, 0]:
            return float(allowed[k, 1])
    return float(allowed[-1, 1])


@compiled
def rows(
    links: Int32, ends: Int32, order: Int32, start: Int32
) -> tuple[Int32, Int32, Int32]:
    """Return the nodes that every front touches beyond its own, and who takes them.

    (n_front + 1,), (n_below,) in ascending order for each; (n_front,) the parents.
    """
    n = len(start) - 1
    place, front = places(order), _owners(start)
    seen = np.full(len(order), NONE, np.int32)
    parent = np.full(n, NONE, np.int32)
    youngest, older = np.full(n, NONE, np.int32), np.full(n, NONE, np.int32)
    first = np.zeros(n + 1, np.int32)
    below = np.empty(len(ends), np.int32)
    for s in range(n):
        below = _with_room(below, first[s] + len(order))
        q, end = first[s], start[s + 1]
        for k in range(start[s], end):
            for p in range(links[order[k]], links[order[k] + 1]):
                q = _noted(below, q, seen, place[ends[p]], end, s)
        child = youngest[s]
        while child != NONE:
            for p in range(first[child], first[child + 1]):
                q = _noted(below, q, seen, below[p], end, s)
            child = older[child]
        first[s + 1] = q
        if q > first[s]:
            below[first[s] : q].sort()
            parent[s] = front[below[first[s]]]
            older[s], youngest[parent[s]] = youngest[parent[s]], s
    return first, below[: first[n]], parent


@compiled
def _owners(start: Int32) -> Int32:
    """Return the front that every node belongs to. (n_front + 1,) to (n_node,)."""
    front = np.empty(start[-1], np.int32)
    for s in range(len(start) - 1):
        for k in range(start[s], start[s + 1]):
            front[k] = s
    return front


@compiled
def _with_room(below: Int32, length: int) -> Int32:
    """Return a list that holds so much, twice as long if it had to be made anew."""
    if length <= len(below):
        return below
    more = np.empty(2 * length, np.int32)
    more[: len(below)] = below
    return more


@compiled
def _noted(below: Int32, q: int, seen: Int32, place: int, end: int, front: int) -> int:
    """Note a place beyond a front's end, once; return how many are noted."""
    if place < end or seen[place] == front:
        return q
    seen[place] = front
    below[q] = place
    return q + 1


@compiled
def layout(parent: Int32, heights: IntArray) -> tuple[Int32, Array, Array]:
    """Return where each front's remainder lies on two stacks, and their sizes.

    Fronts at even depth use one stack, those at odd depth the other: a front reads what
    its children left while it writes beside it. Fronts come in postorder, so what a
    front takes is always on top.

    (n_front,) which stack, (n_front,) from where on, (2,) how much they hold at most.
    """
    n = len(parent)
    side = np.zeros(n, np.int32)
    for s in range(n - 1, -1, -1):
        if parent[s] != NONE:
            side[s] = 1 - side[parent[s]]
    begin, top = np.zeros(n, np.int64), np.zeros(2, np.int64)
    most = np.zeros(2, np.int64)
    eldest = np.full(n, NONE, np.int32)
    for s in range(n):
        own = side[s]
        begin[s] = top[own]
        top[own] += np.int64(heights[s]) ** 2
        most[own] = max(most[own], top[own])
        if eldest[s] != NONE:
            top[1 - own] = begin[eldest[s]]
        if parent[s] != NONE and eldest[parent[s]] == NONE:
            eldest[parent[s]] = s
    return side, begin, most
