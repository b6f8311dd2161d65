"""Newton's tangent against finite differences, at states with all kinds of points."""

import numpy as np
import pytest
from contact_blocks import Rod, Seat, rigid_block, slope
from scipy.stats import special_ortho_group

from fea.core.contact_balance import balance
from fea.core.contact_law import ContactLaw, ContactPoints
from fea.core.contact_model import ContactModel, ContactState, SpringJoint
from fea.core.equilibrium import (
    clamp,
    load,
    settle,
    solve,
    tangent_compliance,
    tip_motion,
)
from fea.core.interface import Interface
from geometry.pad import FloatArray

PRELOAD = 4000.0
SIZES = (50.0, 40.0)
LAW = ContactLaw(closure=2e-3, exponent=0.5, tangential_ratio=0.6, friction=0.2)


def give(size: int, random: np.random.Generator) -> FloatArray:
    """Inverse of a flexibility like that of steel blocks, without any order in it."""
    turn = special_ortho_group.rvs(size, random_state=random)
    return np.asarray(turn.T @ np.diag(random.uniform(1e3, 1e4, size)) @ turn)


def elastic_model(*, yields: bool = False, spring: bool = True) -> ContactModel:
    """Block between two joints, one of them driven; with an elasticity of its own."""
    random = np.random.default_rng(5)
    common = {"law": LAW, "sizes": SIZES, "degree": 2, "order": 6, "pressure": 2.0}
    seat = Seat(name="seat", **common)
    wedge = Seat(
        name="wedge", height=30.0, side=-1.0, drive=PRELOAD, yields=yields, **common
    )
    foot = Seat(name="foot", height=-5.0, **common)
    stud = Rod(name="stud", axis="z", at=(3.0, 4.0, 0.0), stiffness=2e4, preload=800.0)
    rigid = rigid_block([seat, wedge, foot], [stud], (20.0, 5.0, 30.0))
    n = rigid.interface
    interface = Interface(
        slices=n.slices,
        inverse=give(n.size, random),
        rigid=n.rigid,
        tip=random.normal(scale=1e-6, size=n.tip.shape),
        tip_rigid=n.tip_rigid,
        tip_own=1e-5 * np.eye(3),
    )
    count = n.slices["foot"].stop - n.slices["foot"].start
    stiffness = np.full(count, 50.0 if spring else 1e-6)
    return ContactModel(
        interface=interface,
        contacts=rigid.contacts[:2],
        springs=(SpringJoint(name="foot", stiffness=stiffness),),
        ties=rigid.ties,
    )


def random_state(model: ContactModel, seed: int, *, clamped: bool) -> ContactState:
    """Joints partly open, with shear from before, some points beyond their limit."""
    random = np.random.default_rng(seed)
    size = model.interface.size
    coefficients = random.normal(scale=2e-2, size=size)
    points = {}
    for joint in model.contacts:
        coefficients[model.interface.slices[joint.name].start + 2] -= 0.04
        n = len(joint.weights)
        points[joint.name] = ContactPoints(
            slide=random.normal(scale=1e-4, size=(n, 2)),
            shear=random.normal(scale=0.05, size=(n, 2)),
            stiffness=random.uniform(20.0, 200.0, n),
        )
    return ContactState(
        coefficients=coefficients,
        rigid=random.normal(scale=1e-3, size=6),
        advance=np.array([1e-3]),
        tractions=np.zeros(size),
        tangent=np.zeros((size, size)),
        points=points,
        clamped=clamped,
        force=np.array([30.0, -40.0, -100.0]),
        stretches0=np.zeros(size),
    )


