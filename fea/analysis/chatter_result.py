"""What was found about chatter: modes, limits of the depth of cut, advice."""

from dataclasses import dataclass
from enum import StrEnum

from fea.analysis.result import PartField, Share
from fea.analysis.simulation_result import Simulated
from geometry.pad import FloatArray


class Regime(StrEnum):
    """What a depth of cut does at a speed."""

    SAFE = "safe"
    SPEED_DEPENDENT = "speed-dependent"
    CHATTER = "chatter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """A natural mode of a stack about its working state.

    Parameters
    ----------
    frequency_hz, damping_ratio : undamped frequency; ratio of critical
    tip : (3,) direction in which the tip moves, of unit length
    stiffness_n_per_um : modal stiffness at the tip, along `tip`
    mass_kg : effective mass at the tip, along `tip`
    shares : of the mode's strain energy by member; they sum to 1
    """

    frequency_hz: float
    damping_ratio: float
    tip: FloatArray
    stiffness_n_per_um: float
    mass_kg: float
    shares: tuple[Share, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimits:
    """Largest stable depth of cut at some spindle speeds.

    For grooving and parting a depth is the width of the tool.

    Parameters
    ----------
    speed_rpm : (n,)
    limit_mm : (n,) infinite where nothing up to the largest depth tried chatters
    frequency_hz : (n,) of the vibration at the limit; NaN where there is none
    band_mm : (2, n) 5 and 95 % of what uncertain constants allow
    """

    speed_rpm: FloatArray
    limit_mm: FloatArray
    frequency_hz: FloatArray
    band_mm: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class ChatterMap:
    """How likely a depth chatters at a speed.

    Parameters
    ----------
    speed_rpm : (n,)
    depth_mm : (k,)
    probability : (k, n) fraction of the sets of constants with which it chatters
    """

    speed_rpm: FloatArray
    depth_mm: FloatArray
    probability: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class StackChatter:
    """One stack's answer about chatter.

    Parameters
    ----------
    name : "quick-change" or "four-way"
    modes : lowest first
    chart : a fine axis of speeds, for drawing
    lathe : the lathe's own speeds
    chosen : the speed that the case means to cut at, one value
    smallest_mm : limit below which no speed chatters, without process damping
    smallest_band_mm : (2,) its 5 and 95 %
    smallest_frequency_hz : of the vibration there
    rigid_work_mm : `smallest_mm` if bar, chuck and spindle were rigid
    rigid_stack_mm : `smallest_mm` if everything that holds the tool were rigid
    map : probability over speed and depth
    samples : how many sets of constants the bands are made of
    deepest_mm : largest depth that was tried
    fields : shape of the mode that limits the depth, largest motion 1 mm
    limiting_mode : its number in `modes`
    """

    name: str
    modes: tuple[Mode, ...]
    chart: SpeedLimits
    lathe: SpeedLimits
    chosen: SpeedLimits
    smallest_mm: float
    smallest_band_mm: FloatArray
    smallest_frequency_hz: float
    rigid_work_mm: float
    rigid_stack_mm: float
    map: ChatterMap
    samples: int
    deepest_mm: float
    fields: tuple[PartField, ...]
    limiting_mode: int

    def regime(self, depth_mm: float) -> Regime:
        """Return what a depth does at the chosen speed."""
        if depth_mm < self.smallest_mm:
            return Regime.SAFE
        if depth_mm < float(self.chosen.limit_mm[0]):
            return Regime.SPEED_DEPENDENT
        return Regime.CHATTER


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One change to the quick-change stack or its cut, and what it was computed to do.

    Parameters
    ----------
    change : what to do, as the start of a sentence: "overhang 18 mm to 14 mm"
    limit_mm : stable depth at the chosen speed after it
    smallest_mm : limit over all speeds after it
    gain : `limit_mm` over that of the case as it is, less 1
    """

    change: str
    limit_mm: float
    smallest_mm: float
    gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chatter:
    """Both stacks with the same work, cut and speeds.

    Parameters
    ----------
    quantity : what a limit is of: "depth of cut" or "width of tool"
    advice : best first
    notes : what was assumed, one sentence each
    warnings : what makes the numbers doubtful
    simulated : cuts that were followed through time; None if that was not asked for
    """

    quantity: str
    quick_change: StackChatter
    four_way: StackChatter
    advice: tuple[Advice, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    simulated: Simulated | None = None
