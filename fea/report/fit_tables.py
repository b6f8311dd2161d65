"""Tables of a fit: readings, changes, shares, constants, what to measure next."""

from collections.abc import Iterator, Sequence

from fea.analysis.member import Group, group_of
from fea.measurement.answer import FitAnswer, RecordAnswer, StackCalibration
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import UNITS, Kind
from fea.measurement.record import PushReading
from fea.report.fit_next import QUESTIONS, best
from fea.report.fit_reading import (
    TIP,
    observed_words,
    setup_words,
    spot_name,
    spot_place,
)
from fea.report.fit_words import (
    answer_bands,
    chance,
    expected_words,
    percents,
    with_band,
)
from fea.report.number import between, coarse, percent, rounded, setting
from fea.report.palette import title_of
from fea.report.table import NOT_THERE, Table
from geometry.pad import FloatArray

SMALL_SHARE = 0.005
"""Members that give less, before and after, are left out."""


def fit_tables(
    answer: FitAnswer, constants: Sequence[ConstantAnswer], speed_rpm: float
) -> tuple[Table, ...]:
    """Return the tables of numbers; that of `next_table` stands by itself."""
    stacks = (answer.quick_change, answer.four_way)
    return (
        changes_table(answer, speed_rpm),
        readings_table(answer.records),
        *(shares_table(stack) for stack in stacks),
        constants_table(constants),
    )


def changes_table(answer: FitAnswer, speed_rpm: float) -> Table:
    """Predictions before and after."""
    rows: list[tuple[str, ...]] = []
    for stack in (answer.quick_change, answer.four_way):
        title = title_of(stack)
        at = f"{setting(speed_rpm)} rev/min"
        for words, change, unit in (
            ("stiffness along the cutting force", stack.stiffness_n_per_um, " N/µm"),
            (f"limit depth at {at}", stack.limit_mm, " mm"),
            ("smallest limit depth over all speeds", stack.smallest_mm, " mm"),
        ):
            cells = (with_band(each, unit) for each in (change.before, change.after))
            rows.append((f"{title}: {words}", *cells))
    ratio = answer.stiffness_ratio
    cells = (with_band(each, "") for each in (ratio.before, ratio.after))
    rows.append(("stiffness of the post over that of the block", *cells))
    return Table(
        caption="What the fit changed",
        meaning=(
            "Middle of what is known and, in brackets, 5 to 95 %. “Before” takes "
            "the constants as the tables of the trade have them."
        ),
        head=("", "before", "after"),
        rows=tuple(rows),
    )


def readings_table(records: Sequence[RecordAnswer]) -> Table:
    """Every reading beside what was and is predicted."""
    marked = tuple(i for i, each in enumerate(records) if is_odd(each))
    return Table(
        caption="Readings",
        meaning=(
            "Numbers are those in the picture. Predicted: before the fit; calibrated: "
            "after it; both with 5 to 95 %. Residual: measured less calibrated, in "
            "standard deviations; of what is seen or heard the chance that the "
            "calibrated model gives it. For chatter the prediction is the depth at "
            "which it begins. Readings that the calibrated model does not expect stand "
            "out."
        ),
        head=(
            "",
            "kind",
            "stack",
            "what",
            "measured",
            "predicted",
            "calibrated",
            "residual",
            "written in",
        ),
        rows=tuple(_reading(number, each) for number, each in enumerate(records, 1)),
        n_words=5,
        marked=marked,
    )


ODD_RESIDUAL, ODD_CHANCE = 3.0, 0.01
"""As `fea.measurement.refutation` calls a reading odd."""


def is_odd(record: RecordAnswer) -> bool:
    """Whether the calibrated model does not expect a reading."""
    if record.residual is not None:
        return abs(record.residual) > ODD_RESIDUAL
    return record.chance is not None and record.chance < ODD_CHANCE


def _reading(number: int, record: RecordAnswer) -> tuple[str, ...]:
    seen, unit = record.seen, f" {UNITS[record.seen.kind]}".rstrip()
    if record.residual is None:
        off = f"chance {chance(record.chance or 0.0)}"
    else:
        off = coarse(round(record.residual, 1))
    return (
        str(number),
        str(seen.kind),
        seen.stack,
        setup_words(seen),
        observed_words(seen),
        with_band(record.predicted, unit),
        with_band(record.calibrated, unit),
        off,
        str(seen.source),
    )


