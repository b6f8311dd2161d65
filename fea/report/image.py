"""A figure as the report keeps it: PNG file, inline SVG, words for who cannot see."""

import re
from base64 import b64encode
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PNG_DPI = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class Image:
    """One picture or plot.

    Parameters
    ----------
    name : of its PNG file, without the ending
    png : content of that file
    svg : element to stand in the page instead of the PNG, or None
    alt : what it shows, for who cannot see it
    caption : what to look at, under the picture
    gif : the same in motion, content of its GIF file, or None
    """

    name: str
    png: bytes
    svg: str | None
    alt: str
    caption: str
    gif: bytes | None = None

    @property
    def file_name(self) -> str:
        """Name of the PNG file."""
        return f"{self.name}.png"

    @property
    def gif_name(self) -> str:
        """Name of the GIF file."""
        return f"{self.name}.gif"

    @property
    def data_uri(self) -> str:
        """The PNG inside of an address, so that the page is one file."""
        return _address("png", self.png)

    @property
    def gif_uri(self) -> str | None:
        """The GIF inside of an address, or None."""
        return None if self.gif is None else _address("gif", self.gif)


def picture(figure: "Figure", name: str, alt: str, caption: str) -> Image:
    """Keep a shaded picture: pixels only."""
    return Image(name=name, png=_png(figure), svg=None, alt=alt, caption=caption)


def plot(figure: "Figure", name: str, alt: str, caption: str) -> Image:
    """Keep a plot: lines for the page, pixels for the file."""
    png = _png(figure)
    # Everything has its place now: finding it once more takes as long as drawing.
    figure.set_layout_engine("none")
    svg = inline_svg(_svg(figure), name)
    return Image(name=name, png=png, svg=svg, alt=alt, caption=caption)


def inline_svg(document: str, name: str) -> str:
    """Make an SVG document an element of a page.

    Names inside of it get `name` in front, since a page may hold several plots.
    Namespaces and metadata go: a page needs neither, and they hold web addresses.
    """
    element = document[document.index("<svg") :]
    element = re.sub(r"<metadata>.*?</metadata>", "", element, flags=re.DOTALL)
    element = re.sub(r'\s+xmlns(:\w+)?="[^"]*"', "", element)
    # Pictures within a plot are named by what they show, so equal ones alike; nothing
    # refers to them.
    element = re.sub(r'(<image [^>]*?)\bid="[^"]*"', r"\1", element)
    element = re.sub(r'\bid="', f'id="{name}-', element)
    element = element.replace("url(#", f"url(#{name}-")
    element = re.sub(r'(?:xlink:)?href="#', f'href="#{name}-', element)
    return element.replace("<svg", '<svg aria-hidden="true"', 1)


def _png(figure: "Figure") -> bytes:
    buffer = BytesIO()
    figure.savefig(buffer, format="png", dpi=PNG_DPI)
    return buffer.getvalue()


def _address(kind: str, content: bytes) -> str:
    return f"data:image/{kind};base64,{b64encode(content).decode('ascii')}"


def _svg(figure: "Figure") -> str:
    import matplotlib as mpl

    buffer = BytesIO()
    # Text stays text, and the same plot gives the same file.
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "report"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None})
    return buffer.getvalue().decode("utf-8")
