"""Tables of rehearsals packed as Parquet, and unpacked without losing a bit.

Every table is packed, whether or not it is written, so that a study in a folder and one in
memory have the same columns, types and bits. Packed, a row takes a third of its room.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from experiments.errors import RunError
from experiments.running.columns import described
from experiments.statistics.tables import data_frame


class Packed(NamedTuple):
    """Some rehearsals: the bytes of a Parquet file, and how many rows it has."""

    data: bytes
    rows: int


class Rehearsals:
    """The rehearsals 0 to n - 1 of one situation, a row each; a column is unpacked when asked for.

    So a study of very many rehearsals needs little more memory than one of few.

    Parameters
    ----------
    parts : all of them and maybe more, in order. n : how many are meant.

    Raises
    ------
    RunError : if the columns of the parts differ.
    """

    def __init__(self, parts: Sequence[Packed], n: int) -> None:
        self._parts, self._n = tuple(parts), n
        schema, *others = (self._file(part).schema_arrow for part in self._parts)
        for other in others:
            if other != schema:
                raise RunError(
                    "two chunks of one study have different columns: "
                    f"{schema.names} and {other.names}"
                )
        self.columns: list[str] = schema.names

    def __len__(self) -> int:
        return self._n

    def __getitem__(self, name: str) -> pd.Series:
        if name not in self.columns:
            raise KeyError(name)
        parts = [self._file(part).read([name]).column(0) for part in self._parts]
        whole = pa.chunked_array([chunk for part in parts for chunk in part.chunks])
        column = whole.slice(0, self._n)
        if pa.types.is_string(column.type):
            return column.to_pandas().rename(name)
        return pd.Series(column.combine_chunks().to_numpy(zero_copy_only=False).copy(), name=name)

    def pieces(self) -> Iterator[pd.DataFrame]:
        """All columns of some rows at a time, in order."""
        left = self._n
        for part in self._parts:
            if left > 0:
                yield data_frame(Rehearsals([part], min(part.rows, left)))
            left -= part.rows

    @staticmethod
    def _file(part: Packed) -> pq.ParquetFile:
        return pq.ParquetFile(pa.BufferReader(part.data))


def encode(frame: pd.DataFrame, ids: npt.NDArray[np.int64]) -> pa.Table:
    """Arrow table of one chunk, described, checked to hold one row for each of the rehearsals asked for.

    Raises
    ------
    RunError : if it holds other rehearsals, or a column that is neither numbers, true and false,
        nor words.
    """
    if "rehearsal" not in frame.columns or not np.array_equal(frame["rehearsal"].to_numpy(), ids):
        raise RunError(
            "the rehearsing function must return one row for each rehearsal it was given, in "
            "order, with its number in the column 'rehearsal'"
        )
    return described(pa.table({str(n): _column(str(n), frame[n]) for n in frame.columns}))


def pack(table: pa.Table) -> Packed:
    """A chunk packed."""
    return Packed(to_bytes(table), table.num_rows)


def to_bytes(table: pa.Table) -> bytes:
    """The table as a Parquet file."""
    sink = io.BytesIO()
    words = [f.name for f in table.schema if pa.types.is_string(f.type)]
    # Dictionaries of floats are keyed by value, which does not tell every NaN from another.
    pq.write_table(table, sink, use_dictionary=words, compression="zstd")
    return sink.getvalue()


def _column(name: str, column: pd.Series) -> pa.Array:
    values = column.to_numpy()
    if values.dtype.kind in "biuf":
        # from_pandas would turn NaN into a missing value and lose its bits.
        return pa.array(values, from_pandas=False)
    words = column.tolist()
    if not all(isinstance(word, str) for word in words):
        raise RunError(
            f"column {name!r} must hold numbers, true and false, or words; found "
            f"{next(type(w).__name__ for w in words if not isinstance(w, str))}"
        )
    return pa.array(words, type=pa.string())
