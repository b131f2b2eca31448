"""Which files are looked into at all: real ones, of a kind that is read, of a size that a drawing has."""

from collections.abc import Collection
from pathlib import Path

from signplan.errors import InputError, Problem

MOST_BYTES = 100 << 20
"""A drawing of a sign has a few megabytes; a hundred are a mistake."""

_FOREIGN = (
    (b"AC10", "a DWG drawing, whatever its name says; export it as DXF"),
    (b"\x1f\x8b", "a compressed file; unpack it first"),
    (b"PK\x03\x04", "a ZIP archive; unpack it first"),
    (b"%PDF", "a PDF; export the drawing as DXF or SVG"),
    (b"%!PS", "PostScript; export the drawing as DXF or SVG"),
)
_PICTURES = (b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"II*\x00", b"MM\x00*")


def check_art_file(path: Path, suffixes: Collection[str]) -> None:
    """Refuse what is no file of these kinds, before anything is loaded.

    Raises:
        InputError: with the reason and the way out.
    """
    message = _fault(path, suffixes)
    if message:
        raise InputError(Problem(file=path.name, message=message))


def _fault(path: Path, suffixes: Collection[str]) -> str:
    kinds = " or ".join(suffix[1:].upper() for suffix in suffixes)
    try:
        if path.is_dir():
            return f"is a folder; name a {kinds} file in it"
        if not path.exists():
            return "no such file"
        if not path.is_file():
            return "is no ordinary file"
        size = path.stat().st_size
        if path.suffix.lower() not in suffixes:
            return f"only {kinds} is read here; export it as one of them"
        if size == 0:
            return "the file is empty"
        if size > MOST_BYTES:
            return f"the file has {size >> 20} MB; a drawing of a sign has less than {MOST_BYTES >> 20}"
        with path.open("rb") as file:
            head = file.read(16)
    except (OSError, ValueError) as error:
        return f"cannot be read: {getattr(error, 'strerror', None) or error}"
    if path.suffix.lower() in (".dxf", ".svg") and head.startswith(_PICTURES):
        return "a picture, whatever its name says; trace it, or use it as the heights of a relief"
    return next((what for magic, what in _FOREIGN if head.startswith(magic)), "")
