"""A fit as numbers for other programs: `fit.json` and its schema."""

from collections.abc import Sequence
from math import isfinite
from typing import Literal, Self

from pydantic import Field

from fea.analysis.member import Group
from fea.measurement.answer import Blame, Change, RecordAnswer, StackCalibration
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.fit_records import RecordFit
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import UNITS, Kind
from fea.report.fit_next import QUESTIONS, best
from fea.report.fit_reading import overhang_of, setup_words
from fea.report.fit_study_summary import StudySummary
from fea.report.fit_tables import where_words
from fea.report.fit_words import fit_verdict
from fea.report.stack_summary import Record
from fea.study.update import Update
from geometry.pad import FloatArray

FIT_SCHEMA_VERSION: Literal[1] = 1
"""Raised whenever a key is renamed or removed or changes its meaning."""

Three = tuple[float | None, float | None, float | None]
"""5, 50 and 95 %; null where there is no such depth in those tried."""


class BeforeAfter(Record):
    """Something predicted, before and after the fit: 5, 50 and 95 %."""

    before: Three
    after: Three

    @classmethod
    def of(cls, change: Change) -> Self:
        """Take over a change."""
        return cls(before=_three(change.before), after=_three(change.after))


class BlameSummary(Record):
    """How likely a group gives more than half of the motion at the deepest cut."""

    group: Group
    share: BeforeAfter = Field(description="fraction of the tip's motion")
    chance_before: float = Field(description="that it is more than half")
    chance_after: float


class StackFitSummary(Record):
    """One stack before and after."""

    name: str
    depth_mm: tuple[float, ...] = Field(description="depths of cut that are set")
    deflection_um: tuple[tuple[BeforeAfter, BeforeAfter, BeforeAfter], ...] = Field(
        description="of the tip at these depths: radial, axial, vertical"
    )
    stiffness_n_per_um: BeforeAfter = Field(
        description="along the cutting force at the deepest cut"
    )
    limit_mm: BeforeAfter = Field(
        description="depth at which it begins to chatter at the case's speed"
    )
    smallest_limit_mm: BeforeAfter = Field(description="over all speeds")
    blame: tuple[BlameSummary, ...]
    shares: dict[str, BeforeAfter] = Field(
        description="fraction of the tip's motion by part, joint or link"
    )


class ReadingSummary(Record):
    """One reading beside its predictions, in the unit given."""

    kind: Kind
    stack: str
    what: str
    unit: str = Field(description="of chatter that of the depth at which it begins")
    measured: float | None = Field(description="null of what was seen or heard")
    predicted: Three
    calibrated: Three
    residual: float | None = Field(
        description="measured less calibrated, in standard deviations"
    )
    chance: float | None = Field(description="of what was seen or heard")
    file: str
    line: int


class ConstantSummary(Record):
    """One constant over the value that was expected most."""

    name: str = Field(description="as in the posterior samples")
    member: str
    what: str
    before: Three
    after: Three
    spread: float = Field(description="width of the band after over that before")


class NextSummary(Record):
    """A measurement that is worth making."""

    question: str
    measure: str
    stack: str
    overhang_mm: float | None = Field(
        description="of the tool, of a push where it is not the case's"
    )
    unit: str
    expected: Three = Field(description="reading")
    left: float = Field(description="spread of the answer afterwards over that now")
    now: tuple[float, float] = Field(description="5 and 95 % of the answer")
    then: tuple[float, float]


class DoubtSummary(Record):
    """Whether the records refute the model."""

    refuted: bool
    chance: float = Field(description="of a scatter about the fit as large as this")
    chance_without_odd: float
    odd: tuple[str, ...] = Field(description="file and line of what is not expected")


class SamplesSummary(Record):
    """How far the posterior samples can be trusted."""

    sets: int
    effective: float = Field(description="independent sets that they are worth")
    pareto_shape: float = Field(description="of their weights' tail; up to 0.7 is good")
    trusted: bool


