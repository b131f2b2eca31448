"""The way in, and the last catch: a fault of ours becomes one line and a log file, exit status 3."""

import io
import os
import platform
import sys
import tempfile
import traceback

INTERNAL_FAULT = 3


def main() -> None:
    """Run the command line and exit."""
    try:
        from signplan.cli import app

        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="backslashreplace")  # a console that lacks a letter is no fault
        app()
    except Exception as error:
        print(f"signplan: an internal fault ({type(error).__name__}). {_log()}", file=sys.stderr)
        sys.exit(INTERNAL_FAULT)


def _log() -> str:
    """Write what happened to a new file in the temp folder; says where."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        ours = version("signplan")
    except PackageNotFoundError:
        ours = "not installed"
    head = f"signplan {ours}, Python {platform.python_version()}, {platform.platform()}\n{sys.argv}\n\n"
    try:
        handle, path = tempfile.mkstemp(prefix="signplan-", suffix=".log", text=True)
        with os.fdopen(handle, "w", encoding="utf-8") as log:
            log.write(head + traceback.format_exc())
    except OSError:
        return "No log could be written; it follows.\n" + head + traceback.format_exc()
    return f"This is our mistake, not yours; the log is {path}"


if __name__ == "__main__":
    main()
