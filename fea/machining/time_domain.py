"""Turning simulated in time: does the cut settle or chatter, and how far does it swing.

The simulation knows what the frequency domain leaves out: the force law's curve and the
tool that leaves the cut, so that chatter stops growing. It takes seconds for each
point, so it confirms a chart rather than makes one.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from fea.core.modal_model import ModalModel
from fea.machining.cut import Cut, require_within
from fea.machining.edge_stiffness import EdgeAt
from fea.machining.marching_edge import MarchingEdge, marching_edge, steady_force
from fea.machining.time_march import Beginning, march, oscillators
from fea.machining.work_material import WorkMaterial
from geometry.errors import InputError
from geometry.pad import FloatArray

STEPS_PER_PERIOD = 25
"""Of the fastest mode; 25 to 50 are usual (Schmitz & Smith, Machining Dynamics; from
memory). A force that is linear within a step is then 0.5 % off at that mode's pace, and
less where slower ones chatter."""
MOST_STEPS = 100_000
"""In a revolution: what the edge left at each is remembered, some 50 MB for a nose."""
SPEED_LIMITS_RPM = (1.0, 100_000.0)
DIAMETER_LIMITS_MM = (0.1, 2000.0)
DAMPING_LIMITS_N_PER_MM = (0.0, 10_000.0)
DEPTH_LIMITS_MM = (1e-3, 100.0)
FRICTION_LIMITS = (0.0, 1.0)
REVOLUTION_LIMITS = (1, 10_000)
SETTLED = 0.05
"""Change of the swing over a quarter of the revolutions so far, below which a vibration
counts as settled."""
KNOCK_LIMITS_MM = (0.0, 10.0)
SECONDS_PER_MINUTE = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """A cut on a lathe, but for its depth.

    Parameters
    ----------
    model : modes of the tool over the work, at the cut
    cut : feed and shape of the edge
    edge_at : `turning_edge`, `facing_edge` or, the depth then being the tool's
        width, `plunging_edge`
    material : constants of the work material
    speed_rpm : of the spindle
    diameter_mm : of the work where it is cut
    process_damping_n_per_mm : force against a piece of edge that moves along its normal
        while it cuts, for each length of edge and each velocity over cutting speed; 0
        leaves it out
    friction : of the flank: force downward over that force along the normal [-]

    Raises
    ------
    InputError
        A number outside of its limits, a mode that is not damped or is too fast for
        the spindle speed.
    """

    model: ModalModel
    cut: Cut
    edge_at: EdgeAt
    material: WorkMaterial
    speed_rpm: float
    diameter_mm: float
    process_damping_n_per_mm: float = 0.0
    friction: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be simulated."""
        _require_modes(self.model)
        for name, value, limits, unit, advice in (
            ("speed_rpm", self.speed_rpm, SPEED_LIMITS_RPM, "rev/min", "give a speed"),
            (
                "diameter_mm",
                self.diameter_mm,
                DIAMETER_LIMITS_MM,
                "mm",
                "give the diameter that is cut",
            ),
            (
                "process_damping_n_per_mm",
                self.process_damping_n_per_mm,
                DAMPING_LIMITS_N_PER_MM,
                "N/mm",
                "0 leaves process damping out",
            ),
            ("friction", self.friction, FRICTION_LIMITS, "-", "0 leaves it out"),
        ):
            require_within(f"simulation.{name}", value, limits, unit, advice)
        if self.steps > MOST_STEPS:
            fastest = self.model.frequency_hz.max()
            message = (
                f"simulation.speed_rpm = {self.speed_rpm:g} rev/min: modes up to "
                f"{fastest:.0f} Hz ask for {self.steps} steps a revolution, at most "
                f"{MOST_STEPS} are allowed; simulate a higher speed or keep fewer modes"
            )
            raise InputError(message)

    @property
    def revolution_s(self) -> float:
        """Time of one revolution. [s]."""
        return SECONDS_PER_MINUTE / self.speed_rpm

    @property
    def steps(self) -> int:
        """Steps in one revolution."""
        fastest = float(self.model.frequency_hz.max())
        return math.ceil(STEPS_PER_PERIOD * fastest * self.revolution_s)

    @property
    def damping_n_s_mm2(self) -> float:
        """Process damping for each length of edge and velocity. [N s/mm²]."""
        speed = math.pi * self.diameter_mm / self.revolution_s
        return self.process_damping_n_per_mm / speed


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulation:
    """What tip and force did.

    Parameters
    ----------
    time_s : (n,) since the cut began
    motion_mm : (n, 3) of the tip over the work, from where it stands without a cut
    force_n : (n, 3) on the tool
    peak_to_peak_mm : (3,) of the motion in the last revolution
    cutting_share : of the last revolution's time, in which there was a force
    """

    time_s: FloatArray
    motion_mm: FloatArray
    force_n: FloatArray
    peak_to_peak_mm: FloatArray
    cutting_share: float


