"""Designs of a study, computed in parallel; what the journal holds is only read."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from fea.case.case_file import CaseReading, with_values
from fea.case.schema import Case
from fea.case.study_measure import MEASURES, SAFETY
from fea.case.study_problem import OWN
from fea.case.study_section import Study
from fea.core.archive import key_of
from fea.core.cache import FORMAT as PARTS_FORMAT
from fea.core.factor import engine_name
from fea.core.stress_cache import FORMAT as STRESS_FORMAT
from fea.study.crew import Crew
from fea.study.designs import Design
from fea.study.figures import FORMAT as FIGURES_FORMAT
from fea.study.journal import Journal, Outcome
from fea.study.schedule import Schedule
from fea.study.tables import tables_digest
from fea.study.workshop import missing_in
from geometry.errors import InputError

# Raised whenever the same figures would give another row.
FORMAT = 2
# What changes no number of a design.
WORDS = {"title", "about"}
DIED = (
    "the processes that computed it died, several times: for want of memory, perhaps; "
    "the same command tries it again"
)

OnDone = Callable[[], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A design and what became of it."""

    design: Design
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A study that is being computed.

    Parameters
    ----------
    reading : its case
    journal : where finished designs are kept
    done : what is finished, by the designs' keys
    schedule : computes the rest
    """

    reading: CaseReading
    journal: Journal
    done: dict[str, Outcome]
    schedule: Schedule

    def finish(
        self, designs: Sequence[Design], on_done: OnDone
    ) -> tuple[Finished, ...]:
        """Compute every design that is not finished; return all, in order.

        `on_done` is called once for each of them.

        Raises
        ------
        SetupError, StorageError
        """
        found: dict[int, Outcome] = {}
        missing: list[tuple[Design, Case]] = []
        for design in designs:
            ready = self._ready(design)
            if isinstance(ready, Case):
                missing.append((design, ready))
            else:
                found[design.number] = ready
                on_done()
        if missing:
            for design, outcome in self.schedule.outcomes(missing):
                found[design.number] = self._kept(design, outcome)
                on_done()
        return tuple(
            Finished(design=each, outcome=found[each.number]) for each in designs
        )

    def _ready(self, design: Design) -> Outcome | Case:
        """Return what needs no computing, or the case to compute."""
        try:
            case = with_values(self.reading, design.values).case
        except InputError as error:
            return Outcome(row={}, reason=str(error))
        # What a workshop lacks may change; what was computed stays right.
        missing = missing_in(self.reading.case.study, case)
        if missing is not None:
            return Outcome(row={}, reason=missing)
        return self.done.get(_key(design), case)

    def _kept(self, design: Design, outcome: Outcome | None) -> Outcome:
        if outcome is None:
            return Outcome(row={}, reason=DIED)
        self.journal.add(_key(design), outcome)
        self.done[_key(design)] = outcome
        return outcome


@contextmanager
def open_run(
    reading: CaseReading,
    folder: Path,
    *,
    cache: Path | None = None,
    workers: int | None = None,
    address: str | None = None,
) -> Iterator[Run]:
    """Begin a study, or go on with one.

    Parameters
    ----------
    folder : where its journal is kept
    cache : folder of reduced parts; by default the user's cache where the work is done
    workers : processes of this computer; by default one a core
    address : of a scheduler that runs already, instead of this computer's cores
    """
    journal = journal_of(reading, folder)
    with_safety = asks_safety(reading.case.study)
    with Crew(workers=workers, address=address) as crew:
        schedule = Schedule(crew=crew, cache=cache, with_safety=with_safety)
        yield Run(
            reading=reading, journal=journal, done=journal.read(), schedule=schedule
        )


def journal_of(reading: CaseReading, folder: Path) -> Journal:
    """Return the journal of a case: other limits, aims or words share it."""
    made_by = {
        "case": {
            key: value
            for key, value in sorted(reading.said.items())
            if key not in WORDS and not key.startswith(OWN)
        },
        "tables": tables_digest(),
        "formats": [FORMAT, PARTS_FORMAT, FIGURES_FORMAT, STRESS_FORMAT],
        "measures": [measure.column for measure in MEASURES.values()],
        "programs": [version("gmsh"), engine_name()],
        "with_safety": asks_safety(reading.case.study),
    }
    return Journal(path=folder / f"study-{key_of(made_by)}.jsonl")


def asks_safety(study: Study) -> bool:
    """Whether stresses are wanted, which take as long as all the rest."""
    limited = {each.measure for each in study.limits}
    return SAFETY in limited | {each.measure for each in study.aims}


def _key(design: Design) -> str:
    return key_of(design.values)
