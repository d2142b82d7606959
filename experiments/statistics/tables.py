"""What the statistics read of rehearsals: columns by name. A data frame is such a table."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Protocol

import pandas as pd


class Table(Protocol):
    """A row a rehearsal, in columns."""

    def __len__(self) -> int: ...

    def __getitem__(self, name: str, /) -> pd.Series: ...

    @property
    def columns(self) -> Iterable[Any]:
        """The names of the columns, in order."""


def data_frame(table: Table) -> pd.DataFrame:
    """All columns of a table at once."""
    return pd.DataFrame({name: table[name] for name in table.columns})
