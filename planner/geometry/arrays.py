"""Arrays that nobody can change, and records that hold them."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Floats: TypeAlias = npt.NDArray[np.float64]
Integers: TypeAlias = npt.NDArray[np.int64]
Booleans: TypeAlias = npt.NDArray[np.bool_]


def frozen(values: npt.ArrayLike, dtype: Any = np.float64) -> npt.NDArray[Any]:
    """A contiguous array that cannot be written to.

    Args:
        values: Numbers, any shape.
        dtype: Type of the array's elements.

    Returns:
        The same numbers; the given array itself when it is already frozen.
    """
    array = np.ascontiguousarray(values, dtype=dtype)
    if array.flags.writeable:
        array = array.copy() if array is values else array
        array.flags.writeable = False
    return array


class SameByValue:
    """Mixin for frozen dataclasses with array fields: equal when every field is, NaN equal to NaN.

    Declare the dataclass with ``eq=False`` so that this ``__eq__`` stands. Hashing is by identity, which is what
    the caches of derived results key on.
    """

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        if self is other:
            return True
        if type(other) is not type(self):
            return NotImplemented
        return all(_same(getattr(self, f.name), getattr(other, f.name)) for f in fields(self))  # type: ignore[arg-type]

    def __hash__(self) -> int:
        return object.__hash__(self)


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        if not (isinstance(a, np.ndarray) and isinstance(b, np.ndarray)) or a.shape != b.shape:
            return False
        return bool(np.array_equal(a, b, equal_nan=a.dtype.kind == "f" and b.dtype.kind == "f"))
    return bool(a == b)
