"""A study's answer, with the surfaces through its designs and what they scatter."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fea.case.study_measure import LIMIT_DEPTH
from fea.case.study_section import Study
from fea.study.answer import Answer, answer_of
from fea.study.resolution import resolution
from fea.study.run import Finished
from fea.study.surrogate import Surrogate, fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What finished designs say.

    Parameters
    ----------
    answer : which of them matter
    surrogates : smooth surfaces, by the name of the measure
    alike : difference in the first aim's measure that means nothing
    """

    answer: Answer
    surrogates: Mapping[str, Surrogate]
    alike: float


def judge(study: Study, finished: Sequence[Finished]) -> Judgement:
    """Fit what can be fitted to the aims and the limit depth, and compare."""
    wanted = dict.fromkeys((*(aim.measure for aim in study.aims), LIMIT_DEPTH))
    fits = {name: fit(study, finished, name) for name in wanted}
    surrogates = {name: each for name, each in fits.items() if each is not None}
    first = study.aims[0].measure
    alike = resolution(first, finished, surrogates.get(first))
    answer = answer_of(study, finished, alike)
    return Judgement(answer=answer, surrogates=surrogates, alike=alike)
