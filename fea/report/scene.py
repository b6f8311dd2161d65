"""Shaded pictures of a stack, drawn off-screen without any lettering."""

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fea.report.palette import DEFLECTION_MAP, DEFORMED_EDGE, LOAD, part_colour
from fea.report.surface import Surface
from fea.report.view import TOWARD_EYE, View
from geometry.libraries import PICTURE_LIBRARIES, require_libraries
from geometry.pad import FloatArray

Image = NDArray[np.uint8]

EDGE_ANGLE_DEG = 30.0
"""Faces that meet at more than this are drawn with an edge between them."""
FINER = 2
"""Pictures are drawn with this many times the pixels and averaged."""
LAMP = (0.3, 0.8, 1.4)
"""Place of the lamp as the eye sees it: right, up, toward the eye."""
EDGE_WIDTH = 2.0 * FINER
FAINT_WIDTH = 1.0 * FINER
EDGE_LIFT = 0.004
"""Edges stand this far before their faces, or these would swallow half of the line;
in half heights of the window. A parallel projection does not show it."""
EYE_DISTANCE = 10.0
"""In half heights of the window; a parallel projection needs only to stand off."""
ARROW = {"tip_length": 0.3, "tip_radius": 0.09, "shaft_radius": 0.035}
SWING = "swing"
"""Displacement at a vibration's far end, as drawn."""
WINDOW_CLASS = "VTK_DEFAULT_OPENGL_WINDOW"
MAX_NUMBERED_PARTS = 255


def parts_picture(surfaces: Sequence[Surface], view: View) -> Image:
    """Undeformed parts, each in its own colour, with their edges in black."""
    with _plotter(view) as plotter:
        for surface in surfaces:
            skin = _skin(surface, surface.points)
            plotter.add_mesh(skin, color=part_colour(surface.name), **SHADING)
            edges = _edges(skin, view)
            plotter.add_mesh(edges, color="black", line_width=EDGE_WIDTH)
        return _smooth(_shoot(plotter))


def visible_parts(surfaces: Sequence[Surface], view: View) -> Image:
    """Per pixel, 1 + the number of the part that is seen there, 0 for none."""
    if len(surfaces) > MAX_NUMBERED_PARTS:
        message = f"at most {MAX_NUMBERED_PARTS} parts can be told apart"
        raise ValueError(message)
    with _plotter(view, factor=1, background="black") as plotter:
        for number, surface in enumerate(surfaces, start=1):
            skin = _skin(surface, surface.points)
            plotter.add_mesh(skin, color=[number] * 3, lighting=False)
        return _shoot(plotter)[:, :, 0]


def deformed_picture(
    surfaces: Sequence[Surface],
    view: View,
    scale: float,
    top_um: float,
    arrow: FloatArray,
) -> Image:
    """Deformed parts coloured by movement, undeformed edges in black, the load.

    Parameters
    ----------
    scale : displacements are drawn this many times too large
    top_um : movement at the dark end of the colours [um]
    arrow : (2, 3) [mm], tail and head of the load's arrow
    """
    with _plotter(view) as plotter:
        for surface in surfaces:
            skin = _skin(surface, surface.deformed(scale))
            _add_coloured(plotter, skin, surface, top_um)
            plotter.add_mesh(
                _edges(skin, view), color=DEFORMED_EDGE, line_width=FAINT_WIDTH
            )
            outline = _edges(_skin(surface, surface.points), view)
            plotter.add_mesh(outline, color="black", line_width=EDGE_WIDTH)
        plotter.add_mesh(_arrow(arrow), color=LOAD, **SHADING)
        return _smooth(_shoot(plotter))


