"""Read a case that is to be computed: what was fitted has to be in its stacks, too."""

from pathlib import Path

from fea.case import case_file
from fea.case.case_file import CaseReading
from fea.case.schema import Case


def read_case(path: str | Path) -> CaseReading:
    """Return the case that a file describes, and which defaults it takes.

    Raises
    ------
    InputError
        As `load_case`.
    """
    reading = case_file.read_case(path)
    if reading.case.calibration.constants:
        # Imported when it is needed: to draw the stacks takes longer than to read.
        from fea.analysis.fitted_names import require_fitted_names

        require_fitted_names(reading)
    return reading


def load_case(path: str | Path) -> Case:
    """Return the case that a file describes, complete and makeable.

    Raises
    ------
    InputError
        As `fea.case.case_file.load_case`; or a fitted constant is in neither stack.
    """
    return read_case(path).case
