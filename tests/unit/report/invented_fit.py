"""An invented answer of a fit, one observation or more of every kind."""

from typing import Any

import numpy as np

from fea.analysis.member import Group
from fea.measurement.answer import (
    Blame,
    Change,
    FitAnswer,
    RecordAnswer,
    StackCalibration,
)
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.fit_records import BLAMED, LIMIT, RATIO
from fea.measurement.identifiability import (
    Confused,
    Identifiability,
    MemberKnowledge,
)
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import Observation, observations
from fea.measurement.record import (
    Heading,
    PushReading,
    Records,
    Source,
    Spot,
    SpringPass,
    TapResult,
    TestCut,
)
from fea.measurement.refutation import Refutation

TIP = Spot(part="tool bit", x_mm=0.0, y_mm=0.0, z_mm=0.0)
POST = Spot(part="post body", x_mm=100.0, y_mm=108.0, z_mm=18.0)
RADIAL = Heading(x=1.0, y=0.0, z=0.0)
DOWN = Heading(x=0.0, y=0.0, z=-1.0)


def three(low: float, middle: float, high: float) -> np.ndarray:
    return np.array([low, middle, high])


def change(before: tuple[float, ...], after: tuple[float, ...]) -> Change:
    return Change(before=np.array(before), after=np.array(after))


def push(**changed: Any) -> PushReading:
    given: dict[str, Any] = {
        "stack": "quick-change",
        "force_n": 100.0,
        "force_at": TIP,
        "force_along": RADIAL,
        "read_at": POST,
        "read_along": RADIAL,
        "reading_um": 7.0,
        "uncertainty_um": 1.0,
        "phase": "loading",
        "overhang_mm": None,
        "source": Source(file="push.csv", line=5),
    }
    return PushReading(**given | changed)


def cut(**changed: Any) -> TestCut:
    given: dict[str, Any] = {
        "stack": "quick-change",
        "depth_mm": 2.0,
        "speed_rpm": 450.0,
        "feed_mm": 0.1,
        "deflection_um": -26.0,
        "uncertainty_um": 4.0,
        "seen": "plain",
        "threshold_um": 15.0,
        "chatter": True,
        "source": Source(file="cut.csv", line=6),
    }
    return TestCut(**given | changed)


def spring(**changed: Any) -> SpringPass:
    given: dict[str, Any] = {
        "stack": "four-way",
        "depth_mm": 0.2,
        "feed_mm": 0.1,
        "passes": 2,
        "diameter_set_mm": 19.0,
        "diameter_got_mm": 19.003,
        "uncertainty_um": 3.0,
        "source": Source(file="spring.csv", line=4),
    }
    return SpringPass(**given | changed)


def tap() -> TapResult:
    return TapResult(
        stack="four-way",
        struck=TIP,
        struck_along=RADIAL,
        heard=None,
        frequency_hz=207.0,
        frequency_sd_hz=0.2,
        damping_ratio=0.036,
        damping_sd=0.001,
        source=Source(file="tap.csv", line=5),
    )


def seen(record: object) -> Observation:
    """Return the first observation of a record."""
    kinds = {PushReading: "pushes", SpringPass: "springs", TestCut: "cuts"}
    return observations(Records(**{kinds[type(record)]: (record,)}))[0]


def record_answers(*pushes: PushReading) -> tuple[RecordAnswer, ...]:
    """Predictions about every observation; the number itself is in their middle."""
    records = Records(
        pushes=pushes or (push(),),
        springs=(spring(),),
        cuts=(cut(), cut(chatter=False, seen="none"), cut(seen="slight")),
        taps=(tap(),),
    )
    return tuple(_answer(each) for each in observations(records))


def _answer(each: Observation) -> RecordAnswer:
    from fea.report.fit_reading import number_of

    try:
        number: float | None = number_of(each)
    except ValueError:
        number = None
    middle = 3.0 if number is None else number
    half = 0.4 * abs(middle)
    return RecordAnswer(
        seen=each,
        measured=number,
        predicted=three(middle - 2.0 * half, middle + half, middle + 3.0 * half),
        calibrated=three(middle - half / 4.0, middle, middle + half / 4.0),
        residual=None if number is None else 0.5,
        chance=0.8 if number is None else None,
    )


