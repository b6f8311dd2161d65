"""What a fit to measurements found, as a calibrated case carries it."""

from dataclasses import dataclass
from math import isfinite
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from fea.case.field_kind import FieldKind, Number, refuse
from fea.case.section import Section

FARTHEST = 10.0
"""Of a score: farther from what is expected no fit can lead."""
_SCORE = Number(-FARTHEST, FARTHEST)
_SPREAD = Number(0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Spreads(FieldKind):
    """What is left of the spread along each direction that records tell of."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f"a list, each {_SPREAD.wanted}, as stoutpost fit writes it"

    def read(self, raw: object) -> tuple[float, ...]:
        """Return the numbers."""
        if not isinstance(raw, list):
            refuse(f"must be {self.wanted}")
        return tuple(_SPREAD.read(each) for each in raw)


@dataclass(frozen=True, slots=True)
class Scores(FieldKind):
    """Fitted constants by name: score of the middle, then share of each direction."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            f"a table of names, each with a list of numbers from {-FARTHEST:g} to "
            f"{FARTHEST:g}, as stoutpost fit writes it"
        )

    def read(self, raw: object) -> dict[str, tuple[float, ...]]:
        """Return the numbers by name."""
        if not isinstance(raw, dict):
            refuse(f"must be {self.wanted}")
        return {str(name): self._row(row) for name, row in raw.items()}

    def _row(self, raw: object) -> tuple[float, ...]:
        if not isinstance(raw, list) or not raw:
            refuse(f"must be {self.wanted}")
        row = tuple(_SCORE.read(each) for each in raw)
        if not all(map(isfinite, row)):
            refuse(f"must be {self.wanted}")
        return row


class Calibration(Section):
    """What a fit to measurements found; written by `stoutpost fit`, not by hand."""

    spread: Annotated[tuple[float, ...], Spreads()] = Field(
        default=(),
        description="What the records left of the spread, direction by direction.",
    )
    constants: Annotated[dict[str, tuple[float, ...]], Scores()] = Field(
        default={},
        description=(
            "Constants by name. First number: how far the fitted one is from the "
            "expected, in units in which 5 and 95 % are -1.645 and 1.645; then its "
            "part in each direction."
        ),
    )

    @model_validator(mode="after")
    def _fits(self) -> Self:
        """Refuse rows that do not have one number for each direction."""
        wanted = 1 + len(self.spread)
        wrong = [name for name, row in self.constants.items() if len(row) != wanted]
        if wrong:
            raise PydanticCustomError(
                "case_value",
                "{problem}",
                {
                    "problem": f"constants.'{wrong[0]}' must have {wanted} numbers, "
                    "one more than spread; copy the section again as stoutpost fit "
                    "wrote it"
                },
            )
        return self
