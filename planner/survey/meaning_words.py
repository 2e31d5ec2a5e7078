"""What a thing in other people's files most likely means, and which of its columns says which fact."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from planner.survey.feature_meanings import BY_KEY, MEANINGS, Fact, Shape

CODE_COLUMNS = ("meaning", "type", "code", "fcode", "featurecode", "class", "kind", "category", "feature")
"""Columns that say what a thing is, by their letters alone, the most telling first."""
_ALSO: Mapping[str, tuple[str, ...]] = {
    "height": ("heightm", "treeheight", "hgt"), "state": ("condition", "health"), "width": ("widthm", "channelwidth"),
    "lies": ("position", "placement"), "what": ("utility", "servicetype"), "class": ("groundclass", "soil", "substrate",
                                                                                    "ground"),
    "risk": ("likelihood", "frequency"), "part": ("baseline", "drawn"), "neighbour": ("owner", "adjoining"),
    "sd": ("standarddeviation", "sdm"), "authority": ("manager", "managedby"), "bearing": ("azimuth", "direction"),
    "joules": ("outputj", "energy"), "built": ("yearbuilt", "year"), "seen": ("inspected", "seenon"),
    "use": ("landuse", "purpose"), "kind": ("vegetation", "vegtype"), "setback": ("buffer", "setbackm")}
"""Other names under which a fact is often kept, letters alone."""
_TELLS: Mapping[str, Mapping[str, tuple[tuple[str, str], ...]]] = {"service": {
    "lies": (("above ground", r"over ?head|aerial|pylons?|transmission"), ("below ground", r"under ?ground|buried")),
    "what": (("power", r"power ?lines?|power|electric\w*|[hlm]v|\d+ ?kv|transmission"),
             ("water pipe", r"water|pipe ?lines?|irrigation"), ("telephone", r"telephone|telecom\w*|phone|fibre|optic"),
             ("gas", r"gas"))}}
"""Meaning, fact: choices and the words that tell them, the first that is found before the others."""


def guessed_meaning(texts: Sequence[str], shape: Shape | None = None, among: Sequence[str] = tuple(BY_KEY)) -> str:
    """What texts about a thing suggest that it means; the first text that tells decides, its longest word in it,
    and of words as long as each other the last.

    Args:
        texts: What is said of it, the most telling first: its code, its layer, its name, its file.
        shape: Its shape; meanings that cannot have it are not taken. None to leave that open.
        among: Keys of the meanings that come into question.

    Returns:
        Key of a meaning; empty where nothing tells.

    Example:
        >>> guessed_meaning(["", "TREES_2019"], "area"), guessed_meaning(["old fence"], "line")
        ('trees', 'existing fence')
    """
    for text in texts:
        said = " ".join(re.sub(r"[^a-z]+", " ", text.casefold()).split())
        found = [(len(word), hit.start(), key) for key, words in _patterns() if key in among and _can_be(key, shape)
                 for word, pattern in words if (hit := pattern.search(said))]
        if found:
            return max(found)[2]
    return ""


def guessed_columns(meaning: str, columns: Sequence[str]) -> dict[str, str]:
    """Which column says which fact of a meaning, by its name.

    Args:
        meaning: Key of the meaning.
        columns: Names of the columns.

    Returns:
        Key of the fact to name of the column; facts for which there is none are left out.

    Example:
        >>> guessed_columns("trees", ["id", "Height (m)", "Condition"])
        {'height': 'Height (m)', 'state': 'Condition'}
    """
    known = BY_KEY.get(meaning)
    found: dict[str, str] = {}
    for fact in known.facts if known else ():
        wanted = names_of(fact)
        by_name = {letters(column): column for column in reversed(columns) if column not in found.values()}
        name = next((by_name[name] for name in wanted if name in by_name), "")
        if name:
            found[fact.key] = name
    return found


def told_choices(meaning: str, texts: Sequence[str]) -> dict[str, str]:
    """What the words about a thing tell of its facts, where no column says them.

    Args:
        meaning: Key of its meaning.
        texts: What is said of it: codes, layer, name, file.

    Example:
        >>> told_choices("service", ["overhead power", "33 kV"]), told_choices("service", ["gas main"])
        ({'lies': 'above ground', 'what': 'power'}, {'what': 'gas'})
    """
    said = " ".join(" ".join(re.sub(r"[^a-z0-9]+", " ", text.casefold()).split()) for text in texts)
    return {fact: choice for fact, tells in _TELLS.get(meaning, {}).items()
            if (choice := next((c for c, words in tells if re.search(rf"\b(?:{words})\b", said)), ""))}


def names_of(fact: Fact) -> tuple[str, ...]:
    """Names of columns that say a fact, letters alone, the best first.

    Args:
        fact: The fact.
    """
    own = letters(fact.key)
    unit = letters(fact.unit)
    return tuple(dict.fromkeys((own, letters(fact.label), f"{own}{unit}", f"{letters(fact.label)}{unit}",
                                *_ALSO.get(fact.key, ()))))


def letters(text: str) -> str:
    """A name with its letters and digits alone, in small letters.

    Args:
        text: The name.
    """
    return "".join(c for c in text.casefold() if c.isalnum())


def _can_be(key: str, shape: Shape | None) -> bool:
    return shape is None or shape in BY_KEY[key].shapes


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[str, tuple[tuple[str, re.Pattern[str]], ...]], ...]:
    return tuple((meaning.key, tuple((word, re.compile(rf"\b{re.escape(word)}(?:e?s)?\b"))
                                     for word in dict.fromkeys((meaning.key, meaning.label.casefold(),
                                                                *meaning.words))))
                 for meaning in MEANINGS)
