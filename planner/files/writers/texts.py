"""Texts as other people's formats can hold them."""

from __future__ import annotations

import re

_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_CONTROLS = re.compile(r"[\x00-\x1f\x7f]+")


def xml_text(text: str) -> str:
    """A text without the characters that XML 1.0 cannot hold.

    Args:
        text: Any text.

    Source:
        W3C, Extensible Markup Language 1.0, fifth edition, production 2 (Char).

    Example:
        >>> xml_text("gate\\x0b 3 \\ufffe & <4>")
        'gate 3  & <4>'
    """
    return _NOT_IN_XML.sub("", text)


def one_line(text: str) -> str:
    """A text on one line, control characters as blanks.

    Args:
        text: Any text.

    Example:
        >>> one_line("North\\nboundary")
        'North boundary'
    """
    return _CONTROLS.sub(" ", xml_text(text))


def cut_to_bytes(text: str, most: int) -> str:
    """A text of so many bytes of UTF-8 at most; one that was cut ends in an ellipsis.

    Args:
        text: Any text.
        most: Bytes, three at least.

    Example:
        >>> cut_to_bytes("abcdefghij", 9), cut_to_bytes("abc", 9)
        ('abcdef…', 'abc')
    """
    raw = text.encode()
    if len(raw) <= most:
        return text
    return raw[:most - len("…".encode())].decode(errors="ignore") + "…"
