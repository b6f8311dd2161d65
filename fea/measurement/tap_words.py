"""How a stack was struck and heard, from the words of a command."""

from collections.abc import Callable
from typing import TypeVar

from pydantic_core import PydanticCustomError

from fea.measurement.place_words import PART_WORDS, STACKS, HeadingWords, spot_of
from fea.measurement.record import Spot, StackName
from fea.measurement.record_kind import PLACE
from fea.measurement.tap_blow import Blow
from geometry.errors import InputError

# A part, and three lengths with units where it is not the tip.
PlaceWords = tuple[str | None, tuple[str, str, str] | None]
_Value = TypeVar("_Value")


def blow_in_words(
    stack: str, along: str, struck: PlaceWords, heard: PlaceWords
) -> Blow:
    """Return how a stack was struck.

    Parameters
    ----------
    stack : name of the stack
    along : way of the blow
    struck : part and place that was struck
    heard : part and place of the sensor, None for a microphone

    Raises
    ------
    InputError
    """
    name = next(each for each in STACKS if each == stack)
    point = _read("--struck", struck[0], lambda: _spot(name, struck))
    if point is None:
        message = "--struck: is empty; name the part that was struck"
        raise InputError(message)
    return Blow(
        stack=name,
        struck=point,
        struck_along=_read("--along", along, lambda: HeadingWords().read(along)),
        heard=_read("--heard", heard[0], lambda: _spot(name, heard)),
    )


def _read(option: str, words: object, read: Callable[[], _Value]) -> _Value:
    try:
        return read()
    except PydanticCustomError as error:
        message = f"{option} = {words}: {error.message()}"
        raise InputError(message) from error


def _spot(stack: StackName, words: PlaceWords) -> Spot | None:
    part, place = words
    if part is None:
        return None
    x, y, z = (None, None, None) if place is None else (PLACE.read(t) for t in place)
    return spot_of(stack, PART_WORDS.read(part), (x, y, z))
