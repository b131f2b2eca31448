"""Run by test_importer in a process of its own: read every file of a folder, and report what it took.

Prints a JSON list of [name, seconds of processor time, message, MB at the peak so far].
"""

import json
import re
import sys
import time
from pathlib import Path

from signplan.artwork.importer import read_artwork
from signplan.artwork.read_height import read_height
from signplan.errors import InputError


def peak() -> float:
    """Memory at the peak, MB; the figure of getrusage would count the parent's too."""
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\s*(\d+) kB", status)[1]) / 1024


def main() -> None:
    rows = []
    for path in sorted(Path(sys.argv[1]).iterdir()):
        start, message = time.process_time(), "read"
        try:
            (read_height if path.suffix in (".png", ".stl") else read_artwork)(path)
        except InputError as refusal:
            message = str(refusal)
        seconds = time.process_time() - start
        rows.append((path.name, seconds, message, peak()))
    print(json.dumps(rows))


main()
