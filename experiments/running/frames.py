"""Convert tables of rehearsals to Arrow and back without losing a bit.

Every table is converted, whether or not it is written, so that a study in a folder and one in
memory have the same columns, types and bits.
"""

from __future__ import annotations

import io

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from experiments.errors import RunError
from experiments.running.columns import described


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


def decode(table: pa.Table) -> pd.DataFrame:
    """Data frame of an Arrow table made by `encode`, numbered from 0."""
    columns = {}
    for name, column in zip(table.column_names, table.columns, strict=True):
        if pa.types.is_string(column.type):
            columns[name] = pd.Series(column.to_pylist())
        else:
            columns[name] = pd.Series(column.combine_chunks().to_numpy(zero_copy_only=False).copy())
    return pd.DataFrame(columns)


def to_bytes(table: pa.Table) -> bytes:
    """The table as a Parquet file."""
    sink = io.BytesIO()
    words = [f.name for f in table.schema if pa.types.is_string(f.type)]
    # Dictionaries of floats are keyed by value, which does not tell every NaN from another.
    pq.write_table(table, sink, use_dictionary=words, compression="zstd")
    return sink.getvalue()


def from_bytes(data: bytes) -> pa.Table:
    """The table of a Parquet file made by `to_bytes`."""
    return pq.read_table(io.BytesIO(data))


def join(parts: list[pa.Table]) -> pa.Table:
    """One table of several chunks.

    Raises
    ------
    RunError : if their columns differ.
    """
    for part in parts[1:]:
        if part.schema != parts[0].schema:
            raise RunError(
                "two chunks of one study have different columns: "
                f"{parts[0].schema.names} and {part.schema.names}"
            )
    return pa.concat_tables(parts)


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
