"""HTML pages from templates: everything a user wrote is escaped, nothing is fetched."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from matplotlib.axes import Axes
from PIL import Image


def page(template: str, **values: Any) -> str:
    """Fill a template of `experiments/handouts/templates`; every value is escaped for HTML."""
    environment = Environment(
        loader=PackageLoader("experiments.handouts", "templates"),
        autoescape=True,  # for every template, whatever its name ends in
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(**values)


@dataclass(frozen=True)
class Picture:
    """A picture as PNG with its size in inches."""

    png: bytes
    width: float
    height: float

    @property
    def address(self) -> str:
        """The picture as a data address, to stand in a page without a file of its own."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode("ascii")


def picture_of(ax: Axes, dpi: int = 150) -> Picture:
    """The figure of some axes without the empty room at its edges."""
    buffer = io.BytesIO()
    figure: Any = ax.figure
    # A panel keeps out of the layout of its figure, but belongs to the picture.
    panels = figure.findobj(lambda artist: artist.get_gid() == "panel")
    whole = [*figure.get_default_bbox_extra_artists(), *panels]
    cut: dict[str, Any] = {"bbox_inches": "tight", "pad_inches": 0.03, "bbox_extra_artists": whole}
    figure.savefig(buffer, format="png", dpi=dpi, **cut)
    with Image.open(buffer) as image:
        width, height = image.size
    return Picture(buffer.getvalue(), width / dpi, height / dpi)
