"""The files of a new job folder: a job that works, its shop and its artwork."""

from collections.abc import Mapping
from importlib.resources import files

from signplan.job.read import EXAMPLE_SHOP
from signplan.units import Units

_JOBS = "starter_jobs"


def starter_files(units: Units) -> Mapping[str, bytes]:
    """The contents of a new job folder by their names in it."""
    package = files("signplan.job")
    ours = package.joinpath(_JOBS, units)
    shop = package.joinpath(EXAMPLE_SHOP) if units == "in" else ours.joinpath("shop.toml")
    return {
        "job.toml": ours.joinpath("job.toml").read_bytes(),
        "shop.toml": shop.read_bytes(),
        "art/face.svg": ours.joinpath("art", "face.svg").read_bytes(),
    }
