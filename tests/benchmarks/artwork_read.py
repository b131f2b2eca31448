"""How long artwork takes to read, join and nest, as a multiple of what `ezdxf.readfile` alone takes.

    .venv/bin/python tests/benchmarks/artwork_read.py [SEGMENTS]

Two drawings of 200,000 segments, both shuffled and half of them reversed: loose lines, and polylines of 40.
Each time is the better of two, all in one run; each drawing has a frame round all its rings.
"""

import math
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf

from signplan.artwork.importer import read_artwork


def rings(segments: int) -> list[list[tuple[float, float]]]:
    corners = [(k % 50 * 30.0, k // 50 * 30.0) for k in range(segments // 200)]
    turn = [math.tau * k / 200 for k in range(201)]
    return [
        [(x + 10 * math.cos(t), y + 10 * math.sin(t)) for t in turn[:-1]] + [(x + 10, y)] for x, y in corners
    ]


def draw(path: Path, segments: int, run: int) -> None:
    """The rings in pieces of `run` segments, in any order and direction."""
    document = ezdxf.new(units=4)
    space = document.modelspace()
    space.add_lwpolyline([(-50, -50), (2000, -50), (2000, 2000), (-50, 2000)], close=True)
    pieces = [ring[k : k + run + 1] for ring in rings(segments) for k in range(0, 200, run)]
    chance = random.Random(1)
    chance.shuffle(pieces)
    for piece in pieces:
        piece = piece[::-1] if chance.random() < 0.5 else piece
        if run == 1:
            space.add_line(*piece)
        else:
            space.add_lwpolyline(piece)
    document.saveas(path)


def best(call: Callable[[], object]) -> float:
    times = []
    for _ in range(2):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    segments = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    path = Path(tempfile.mkdtemp()) / "face.dxf"
    for run, what in ((1, "loose segments"), (40, "segments in polylines of 40")):
        draw(path, segments, run)
        layer = read_artwork(path)[0].layers[0]
        assert len(layer.regions) == 1
        assert len(layer.regions[0].shape.interiors) == segments // 200
        alone = best(lambda: ezdxf.readfile(path))
        whole = best(lambda: read_artwork(path))
        print(f"{segments} {what}: {alone:.2f} s alone, {whole:.2f} s read, {whole / alone:.2f} times")


main()