def shares_table(stack: StackCalibration) -> Table:
    """Shares of groups and members, before and after."""
    depth = setting(float(stack.depth_mm[-1]))
    groups = [
        (f"{each.group}", "", *_percents(each.share.before, each.share.after))
        for each in stack.blame
    ]
    members = [
        (name, str(group_of(name)), *_percents(change.before, change.after))
        for name, change in stack.shares.items()
        if max(change.before[1], change.after[1]) > SMALL_SHARE
    ]
    order = [str(group) for group in Group]
    members.sort(key=lambda row: order.index(row[1]))
    return Table(
        caption=f"Where the motion comes from, {title_of(stack)}",
        meaning=(
            f"Shares of the tip's motion along the cutting force at {depth} mm depth "
            "of cut with 5 to 95 %, first the groups, then their members. Those below "
            f"{percent(SMALL_SHARE)} are left out."
        ),
        head=("", "group", "before", "after"),
        rows=(*groups, *members),
        n_words=2,
    )


def _percents(*bands: FloatArray) -> Iterator[str]:
    for low, middle, high in bands:
        yield f"{percent(middle)} ({percents(low, high)})"


def constants_table(constants: Sequence[ConstantAnswer]) -> Table:
    """Constants that the records speak of."""
    return Table(
        caption="Constants",
        meaning=(
            "Each over the value that was expected most, with 5 to 95 %, before and "
            "after; the last column is the width of the band after over that before. "
            "A closing of 2 is a joint twice as soft. Only those "
            "that the fit moved or narrowed; fit.json has all."
        ),
        head=("", "what", "before", "after", "band left"),
        rows=tuple(
            (
                each.member,
                each.what,
                *(
                    f"{rounded(float(m))} ({between(float(low), float(high))})"
                    for low, m, high in (each.before, each.after)
                ),
                percent(each.spread),
            )
            for each in telling(constants)
        ),
        n_words=2,
    )


MOVED, NARROWED, MOST_CONSTANTS = 0.25, 0.85, 16
"""A constant is shown if its middle moved by a quarter of its band's half, or if its
band is narrower than that; at most so many."""


def telling(constants: Sequence[ConstantAnswer]) -> list[ConstantAnswer]:
    """Return what the fit moved or narrowed, the most telling first."""
    told = [each for each in constants if each.moved > MOVED or each.spread < NARROWED]
    told.sort(key=lambda each: each.spread - each.moved)
    return told[:MOST_CONSTANTS]


def next_table(gains: Sequence[Gain]) -> Table:
    """Return the best measurements by question."""
    rows = [
        _next_row(number, gain)
        for question in QUESTIONS
        for number, gain in enumerate(best(gains, question), 1)
    ]
    return Table(
        caption="Measurements worth making",
        meaning=(
            "For every question the measurements that are expected to narrow its "
            "answer most, best first. 5 to 95 % of the answer now and then; then "
            "means as wide as is expected, wherever the reading puts it. Left: width "
            "then over that now."
        ),
        head=("question", "", "measure", "expected", "now", "then", "left"),
        rows=tuple(rows) or ((NOT_THERE,) * 7,),
        n_words=4,
    )


def _next_row(number: int, gain: Gain) -> tuple[str, ...]:
    return (
        gain.question if number == 1 else "",
        str(number),
        where_words(gain),
        expected_words(gain),
        *answer_bands(gain),
        percent(gain.left),
    )


def where_words(gain: Gain) -> str:
    """Say what is done, and where the spots are."""
    record, words = gain.seen.record, setup_words(gain.seen)
    if not isinstance(record, PushReading):
        what = " (listen for chatter)" if gain.seen.kind is Kind.CHATTER else ""
        return f"{words}{what}"
    spots = (record.force_at, record.read_at)
    places = dict.fromkeys(spot_place(each) for each in spots if spot_name(each) != TIP)
    return "; ".join([words, *places])
