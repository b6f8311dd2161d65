"""How a stack was struck and heard in a tap test."""

from dataclasses import dataclass

from fea.measurement.record import Heading, Spot, StackName


@dataclass(frozen=True, slots=True, kw_only=True)
class Blow:
    """How a stack was struck and heard.

    Parameters
    ----------
    stack : which one
    struck, struck_along : where and in which direction
    heard : where the sensor sat, None for a microphone in the air
    """

    stack: StackName
    struck: Spot
    struck_along: Heading
    heard: Spot | None
