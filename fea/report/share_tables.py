"""Tables of where the tip's motion comes from."""

from fea.analysis.member import Group, group_fractions, group_of, merged
from fea.analysis.result import Comparison
from fea.report.motion import deepest, hold_alike, motion_along_force
from fea.report.number import percent, rounded, setting
from fea.report.palette import titles
from fea.report.share_band import Ends, share_bands
from fea.report.share_bars import member_rows
from fea.report.table import NOT_THERE, Table


def groups_table(comparison: Comparison) -> Table:
    """Where the motion comes from, roughly."""
    new, old = comparison.quick_change, comparison.four_way
    fractions = [group_fractions(stack.shares) for stack in (new, old)]
    motions = [motion_along_force(stack) for stack in (new, old)]
    alike = hold_alike(comparison)

    def change(size_um: float) -> str:
        return f"{rounded(size_um)} µm" if alike else NOT_THERE

    rows = []
    for group in Group:
        a, b = (f[group] * m for f, m in zip(fractions, motions, strict=True))
        cells = [
            f"{percent(f[group])}, {rounded(size)} µm"
            for f, size in zip(fractions, (a, b), strict=True)
        ]
        rows.append((str(group), *cells, change(a - b)))
    whole = (f"100 %, {rounded(motion)} µm" for motion in motions)
    rows.append(("together", *whole, change(motions[0] - motions[1])))
    return Table(
        caption="Where the motion comes from",
        meaning=(
            "Share of the tip's motion along the cutting force, "
            f"{_depths(comparison)}. “tool” is the bit with its seat and screws. The "
            "last column is what the change to the "
            "quick-change post costs (negative: gains) in each group; none is given if "
            "the cuts differ."
        ),
        head=("", *titles(comparison), "change"),
        rows=tuple(rows),
    )


def members_table(comparison: Comparison) -> Table:
    """Where the motion comes from, member by member."""
    stacks = (comparison.quick_change, comparison.four_way)
    shares = [
        {(share.kind, share.name): share.fraction for share in merged(stack.shares)}
        for stack in stacks
    ]
    bands = [share_bands(stack) for stack in stacks]
    rows = [
        (
            name,
            str(kind),
            str(group_of(name)),
            *(
                _share_with_band(share[kind, name], band.get(name))
                if (kind, name) in share
                else NOT_THERE
                for share, band in zip(shares, bands, strict=True)
            ),
        )
        for kind, name in member_rows(comparison)
    ]
    return Table(
        caption="Share of every part, joint and link",
        meaning=(
            "Of the work of the cut as it deepens from nothing to the deepest cut "
            f"({_depths(comparison)}): the shares of one stack add up to the whole. In "
            "brackets: 5 to 95 % of what joints, ground and clamping may be. Screws of "
            "one kind are added up."
        ),
        head=("member", "kind", "group", *titles(comparison)),
        rows=tuple(rows),
        n_words=3,
    )


def _share_with_band(fraction: float, band: Ends | None) -> str:
    if band is None:
        return percent(fraction)
    low, high = (f"{100.0 * end:.0f}" for end in band)
    if low == high:
        return percent(fraction)
    return f"{percent(fraction)} ({low} to {high})"


def _depths(comparison: Comparison) -> str:
    """Say at which cut each stack is looked at."""
    new, old = (
        setting(deepest(stack))
        for stack in (comparison.quick_change, comparison.four_way)
    )
    of = comparison.quick_change.curve.fed.quantity
    if hold_alike(comparison):
        return f"at {new} mm {of}"
    return f"at {new} mm {of} with the post and at {old} mm with the block"
