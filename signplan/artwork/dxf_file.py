"""Opening a DXF file: what is no drawing is refused, a known damage is mended, nothing is guessed."""

import contextlib
import gc
import io
import itertools
import logging
import re
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from signplan.artwork.remarks import Remarks
from signplan.errors import InputError, Problem
from signplan.findings import Severity

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"
_FIRST_CODE = re.compile(rb"(?:\xef\xbb\xbf)?\s*\d{1,3}\s*[\r\n]")
_TAIL = 256
_HEAD = 1 << 18
_BAD_NUMBER = re.compile(r"[Ii]nvalid floating point value.*?near line:? (\d+)")

_NUMBER_CODES = frozenset((*range(10, 60), *range(110, 150), *range(210, 240), *range(1010, 1060)))
"""Group codes whose value is a number with a point, as the open DXF reference has them."""

_ERRORS = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    EOFError,
    LookupError,
    RecursionError,
    TypeError,
    ValueError,
    struct.error,
)
"""What a damaged file makes the library raise, beside its own DXFError."""

_MARKERS = {
    "LWPOLYLINE": "AcDbPolyline",
    "SPLINE": "AcDbSpline",
    "ELLIPSE": "AcDbEllipse",
    "HATCH": "AcDbHatch",
}
"""Entities younger than the subclass marker, which the library cannot read without it."""
_COMMON_CODES = frozenset((5, 6, 8, 48, 60, 62, 67, 370, 420))


def open_dxf(path: Path, remarks: Remarks) -> "Drawing":
    """The document of a DXF file, ASCII or binary, of any release.

    Raises:
        InputError: the file is damaged, with the line where that is known.
    """
    with path.open("rb") as file:
        head = file.read(_HEAD)
        file.seek(-min(_TAIL, path.stat().st_size), io.SEEK_END)
        tail = file.read()
    if not tail.rstrip(b"\x00 \t\r\n\x1a").endswith(b"EOF"):
        _refuse(remarks, "the file breaks off before its end (no EOF); copy or export it again")
    if not head.startswith(_BINARY) and not _FIRST_CODE.match(head):
        _refuse(remarks, "no DXF drawing; export it as DXF")
    # The library scans fonts when it is imported, and speaks up if it cannot keep what it found.
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    with contextlib.redirect_stdout(io.StringIO()):
        import ezdxf  # noqa: F401
    document = _loaded(path, remarks, is_binary=head.startswith(_BINARY))
    if b"$INSUNITS" not in head and "$INSUNITS" in document.header:
        del document.header["$INSUNITS"]  # the library's own default: metres
    return document


def _loaded(path: Path, remarks: Remarks, *, is_binary: bool) -> "Drawing":
    from ezdxf import filemanagement
    from ezdxf.lldxf.const import DXFError

    try:
        with _without_sweeps():
            return filemanagement.readfile(path)
    except OSError:
        if path.exists() and not is_binary:
            _refuse(remarks, "no DXF drawing; export it as DXF")
        raise
    except (DXFError, *_ERRORS) as error:
        _refuse_bad_number(str(error), path, remarks)
    if is_binary:
        _refuse(remarks, "the binary DXF is damaged; export it as ASCII DXF")
    return _mended(path, remarks)


@contextlib.contextmanager
def refusing_damage(remarks: Remarks) -> Iterator[None]:
    """Make one refusal of whatever a damaged file makes the library raise."""
    from ezdxf.lldxf.const import DXFError

    try:
        yield
    except (DXFError, *_ERRORS) as error:
        message = f"the DXF is damaged: {error}; export it again"
        raise InputError(Problem(file=remarks.name, message=message)) from error


@contextlib.contextmanager
def _without_sweeps() -> Iterator[None]:
    """No garbage collection meanwhile: it would walk the growing document again and again, for nothing."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _refuse(remarks: Remarks, message: str, line: int = 0, excerpt: str = "") -> None:
    raise InputError(Problem(file=remarks.name, message=message, line=line, excerpt=excerpt))


def _refuse_bad_number(message: str, path: Path, remarks: Remarks) -> None:
    """A number that the library would read wrongly, such as `1,5` as 1."""
    match = _BAD_NUMBER.search(message)
    if match:
        line, excerpt = _line_of_bad_number(path, int(match[1]))
        _refuse(remarks, "no number; write numbers with a decimal point", line, excerpt)


def _line_of_bad_number(path: Path, near: int) -> tuple[int, str]:
    """The library names a line some way behind: look back for the last value that should be a number."""
    with path.open(encoding="latin-1") as file:
        lines = [line.strip() for line in itertools.islice(file, near + 2)]
    for number in range(len(lines) // 2 * 2, 0, -2):
        code, value = lines[number - 2 : number]
        if code.isdigit() and int(code) in _NUMBER_CODES and not _is_number(value):
            return number, value[:60]
    return near, ""


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _mended(path: Path, remarks: Remarks) -> "Drawing":
    """The document after the repairs that change no shape; refused if more would be needed."""
    from ezdxf import recover

    data = path.read_bytes()
    with refusing_damage(remarks):
        document, auditor = recover.read(io.BytesIO(_with_markers(data)))
    if auditor.errors:
        _refuse_bad_number(auditor.errors[0].message, path, remarks)
        _refuse(remarks, f"the DXF is damaged: {auditor.errors[0].message}; export it again")
    remarks.find(
        "art-repaired",
        Severity.NOTE,
        f"{remarks.name} breaks the rules of DXF and was repaired while it was read",
        hint="see on the proof that nothing is missing",
    )
    return document


def _with_markers(data: bytes) -> bytes:
    """The file with the header and the subclass markers that young entities need."""
    lines = data.decode("latin-1").splitlines()
    tags = list(zip((line.strip() for line in lines[::2]), lines[1::2], strict=False))
    out: list[tuple[str, str]] = []
    starts = [k for k, (code, _) in enumerate(tags) if code == "0"]
    for start, stop in zip(starts, [*starts[1:], len(tags)], strict=True):
        entity = tags[start:stop]
        marker = _MARKERS.get(entity[0][1].strip())
        if marker and not any(code == "100" for code, _ in entity):
            common = [tag for tag in entity[1:] if tag[0].isdigit() and int(tag[0]) in _COMMON_CODES]
            rest = [tag for tag in entity[1:] if tag not in common]
            entity = [entity[0], *common, ("100", "AcDbEntity"), ("100", marker), *rest]
        out.extend(entity)
    text = "".join(f"{code}\n{value}\n" for code, value in out)
    text = re.sub(r"(\$ACADVER\n\s*1\n)AC10(?:0\d|1[0-4])", r"\1AC1015", text)
    if "$ACADVER" not in text:
        text = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n" + text
    return text.encode("latin-1")
