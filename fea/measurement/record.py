"""What a person measured, one dataclass for each kind of record.

Points are in the machine frame, its origin at the nominal tool tip; x is radial, y
axial, z up. Every record says which stack stood on the slide, and where it was written
down.
"""

from dataclasses import dataclass
from typing import ClassVar, Literal

StackName = Literal["quick-change", "four-way"]
Phase = Literal["loading", "unloading"]
Grade = Literal["none", "slight", "plain"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a record was read.

    Parameters
    ----------
    file : name of the file
    line : line in it, the first is 1
    """

    file: str
    line: int

    def __str__(self) -> str:
        """Return the place as messages have it."""
        return f"{self.file}, line {self.line}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A point on a part, in the machine frame.

    Parameters
    ----------
    part : name as in the report, "tool bit" or "top slide"
    x_mm, y_mm, z_mm : radial, axial, vertical, from the nominal tool tip [mm]
    """

    part: str
    x_mm: float
    y_mm: float
    z_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Unit direction of a force or a reading, in the machine frame.

    Parameters
    ----------
    x, y, z : radial, axial, vertical; their squares add up to 1
    """

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PushReading:
    """One reading of a dial indicator while the stack is pushed.

    Parameters
    ----------
    stack : which stack stood on the slide
    force_n : at least 0 [N]
    force_at, force_along : where and in which direction it pushed
    read_at, read_along : where the indicator stood; motion along it is positive
    reading_um : change since the first, unloaded state [µm]
    uncertainty_um : one standard deviation [µm]
    phase : whether the force was last raised or lowered
    overhang_mm : of the tool, None where it is that of the case [mm]
    source : where it was written down
    """

    stack: StackName
    force_n: float
    force_at: Spot
    force_along: Heading
    read_at: Spot
    read_along: Heading
    reading_um: float
    uncertainty_um: float
    phase: Phase
    overhang_mm: float | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringPass:
    """A diameter turned at one setting, for the first time or once more.

    Parameters
    ----------
    stack : which stack stood on the slide
    depth_mm : radial depth that was set for the first pass [mm]
    feed_mm : feed per revolution [mm]
    passes : which pass it is: 1 the cut itself, 2 the first spring pass
    diameter_set_mm, diameter_got_mm : wanted by the dial, measured on the work [mm]
    uncertainty_um : one standard deviation of the diameter [µm]
    source : where it was written down
    """

    stack: StackName
    depth_mm: float
    feed_mm: float
    passes: int
    diameter_set_mm: float
    diameter_got_mm: float
    uncertainty_um: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCut:
    """What was seen and heard in one cut.

    Parameters
    ----------
    stack : which stack stood on the slide
    depth_mm : depth that was set [mm]
    speed_rpm : of the spindle [rev/min]
    feed_mm : feed per revolution [mm]
    deflection_um : radial motion of the tip away from the work, if measured [µm]
    uncertainty_um : its standard deviation [µm]
    seen : motion as graded by eye
    threshold_um : the least motion that this eye sees, itself a guess [µm]
    chatter : whether it chattered, None if nobody noted it
    source : where it was written down
    """

    # Its name begins as those of tests do, and a test that imports it is not to run it.
    __test__: ClassVar[bool] = False

    stack: StackName
    depth_mm: float
    speed_rpm: float
    feed_mm: float
    deflection_um: float | None
    uncertainty_um: float | None
    seen: Grade | None
    threshold_um: float | None
    chatter: bool | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class TapResult:
    """One peak of a tap test.

    Parameters
    ----------
    stack : which stack stood on the slide
    struck, struck_along : where and in which direction it was struck
    heard : where the sensor sat, None for a microphone in the air
    frequency_hz, frequency_sd_hz : of the peak, and its standard deviation [Hz]
    damping_ratio, damping_sd : share of critical damping, and its standard deviation
    source : where it was written down
    """

    stack: StackName
    struck: Spot
    struck_along: Heading
    heard: Spot | None
    frequency_hz: float
    frequency_sd_hz: float
    damping_ratio: float
    damping_sd: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """All that was measured, by kind, in the order of the files."""

    pushes: tuple[PushReading, ...] = ()
    springs: tuple[SpringPass, ...] = ()
    cuts: tuple[TestCut, ...] = ()
    taps: tuple[TapResult, ...] = ()