def swinging_pictures(
    surfaces: Sequence[Surface],
    view: View,
    scale: float,
    top_um: float,
    swings: Sequence[float],
) -> list[Image]:
    """Parts at several moments of a vibration, coloured by how far each point swings.

    Parameters
    ----------
    scale : displacements are drawn this many times too large
    top_um : swing at the dark end of the colours [um]
    swings : of each picture, fraction of the displacement; 1 is the far end
    """
    with _plotter(view) as plotter:
        moved = []
        for surface in surfaces:
            skin = _skin(surface, surface.points)
            skin.point_data[SWING] = scale * surface.displacement
            outline = _edges(skin, view)
            edges = outline.copy()
            _add_coloured(plotter, skin, surface, top_um)
            plotter.add_mesh(edges, color="black", line_width=EDGE_WIDTH)
            plotter.add_mesh(outline, color=DEFORMED_EDGE, line_width=FAINT_WIDTH)
            moved += [(mesh, mesh.points.copy()) for mesh in (skin, edges)]
        images = []
        for swing in swings:
            for mesh, rest in moved:
                mesh.points = rest + swing * mesh.point_data[SWING]
            plotter.render()
            images.append(_smooth(_shoot(plotter)))
        return images


SHADING: dict[str, Any] = {
    "smooth_shading": False,
    "ambient": 0.55,
    "diffuse": 0.5,
    "specular": 0.0,
}


@contextmanager
def _plotter(
    view: View, *, factor: int = FINER, background: str = "white"
) -> Iterator[Any]:
    """Off-screen window that is closed again whatever happens."""
    require_libraries(PICTURE_LIBRARIES)
    if sys.platform == "linux":
        # Off-screen needs no display; without this VTK complains that there is none.
        os.environ.setdefault(WINDOW_CLASS, "vtkEGLRenderWindow")
    import pyvista

    window = [factor * pixels for pixels in view.window]
    plotter = pyvista.Plotter(off_screen=True, window_size=window, lighting="none")
    try:
        plotter.set_background(background)
        plotter.disable_anti_aliasing()
        # One white lamp: the usual tinted ones would falsify the colour scale.
        lamp = pyvista.Light(position=LAMP, light_type="camera light", color="white")
        plotter.add_light(lamp)
        _aim(plotter.camera, view)
        yield plotter
    finally:
        plotter.close()


def _aim(camera: Any, view: View) -> None:
    away = TOWARD_EYE / np.linalg.norm(TOWARD_EYE)
    camera.focal_point = tuple(view.focus)
    camera.position = tuple(view.focus + EYE_DISTANCE * view.half_height * away)
    camera.up = (0.0, 0.0, 1.0)
    camera.parallel_projection = True
    camera.parallel_scale = view.half_height


def _shoot(plotter: Any) -> Image:
    plotter.reset_camera_clipping_range()
    return np.asarray(plotter.screenshot(return_img=True), dtype=np.uint8)


def _smooth(image: Image) -> Image:
    """Average over FINER x FINER pixels: smooth edges without help of the driver."""
    height, width, colours = image.shape
    # Whole numbers, row of pixels by row: a mean over two axes takes ten times as long.
    total = np.zeros((height // FINER, width // FINER, colours), dtype=np.uint16)
    for row in range(FINER):
        for column in range(FINER):
            total += image[row::FINER, column::FINER]
    return np.asarray(np.rint(total / FINER**2), dtype=np.uint8)


def _add_coloured(plotter: Any, skin: Any, surface: Surface, top_um: float) -> None:
    """Show a part's skin, coloured by movement up to the dark end `top_um`."""
    plotter.add_mesh(
        skin,
        scalars=surface.movement_um,
        cmap=DEFLECTION_MAP,
        clim=(0.0, top_um),
        show_scalar_bar=False,
        **SHADING,
    )


def _skin(surface: Surface, points: FloatArray) -> Any:
    import pyvista

    return pyvista.PolyData.from_regular_faces(points, surface.triangles)


def _edges(skin: Any, view: View) -> Any:
    edges = skin.extract_feature_edges(
        feature_angle=EDGE_ANGLE_DEG,
        boundary_edges=False,
        non_manifold_edges=False,
        manifold_edges=False,
    )
    edges.points += EDGE_LIFT * view.half_height * TOWARD_EYE
    return edges


def _arrow(ends: FloatArray) -> Any:
    import pyvista

    tail, head = ends
    return pyvista.Arrow(start=tail, direction=head - tail, scale="auto", **ARROW)