def simulate(
    turning: Turning,
    depth_mm: float,
    revolutions: int,
    knock_mm: float | None = None,
    most: int | None = None,
) -> Simulation:
    """Motion of tool and work in a cut, with the tool free to leave it.

    Parameters
    ----------
    turning : all but the depth
    depth_mm : that is cut when all is at rest: the depth that is set, less the
        radial motion
    revolutions : to simulate
    knock_mm : without it the edge enters the full cut at once from rest; with it the
        cut is steady until every mode is knocked, so that the tip swings so far at
        most
    most : go on until the swing has settled, but not beyond so many revolutions

    Returns
    -------
    Simulation

    Raises
    ------
    InputError
        Depth, revolutions or knock outside of their limits.
    SolveError
        The cut is stiffer than the modes left out allow for.
    """
    low, high = REVOLUTION_LIMITS
    if not low <= revolutions <= high:
        message = (
            f"simulation.revolutions = {revolutions}: must be from {low} to {high}; "
            "some tens show whether a cut settles"
        )
        raise InputError(message)
    if knock_mm is not None:
        require_within(
            "simulation.knock_mm", knock_mm, KNOCK_LIMITS_MM, "mm", "give a small swing"
        )
    turns = revolutions_of(turning, np.array([depth_mm]), knock_mm)
    done = list(islice(turns, revolutions))
    while most is not None and len(done) < most and not _settled(done):
        done.append(next(turns))
    motion, force = (np.concatenate(each)[:, 0] for each in zip(*done, strict=True))
    last = slice(-turning.steps, None)
    step_s = turning.revolution_s / turning.steps
    return Simulation(
        time_s=step_s * np.arange(1.0, len(motion) + 1.0),
        motion_mm=motion,
        force_n=force,
        peak_to_peak_mm=np.ptp(motion[last], axis=0),
        cutting_share=float((force[last] != 0.0).any(axis=1).mean()),
    )


def _settled(turns: Sequence[tuple[FloatArray, FloatArray]]) -> bool:
    """Whether the tip swings as far as some revolutions ago."""
    now, before = (
        float(np.linalg.norm(np.ptp(turns[at][0], axis=0)))
        for at in (-1, -1 - len(turns) // 4)
    )
    return abs(now - before) <= SETTLED * before


def _require_modes(model: ModalModel) -> None:
    if model.frequency_hz.size == 0:
        message = "simulation.model has no modes: keep at least one"
        raise InputError(message)
    bad = (model.damping_ratio <= 0.0) | (model.damping_ratio >= 1.0)
    if bad.any():
        message = (
            f"simulation.damping_ratio = {model.damping_ratio[bad][0]:g} at "
            f"{model.frequency_hz[bad][0]:.0f} Hz: must be above 0 and below 1; give "
            "the joints or the mode a damping that swings out"
        )
        raise InputError(message)


def revolutions_of(
    turning: Turning, depth_mm: FloatArray, knock_mm: float | None
) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Motion and force, revolution after revolution, without end.

    Parameters
    ----------
    turning : all but the depth
    depth_mm : (n_depth,) that are cut, marched side by side
    knock_mm : as for `simulate`

    Returns
    -------
    iterator over motion, force : (steps, n_depth, 3) [mm], [N]

    Raises
    ------
    InputError
        A depth outside of its limits.
    SolveError
        The cut is stiffer than the modes left out allow for; raised at the first
        revolution.
    """
    edge = marching_at(turning, depth_mm)
    modes = oscillators(turning.model, turning.revolution_s / turning.steps)
    stands, force = steady_cut(turning, edge)
    state = force @ modes.at_rest
    if knock_mm is None:
        state, force, stands = (np.zeros_like(each) for each in (state, force, stands))
    else:
        # The real part of a state is the velocity that it was given.
        reach = np.linalg.norm(turning.model.shapes, axis=1)
        share = knock_mm / reach.size * 2.0 * np.pi * turning.model.frequency_hz
        state[..., 0::2] += np.divide(
            share, reach, out=np.zeros_like(reach), where=reach > 0.0
        )
    begin = Beginning(
        state=state, force_n=force, stands_mm=stands[..., :2] @ edge.normal
    )
    return march(modes, edge, begin, turning.steps)


def marching_at(turning: Turning, depth_mm: FloatArray) -> MarchingEdge:
    """Engaged edge at several depths. `depth_mm` (n_depth,)."""
    for depth in depth_mm:
        require_within(
            "simulation.depth_mm",
            float(depth),
            DEPTH_LIMITS_MM,
            "mm",
            "give the depth that is cut",
        )
    return marching_edge(
        turning.material,
        turning.cut,
        turning.edge_at(turning.cut, depth_mm),
        turning.damping_n_s_mm2,
        turning.friction,
    )


def steady_cut(turning: Turning, edge: MarchingEdge) -> tuple[FloatArray, FloatArray]:
    """Motion and force of the steady cut. Both (n_depth, 1, 3)."""
    force = steady_force(edge)
    return np.asarray(force @ turning.model.static_compliance.T), force
