"""Numbers and names of things as a sentence says them."""

from __future__ import annotations

from collections.abc import Sequence


def counted(number: int, one: str, several: str = "") -> str:
    """A number and its word.

    Args:
        number: The number.
        one: Word for one.
        several: Word for more; the one with an s where not given.

    Example:
        >>> counted(1, "corner"), counted(2, "corner"), counted(3, "stretch", "stretches")
        ('1 corner', '2 corners', '3 stretches')
    """
    return f"{number} {one if number == 1 else several or one + 's'}"


def listed(texts: Sequence[str]) -> str:
    """Texts in a row, the last behind an *and*.

    Args:
        texts: The texts.

    Example:
        >>> listed([]), listed(["a"]), listed(["a", "b", "c"])
        ('', 'a', 'a, b and c')
    """
    return " and ".join([", ".join(texts[:-1]), texts[-1]] if len(texts) > 1 else list(texts))


def few_listed(texts: Sequence[str], *, most: int = 3) -> str:
    """Texts in a row, the last behind an *and*; of too many the first, and how many more there are.

    Args:
        texts: The texts.
        most: As many are named.

    Example:
        >>> few_listed(["a", "b"]), few_listed(["a", "b", "c", "d", "e"])
        ('a and b', 'a, b, c and 2 more')
    """
    return listed(texts) if len(texts) <= most else few_of(texts, most=most)


def few_of(texts: Sequence[str], *, most: int = 3, joint: str = ", ") -> str:
    """Texts with a mark between them; of too many the first, and how many more there are.

    Args:
        texts: The texts.
        most: As many are named.
        joint: The mark.

    Example:
        >>> few_of(["a", "b"]), few_of(["a", "b", "c", "d", "e"])
        ('a, b', 'a, b, c and 2 more')
    """
    more = f" and {len(texts) - most} more" if len(texts) > most else ""
    return joint.join(texts[:most]) + more
