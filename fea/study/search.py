"""A whole study: its designs, and from the best of them to a better one."""

from pathlib import Path

from fea.case.case_file import CaseReading
from fea.case.study_section import Study
from fea.study.designs import designs_of
from fea.study.polish import polish, solves_of
from fea.study.run import Finished, OnDone, open_run


def search(
    reading: CaseReading,
    folder: Path,
    *,
    cache: Path | None = None,
    workers: int | None = None,
    address: str | None = None,
    on_done: OnDone = lambda: None,
) -> tuple[Finished, ...]:
    """Compute every design that the journal does not hold; return all, in order.

    Parameters
    ----------
    reading, folder, cache, workers, address : as `fea.study.run.open_run` takes them
    on_done : is called once for every design, `solves_at_most` times at most

    Raises
    ------
    InputError, SetupError
    """
    designs = designs_of(reading.case.study)
    with open_run(
        reading, folder, cache=cache, workers=workers, address=address
    ) as run:
        finished = run.finish(designs, on_done)
        return (*finished, *polish(run, finished, on_done))


def solves_at_most(study: Study) -> int:
    """Return how many designs a study may compute.

    Raises
    ------
    InputError
        The study varies nothing.
    """
    return len(designs_of(study)) + solves_of(study)
