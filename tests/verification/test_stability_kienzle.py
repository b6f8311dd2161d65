"""Least limit of a real edge: Kienzle's slope, the entering angle, a mode askew.

b = 2 k zeta (1 + zeta)/Kf of one mode along the edge's normal (Tlusty; Altintas,
Manufacturing Automation), Kf by hand from Kienzle's law; a mode at an angle is felt and
pushed by its cosine each, and the depth is the width times the sine of the entering
angle. Tolerance: between the frequencies that are searched, see `test_stability_limit`.
"""

import numpy as np
import pytest

from fea.core.modal_model import ModalModel, receptance
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import cutting_matrix, force_slopes, turning_edge
from fea.machining.stability import EdgeGrid, search_frequencies, smallest_limit
from fea.machining.work_material import load_work_materials

SEARCHED = 5e-3


@pytest.mark.parametrize("entering_deg", [45.0, 60.0, 90.0])
@pytest.mark.parametrize("tilt_deg", [0.0, 30.0])
def test_kienzles_slope_and_the_edges_own_normal_give_the_depth(
    entering_deg: float, tilt_deg: float
) -> None:
    stiffness, damping, kappa = 2.0e4, 0.03, np.radians(entering_deg)
    # Chip as thick at every angle, so that the slopes are the same.
    cut = Cut(
        feed_mm=0.1 / np.sin(kappa),
        entering_angle_deg=entering_deg,
        nose_radius_mm=0.0,
        rake_deg=0.0,
    )
    depths = np.geomspace(0.05, 60.0, 12)
    turned = turning_edge(cut, depths)
    slopes = force_slopes(load_work_materials()["medium_carbon_steel"], cut, turned)
    edge = cutting_matrix(turned, slopes)
    # Slope of kc1.1 ratio (h/0.2)^-q h^(1 - mc) at 0.1 mm: kc1.1 1500, mc 0.22, ratio
    # 0.65, q 0.27, as the row has them.
    thrust = 0.51 * 1500.0 * 0.1**-0.22 * 0.65 * (0.2 / 0.1) ** 0.27
    width = 2.0 * stiffness * damping * (1.0 + damping) / thrust
    lean = np.radians(tilt_deg)
    way = np.array([[np.sin(lean), np.cos(lean), 0.0]])
    model = ModalModel(
        frequency_hz=np.array([200.0]),
        damping_ratio=np.array([damping]),
        shapes=way * 2.0 * np.pi * 200.0 / np.sqrt(stiffness),
        residual=np.zeros((3, 3)),
    )
    grid = EdgeGrid(depth_mm=depths, cutting=edge, damping=np.zeros_like(edge))
    frequency = search_frequencies(model)
    gain = receptance(model, frequency)
    found = smallest_limit(frequency, gain, grid).depth_mm[0]
    # The mode is felt along the normal, and pushed along it, by a cosine.
    felt = np.cos(np.pi / 2.0 - kappa - lean)
    assert found == pytest.approx(width * np.sin(kappa) / felt**2, rel=SEARCHED)
