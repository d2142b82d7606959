"""The figures that charts draw on: known to no window system, shown by a notebook as they are."""

from __future__ import annotations

import io
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

# A page figure 6.9 inches wide fills the column of a notebook.
NOTEBOOK_DOTS_AN_INCH = 110


class ChartFigure(Figure):
    """A figure that a notebook shows as a picture without pyplot or any magic words."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        FigureCanvasAgg(self)

    def _repr_png_(self) -> bytes:
        """The picture, asked for by IPython's display."""
        picture = io.BytesIO()
        self.savefig(picture, format="png", dpi=NOTEBOOK_DOTS_AN_INCH)
        return picture.getvalue()
