"""A study before and after a fit: which design to make now, and how good the other is.

Both run for the same designs of the same case; only the constants differ.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fea.case.case_file import CaseReading
from fea.case.study_section import Study
from fea.study.judgement import judge
from fea.study.run import Finished, OnDone, open_run
from fea.study.search import search, solves_at_most
from geometry.errors import InputError

STAGES = (
    "computing designs with the expected constants",
    "computing designs with the fitted constants",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Twice:
    """One design with the constants as they were expected and as they were fitted."""

    values: Mapping[str, object]
    expected: Finished
    fitted: Finished


@dataclass(frozen=True, slots=True, kw_only=True)
class Update:
    """What a study recommends before and after a fit.

    Parameters
    ----------
    study : the same for both
    before, after : recommended with the expected constants, with the fitted ones; None
        where no design keeps to the limits
    alike : difference in the first aim's measure that means nothing
    """

    study: Study
    before: Twice | None
    after: Twice | None
    alike: float

    @property
    def is_changed(self) -> bool:
        """Whether another design is recommended, or none, or one for the first time."""
        old, new = (each and each.values for each in (self.before, self.after))
        return old != new


def require_study(reading: CaseReading) -> None:
    """Refuse a case that varies nothing.

    Raises
    ------
    InputError
    """
    if not reading.case.study.variables:
        message = (
            f"{reading.path.name}: study.variables is missing, so that --study has "
            "nothing to compute; add [study.variables] with a line such as "
            '"post.dovetail.width" = { from = "30 mm", to = "50 mm" }, or leave out '
            "--study"
        )
        raise InputError(message)


def stage_count(study: Study) -> int:
    """How many stages `updated` tells of at most: one a design beside `STAGES`."""
    return len(STAGES) * (1 + solves_at_most(study))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Where and by how many designs are computed, as `fea.study.run.open_run` has it.

    Parameters
    ----------
    folder : where journals are kept; what they hold is not computed again
    cache : folder of reduced parts
    workers : processes of this computer
    """

    folder: Path
    cache: Path
    workers: int

    def search(self, reading: CaseReading, on_done: OnDone) -> tuple[Finished, ...]:
        """Run a whole study."""
        return search(
            reading,
            self.folder,
            cache=self.cache,
            workers=self.workers,
            on_done=on_done,
        )

    def joined(
        self, reading: CaseReading, finished: tuple[Finished, ...], one: Finished | None
    ) -> tuple[Finished, ...]:
        """Return finished designs with one more, computed for this case."""
        known = [each.design.values for each in finished]
        if one is None or one.design.values in known:
            return finished
        with open_run(
            reading, self.folder, cache=self.cache, workers=self.workers
        ) as run:
            return (*finished, *run.finish([one.design], _quietly))


def updated(
    before: CaseReading,
    after: CaseReading,
    bench: Bench,
    on_stage: Callable[[str], None],
) -> Update:
    """Run the study of a case, and that of the same case with fitted constants.

    The design recommended before joins those that are compared with the fitted
    constants, so that a search that ends elsewhere cannot do worse than it.

    Parameters
    ----------
    before, after : the case without and with what was fitted
    bench : where this is done
    on_stage : is told what is worked on, `stage_count` times at most

    Raises
    ------
    InputError, SetupError, StorageError
    """
    study = before.case.study
    expected, fitted = (
        bench.search(reading, _told(on_stage, stage))
        for reading, stage in zip((before, after), STAGES, strict=True)
    )
    old = judge(study, expected).answer.recommended
    fitted = bench.joined(after, fitted, old)
    judged = judge(study, fitted)
    new = judged.answer.recommended
    expected = bench.joined(before, expected, new)
    return Update(
        study=study,
        before=_twice(old, expected, fitted),
        after=_twice(new, expected, fitted),
        alike=judged.alike,
    )


def _told(on_stage: Callable[[str], None], stage: str) -> OnDone:
    """Tell of a stage at once, and again for every design that is done."""
    on_stage(stage)
    return lambda: on_stage(stage)


def _twice(
    one: Finished | None, expected: Sequence[Finished], fitted: Sequence[Finished]
) -> Twice | None:
    if one is None:
        return None
    values = one.design.values
    with_expected, with_fitted = (
        next(each for each in finished if each.design.values == values)
        for finished in (expected, fitted)
    )
    return Twice(values=values, expected=with_expected, fitted=with_fitted)


def _quietly() -> None:
    """Tell nobody: these few are not counted beforehand."""