class FitSummary(Record):
    """What `fit.json` holds; `FitSummary.model_json_schema()` is its JSON Schema."""

    schema_version: Literal[1] = FIT_SCHEMA_VERSION
    title: str
    verdict: str
    warnings: tuple[str, ...]
    refutation: DoubtSummary
    known: tuple[str, ...] = Field(description="what the records tell, in sentences")
    speed_rpm: float = Field(description="at which limit depths are meant")
    stiffness_ratio: BeforeAfter = Field(description="quick-change over four-way")
    quick_change: StackFitSummary
    four_way: StackFitSummary
    readings: tuple[ReadingSummary, ...]
    constants: tuple[ConstantSummary, ...]
    next: tuple[NextSummary, ...] = Field(description="by question, best first")
    samples: SamplesSummary
    study: StudySummary | None = Field(
        default=None,
        description="which design to make before and after; null without --study",
    )

    @classmethod
    def of(
        cls,
        title: str,
        speed_rpm: float,
        fit: RecordFit,
        constants: Sequence[ConstantAnswer],
        update: Update | None,
    ) -> Self:
        """Collect what a fit says."""
        answer, weights = fit.answer, fit.posterior.weights
        return cls(
            title=title,
            verdict=fit_verdict(answer, speed_rpm).blame,
            warnings=answer.warnings,
            refutation=_doubt(fit),
            known=answer.known.sentences,
            speed_rpm=speed_rpm,
            stiffness_ratio=BeforeAfter.of(answer.stiffness_ratio),
            quick_change=_stack(answer.quick_change),
            four_way=_stack(answer.four_way),
            readings=tuple(_reading(each) for each in answer.records),
            constants=tuple(_constant(each) for each in constants),
            next=tuple(
                _next(gain) for each in QUESTIONS for gain in best(answer.next, each)
            ),
            samples=SamplesSummary(
                sets=len(fit.posterior.scores),
                effective=weights.effective,
                pareto_shape=weights.shape,
                trusted=fit.posterior.trusted,
            ),
            study=None if update is None else StudySummary.of(update),
        )


def _three(band: FloatArray) -> Three:
    low, middle, high = (float(each) if isfinite(each) else None for each in band)
    return low, middle, high


def _doubt(fit: RecordFit) -> DoubtSummary:
    doubt = fit.answer.refutation
    return DoubtSummary(
        refuted=doubt.refuted,
        chance=doubt.chance,
        chance_without_odd=doubt.chance_without,
        odd=tuple(str(each.source) for each in doubt.odd),
    )


def _stack(stack: StackCalibration) -> StackFitSummary:
    motion = stack.deflection_um
    return StackFitSummary(
        name=stack.name,
        depth_mm=tuple(stack.depth_mm.tolist()),
        deflection_um=tuple(
            tuple(  # type: ignore[misc]
                BeforeAfter(
                    before=_three(motion.before[:, at, axis]),
                    after=_three(motion.after[:, at, axis]),
                )
                for axis in range(3)
            )
            for at in range(len(stack.depth_mm))
        ),
        stiffness_n_per_um=BeforeAfter.of(stack.stiffness_n_per_um),
        limit_mm=BeforeAfter.of(stack.limit_mm),
        smallest_limit_mm=BeforeAfter.of(stack.smallest_mm),
        blame=tuple(_blame(each) for each in stack.blame),
        shares={name: BeforeAfter.of(each) for name, each in stack.shares.items()},
    )


def _blame(blame: Blame) -> BlameSummary:
    return BlameSummary(
        group=blame.group,
        share=BeforeAfter.of(blame.share),
        chance_before=blame.chance_before,
        chance_after=blame.chance_after,
    )


def _reading(record: RecordAnswer) -> ReadingSummary:
    seen = record.seen
    return ReadingSummary(
        kind=seen.kind,
        stack=seen.stack,
        what=setup_words(seen),
        unit=UNITS[seen.kind],
        measured=record.measured,
        predicted=_three(record.predicted),
        calibrated=_three(record.calibrated),
        residual=record.residual,
        chance=record.chance,
        file=seen.source.file,
        line=seen.source.line,
    )


def _constant(constant: ConstantAnswer) -> ConstantSummary:
    return ConstantSummary(
        name=constant.name,
        member=constant.member,
        what=constant.what,
        before=_three(constant.before),
        after=_three(constant.after),
        spread=constant.spread,
    )


def _next(gain: Gain) -> NextSummary:
    now, then = gain.band_now.tolist(), gain.band_then.tolist()
    return NextSummary(
        question=gain.question,
        measure=where_words(gain),
        stack=gain.seen.stack,
        overhang_mm=overhang_of(gain.seen),
        unit=UNITS[gain.seen.kind],
        expected=_three(gain.expected),
        left=gain.left,
        now=(now[0], now[1]),
        then=(then[0], then[1]),
    )
