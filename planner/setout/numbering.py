"""Short names: letters for lines, numbers along them, one form for each thing so that no two can be confused.

Line ``A``; its sections ``A1``, ``A2``; its posts ``A-0001``, ``A-0002``; its pegs ``A001``, ``A002``.
"""

from __future__ import annotations

from planner.errors import OutOfRange

LONGEST_NAME = 10
"""Characters that handheld receivers show of a point's name: common practice, no source."""
MOST_POSTS = 99_999
MOST_LINES = sum(26**letters for letters in range(1, 5))


def line_code(index: int) -> str:
    """Letters of a line by its place in the job: A to Z, AA to ZZ, and on.

    Args:
        index: Place in the job, counted from 0.

    Raises:
        OutOfRange: Below 0, or more lines than four letters can name.

    Example:
        >>> [line_code(i) for i in (0, 25, 26, 701, 702)]
        ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    if not 0 <= index < MOST_LINES:
        raise OutOfRange(f"a job's lines are counted from 0 to {MOST_LINES - 1}, not {index}",
                         remedy="split the job")
    letters = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def section_names(code: str, count: int) -> list[str]:
    """Ids of a line's sections, in order.

    Args:
        code: Letters of the line.
        count: Number of sections.

    Raises:
        OutOfRange: More than can be named in 10 characters.

    Example:
        >>> section_names("A", 3)
        ['A1', 'A2', 'A3']
    """
    return _numbered(code, "", count, digits=1, what="sections")


def post_names(code: str, count: int) -> list[str]:
    """Ids of a line's posts, in order; unique over the job.

    Args:
        code: Letters of the line.
        count: Number of posts.

    Raises:
        OutOfRange: More than can be named in 10 characters.

    Example:
        >>> post_names("B", 2)
        ['B-0001', 'B-0002']
    """
    return _numbered(code, "-", count, digits=4, what="posts")


def peg_names(code: str, count: int) -> list[str]:
    """Names of a line's pegs, in order; unique over the job.

    Args:
        code: Letters of the line.
        count: Number of pegs.

    Raises:
        OutOfRange: More than can be named in 10 characters.

    Example:
        >>> peg_names("A", 2)
        ['A001', 'A002']
    """
    return _numbered(code, "", count, digits=3, what="pegs")


def _numbered(code: str, joint: str, count: int, *, digits: int, what: str) -> list[str]:
    if count > MOST_POSTS:
        raise OutOfRange(f"{count} {what} are more than the {MOST_POSTS} that a line's names can count",
                         where=f"line {code}", remedy="split the line")
    digits = digits if digits == 1 else max(digits, len(str(count)))
    return [f"{code}{joint}{number:0{digits}d}" for number in range(1, count + 1)]
