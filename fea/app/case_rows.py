"""A case as the report repeats it: every key, its value, whether it is a default."""

from fea.case.case_file import CaseReading
from fea.case.key_tree import leaf_fields
from fea.case.wording import Units, shown, value_of
from fea.report.case_summary import CaseRow, CaseSummary

NOT_SAID: tuple[object, ...] = (None, (), {})


def case_summary(reading: CaseReading, units: Units = Units.MM) -> CaseSummary:
    """Return the words of a case and every key that has a value."""
    case = reading.case
    taken = {default.key for default in reading.defaults}
    rows = []
    for dotted in leaf_fields():
        section, _, key = dotted.rpartition(".")
        if not section or value_of(case, dotted) in NOT_SAID:
            continue
        row = CaseRow(
            section=section,
            key=key,
            value=shown(case, dotted, units),
            is_default=dotted in taken,
        )
        rows.append(row)
    return CaseSummary(title=case.title, about=case.about, rows=tuple(rows))
