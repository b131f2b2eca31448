from shapely import LineString, box

from signplan.artwork.model import Artwork, Layer, Line, Region


def test_size_and_layers():
    face = Layer(name="FACE", regions=(Region(shape=box(0, 0, 4, 2)),), aliases=("g1",))
    veins = Layer(name="veins", lines=(Line(shape=LineString([(0, 0), (9, 1)])),))
    artwork = Artwork(name="face.svg", units="mm", layers=(face, veins))
    assert artwork.size == (9, 2)
    assert artwork.layer("g1") is face
    assert artwork.layer("VEINS") is veins
    assert Artwork(name="face.svg", units="mm").size == (0, 0)