def moved(state: ContactState, change: FloatArray) -> ContactState:
    m = len(state.coefficients)
    return state.moved(
        coefficients=state.coefficients + change[:m],
        rigid=state.rigid + change[m : m + 6],
        advance=state.advance + change[m + 6 :],
    )


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("clamped", "yields"), [(False, False), (True, True), (True, False)]
)
def test_jacobian_is_the_slope_of_the_residual(
    seed: int,
    clamped: bool,
    yields: bool,
) -> None:
    model = elastic_model(yields=yields)
    state = random_state(model, seed, clamped=clamped)
    at = balance(model, state)
    kinds = [(f.pressure > 0.0, f.slips) for f in at.found.values()]
    pressed = np.concatenate([p for p, _ in kinds])
    slips = np.concatenate([s for _, s in kinds])
    assert 0 < pressed.sum() < len(pressed)
    assert 0 < slips.sum() < pressed.sum()
    columns = [
        slope(
            lambda t, unit=unit: balance(model, moved(state, t * unit)).residual, 1e-8
        )
        for unit in np.eye(len(at.residual))
    ]
    if clamped and not yields:
        # A wedge that is held has no residual; its row only keeps its step at 0.
        columns[-1] = np.eye(len(at.residual))[-1]
        at.jacobian[:-1, -1] = 0.0
    found = np.column_stack(columns)
    if clamped and not yields:
        found[-1] = at.jacobian[-1]
    # Second order in 1e-8 of motions near 1e-3, and round-off of residuals near 100.
    largest = np.abs(at.jacobian).max()
    assert np.abs(at.jacobian - found).max() < 1e-7 * largest


def pushed(model: ContactModel, force: FloatArray) -> ContactState:
    """Equilibrium from the clamped state, not settled: what slips goes on slipping."""
    return solve(model, clamp(model), force)


@pytest.mark.parametrize(
    "force", [(100.0, 50.0, -200.0), (900.0, 300.0, -500.0), (-700.0, 0.0, 1500.0)]
)
@pytest.mark.parametrize("yields", [False, True])
def test_tangent_compliance_is_the_slope_of_the_tips_motion(
    force: tuple[float, float, float],
    yields: bool,
) -> None:
    model = elastic_model(yields=yields)
    base = np.array(force)
    start = clamp(model)
    found = tangent_compliance(model, solve(model, start, base))
    columns = [
        slope(lambda t, a=a: tip_motion(model, solve(model, start, base + t * a)), 0.05)
        for a in np.eye(3)
    ]
    # Equilibria are found to 1e-8 of forces near 1e4 N, 1e-4 N beside a step of 0.05 N;
    # Newton's last step does far better than that.
    expected = np.column_stack(columns)
    assert np.abs(found - expected).max() < 1e-4 * np.abs(expected).max()


def test_the_way_to_a_load_slips_somewhere() -> None:
    # Without this the test above would only show the tangent of joints that stick.
    model = elastic_model()
    at = balance(model, pushed(model, np.array([900.0, 300.0, -500.0])))
    assert any(found.slips.any() for found in at.found.values())


def test_settled_compliance_is_that_of_a_small_step_back() -> None:
    model = elastic_model()
    state = load(model, clamp(model), np.array([900.0, 300.0, -500.0]))
    force = state.force
    found = tangent_compliance(model, state) @ force
    share = 1e-6
    back = solve(model, state, (1.0 - share) * force)
    expected = (tip_motion(model, state) - tip_motion(model, back)) / share
    # Stiffness follows the pressure, and a step of 1e-6 changes it by as much; rounding
    # of the residual, 1e-8 of the forces, is divided by the step.
    assert found == pytest.approx(expected, rel=0.02, abs=1e-2 * np.abs(found).max())


def test_settling_moves_nothing() -> None:
    model = elastic_model()
    state = pushed(model, np.array([500.0, 0.0, -500.0]))
    again = solve(model, settle(model, state), state.force)
    largest = np.abs(state.tractions).max()
    assert np.abs(again.tractions - state.tractions).max() < 1e-7 * largest


def test_a_flexible_stack_in_equilibrium_balances_the_force() -> None:
    model = elastic_model()
    state = load(model, clamp(model), np.array([300.0, 100.0, -400.0]))
    n = model.interface
    missing = n.rigid.T @ state.tractions - n.tip_rigid.T @ state.force
    # Up to the tolerance of the search; moments have arms of tens of mm.
    assert np.abs(missing).max() < 1e-6 * np.abs(state.tractions).max() * 50.0
