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


def data_frame(table: Table, names: Iterable[str] | None = None) -> pd.DataFrame:
    """Some columns of a table, as far as it has them; all if no names are given."""
    known = list(table.columns)
    wanted = known if names is None else [name for name in names if name in known]
    return pd.DataFrame({name: table[name] for name in wanted})
