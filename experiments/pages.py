"""HTML pages from templates: everything a user wrote is escaped, nothing is fetched."""

from __future__ import annotations

import base64
import io
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from matplotlib.axes import Axes


def page(template: str, **values: Any) -> str:
    """Fill a template of `experiments/templates`; every value is escaped for HTML."""
    return _environment().get_template(template).render(**values)


def _environment() -> Environment:
    # Autoescape for every template, whatever its name ends in.
    return Environment(
        loader=PackageLoader("experiments", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def png_in_page(ax: Axes, dpi: int = 150) -> str:
    """A figure as a data address, to stand in a page without a file of its own."""
    buffer = io.BytesIO()
    ax.figure.savefig(buffer, format="png", dpi=dpi)  # type: ignore[union-attr]
    return "data:image/png;base64," + base64.b64encode(buffer.getvalue()).decode("ascii")
