"""Draws the artwork of the demo jobs: python demo_jobs/drawing FONTS

FONTS holds cinzel-latin-700-normal.woff, cinzel-latin-900-normal.woff, rokkitt-latin-600-normal.woff and
rokkitt-latin-800-normal.woff, from the folder `files` of the npm packages @fontsource/cinzel and
@fontsource/rokkitt. The drawings are kept with the jobs, so this is needed only to change one.
"""

import sys
from pathlib import Path

import crumbhollow_wrong
import ebbshaw_house
import gannet_and_thrum
import quillbeck_library
import skepwell_honey
import tansyrigg_orchard

JOBS = Path(__file__).parent.parent


def main() -> None:
    """Draws every job."""
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    for job in (
        gannet_and_thrum,
        skepwell_honey,
        ebbshaw_house,
        quillbeck_library,
        tansyrigg_orchard,
        crumbhollow_wrong,
    ):
        art = JOBS / job.__name__.replace("_", "-") / "art"
        art.mkdir(parents=True, exist_ok=True)
        job.draw(Path(sys.argv[1]), art)
        print(
            "\n".join(f"{file.stat().st_size:8} {file.relative_to(JOBS)}" for file in sorted(art.iterdir()))
        )


if __name__ == "__main__":
    main()