def stack(name: str, chances: tuple[float, float, float]) -> StackCalibration:
    """A stack of which each group gives more than half with these chances."""
    shares = {"tool bit": 0.3, "holder": 0.15, "ground": 0.35, "gib": 0.2}
    if name == "four-way":
        shares["four-way block"] = shares.pop("holder")
    return StackCalibration(
        name=name,
        depth_mm=np.array([0.5, 1.0, 2.0]),
        deflection_um=Change(
            before=np.linspace(-1.0, -30.0, 27).reshape(3, 3, 3),
            after=np.linspace(-2.0, -20.0, 27).reshape(3, 3, 3),
        ),
        stiffness_n_per_um=change((8.4, 12.0, 15.0), (11.0, 11.7, 12.0)),
        limit_mm=change((1.2, 4.5, np.inf), (2.9, 3.3, 3.7)),
        smallest_mm=change((0.9, np.inf, np.inf), (2.6, 3.0, 3.3)),
        shares={
            name: change((0.5 * s, s, 1.5 * s), (0.9 * s, s, 1.1 * s))
            for name, s in shares.items()
        },
        blame=tuple(
            Blame(
                group=group,
                share=change((0.1, 0.3, 0.6), (0.2, 0.33, 0.55)),
                chance_before=0.2,
                chance_after=chance,
            )
            for group, chance in zip(Group, chances, strict=True)
        ),
    )


def gain(question: str, record: object, left: float) -> Gain:
    now = three(0.34, 0.4, 0.48)[[0, 2]]
    return Gain(
        question=question,
        seen=seen(record),
        expected=three(10.0, 12.0, 14.0),
        left=left,
        band_now=now,
        band_then=0.41 + left * (now - 0.41),
    )


def gains() -> tuple[Gain, ...]:
    there = push(force_at=POST, read_at=TIP)
    return (
        gain(BLAMED, push(), 0.5),
        gain(BLAMED, there, 0.51),
        gain(BLAMED, push(force_along=DOWN), 0.7),
        gain(BLAMED, push(read_at=TIP), 0.9999),
        gain(RATIO, push(), 0.6),
        gain(RATIO, spring(), 0.8),
        gain(LIMIT, cut(deflection_um=None, seen=None), 0.9),
    )


def make_answer(**changed: Any) -> FitAnswer:
    """An answer in which the slides are to blame by 81 %."""
    known = MemberKnowledge(
        name="gib",
        before_um=three(0.1, 0.2, 0.4),
        after_um=three(0.3, 0.35, 0.4),
        spread=0.2,
    )
    given: dict[str, Any] = {
        "records": record_answers(),
        "quick_change": stack("quick-change", (0.05, 0.0, 0.81)),
        "four_way": stack("four-way", (0.3, 0.0, 0.4)),
        "stiffness_ratio": change((0.86, 1.07, 1.4), (0.97, 1.08, 1.1)),
        "known": Identifiability(
            members=(known,),
            confused=(Confused(first="base", second="gib", correlation=-0.9),),
        ),
        "refutation": Refutation(chance=0.4, chance_without=0.4, odd=(), refuted=False),
        "next": gains(),
        "damping_ratio": 0.03,
        "warnings": ("The bands are worth no more than 12 independent sets.",),
    }
    return FitAnswer(**given | changed)


def make_constants() -> tuple[ConstantAnswer, ...]:
    """One constant that was told of, and one that was not."""
    wide = three(0.5, 1.0, 2.0)
    return (
        ConstantAnswer(
            name="gib: closure_um",
            member="gib",
            what="closing under pressure",
            before=wide,
            after=three(1.5, 1.8, 2.2),
            spread=0.28,
        ),
        ConstantAnswer(
            name="stud: loss factor",
            member="stud",
            what="loss factor",
            before=wide,
            after=wide,
            spread=1.0,
        ),
    )
