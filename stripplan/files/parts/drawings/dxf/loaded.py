"""A DXF file as a document of the library: what is no such text, cut off or too large is refused before it is read."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

from stripplan.errors import InputError
from stripplan.files.fault_words import fault

if TYPE_CHECKING:
    from ezdxf.document import Drawing

MOST_TAGS = 1_500_000
"""Most pairs of lines, which is what a DXF file is made of."""
MOST_ENTITIES = 150_000
"""Most entities, table entries and vertices in a file."""


_ENTITY = re.compile(rb"^[ \t]*[+-]?0+[ \t]*\r?\n[ \t]*[^0-9\s+-]", re.MULTILINE)


def check_text(data: bytes, name: str) -> None:
    """Refuses what is no DXF text, is cut off, or would cost more than seconds."""
    if b" Binary DXF\r\n\x1a" in data[:30]:
        raise InputError(fault("binary.dxf", name))
    if data.startswith(b"AC10"):
        raise InputError(fault("binary.dwg", name))
    lines = [each.strip() for each in data[:4096].removeprefix(b"\xef\xbb\xbf").splitlines()]
    while lines[:1] == [b"999"]:
        del lines[:2]
    if lines[:2] != [b"0", b"SECTION"]:
        raise InputError(fault("dxf.other", name))
    if data[-200:].rstrip(b"\0\x1a \t\r\n").split()[-2:] != [b"0", b"EOF"]:
        raise InputError(fault("dxf.cut_off", name))
    tags = data.count(b"\n") // 2
    if tags > MOST_TAGS:
        raise InputError(fault("too_large.pairs", name, count=tags, most=MOST_TAGS))
    entities = sum(1 for _ in _ENTITY.finditer(data))
    if entities > MOST_ENTITIES:
        raise InputError(fault("too_large.entities", name, count=entities, most=MOST_ENTITIES))


def loaded(data: bytes, name: str) -> Drawing:
    import logging

    from ezdxf.filemanagement import dxf_stream_info, read

    def stream(encoding: str) -> io.TextIOWrapper:
        return io.TextIOWrapper(io.BytesIO(data), encoding=encoding, errors="surrogateescape")

    log = logging.getLogger("ezdxf")
    before, log.disabled = log.disabled, True  # what it has to say of a file is no news for the shell
    try:
        encoding = dxf_stream_info(stream("latin-1")).encoding
        if b"\\U+" not in data:
            return read(stream(encoding))
        return read(io.StringIO(_ESCAPED.sub(_letter, stream(encoding).read())))
    except Exception:  # whatever stops the library, the drawing is at fault
        raise InputError(fault("dxf.damaged", name)) from None
    finally:
        log.disabled = before


_ESCAPED = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
"""A letter that the drawing's code page lacks, as drawings before R2007 write it."""


def _letter(escaped: re.Match[str]) -> str:
    """The letter meant; what could be taken for the end of a line or a control stays as it is written."""
    letter = chr(int(escaped[1], 16))
    return letter if letter.isprintable() and letter > "\x7f" else escaped[0]
