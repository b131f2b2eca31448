import pytest

from signplan.artwork.importer import read_artwork
from signplan.job.read import read_job
from signplan.job.starter import starter_files


@pytest.fixture(params=["in", "mm"])
def folder(request, tmp_path):
    for name, content in starter_files(request.param).items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
    return tmp_path


def test_a_new_job_is_sound(folder):
    loaded = read_job(folder)
    assert loaded.shop_file == folder / "shop.toml"
    assert {carve.treatment for carve in loaded.job.carve} == {"raise", "incise", "edge"}


def test_its_layers_are_in_its_artwork(folder):
    loaded = read_job(folder)
    artwork, findings = read_artwork(folder / "art" / "face.svg")
    wanted = {art.layer for carve in loaded.job.carve for art in (carve.art, carve.within) if art}
    assert {layer.name for layer in artwork.layers} == wanted | {loaded.job.sign.outline.layer}
    assert not findings


def test_its_outline_has_no_symmetry_that_hides_a_missing_mirror(folder):
    artwork, _ = read_artwork(folder / "art" / "face.svg")
    outline = next(layer for layer in artwork.layers if layer.name == "outline").regions[0].shape
    west, _, east, _ = outline.bounds
    assert outline.centroid.x != pytest.approx((west + east) / 2)


def test_every_key_is_commented_where_it_stands_first(folder):
    head = (folder / "job.toml").read_text().split("[[hardware.part]]")[0]
    assert head.count("#") > 15
