"""A study before and after a fit as numbers for other programs."""

from math import isfinite
from typing import Self

from pydantic import Field

from fea.report.fit_study import change_words, shortfall
from fea.report.stack_summary import Record
from fea.study.answer import beyond
from fea.study.run import Finished
from fea.study.update import Twice, Update

Row = dict[str, float | None]


class RecommendedSummary(Record):
    """One design with both sets of constants."""

    values: dict[str, str] = Field(description="of what the study varies, by key")
    expected: Row = Field(
        description="with the expected constants, by column of study.csv"
    )
    fitted: Row = Field(description="with the fitted constants")
    out: str | None = Field(
        description="why it is out with the fitted constants; null where it is not"
    )

    @classmethod
    def of(cls, update: Update, one: Twice) -> Self:
        """Take over a design."""
        return cls(
            values={key: str(value) for key, value in one.values.items()},
            expected=_row(one.expected),
            fitted=_row(one.fitted),
            out=beyond(update.study, one.fitted),
        )


class StudySummary(Record):
    """What a study recommends before and after a fit."""

    words: str = Field(description="what changes, in a sentence")
    changed: bool
    before: RecommendedSummary | None = Field(
        description="recommended with the expected constants; null if none keeps to "
        "the limits"
    )
    after: RecommendedSummary | None = Field(description="with the fitted constants")
    shortfall: float | None = Field(
        description="with the fitted constants, by which fraction `before` is worse "
        "than `after` in the first aim; null if it is out, or if either is missing"
    )
    alike: float = Field(
        description="difference in the first aim's measure that means nothing"
    )

    @classmethod
    def of(cls, update: Update) -> Self:
        """Take over what a study says."""
        before, after = (
            None if one is None else RecommendedSummary.of(update, one)
            for one in (update.before, update.after)
        )
        return cls(
            words=change_words(update),
            changed=update.is_changed,
            before=before,
            after=after,
            shortfall=shortfall(update),
            alike=update.alike,
        )


def _row(one: Finished) -> Row:
    return {
        name: value if isfinite(value) else None
        for name, value in one.outcome.row.items()
    }
