import numpy as np
import pytest
from PIL import Image

from signplan.artwork.read_height import read_height
from signplan.errors import InputError

RAMP = np.arange(12).reshape(3, 4)


def save(path, data, **how):
    Image.fromarray(data).save(path, **how)
    return path


def mesh(path, triangles, ascii_text=False):
    triangles = np.asarray(triangles, dtype="<f4")
    if ascii_text:
        lines = [f"vertex {x} {y} {z}" for triangle in triangles for x, y, z in triangle]
        path.write_text("solid a\n" + "\n".join(lines) + "\nendsolid a\n")
    else:
        record = np.zeros(len(triangles), [("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
        record["c"] = triangles
        path.write_bytes(b"\0" * 80 + len(triangles).to_bytes(4, "little") + record.tobytes())
    return path


def refusal(path) -> str:
    with pytest.raises(InputError) as caught:
        read_height(path)
    return str(caught.value)


def test_eight_and_sixteen_bits(tmp_path):
    for scale, kind in ((20, np.uint8), (5000, np.uint16)):
        heights = read_height(save(tmp_path / "heron.png", (RAMP * scale).astype(kind)))
        assert heights.values == pytest.approx(RAMP * scale / np.iinfo(kind).max)
        assert heights.extent == ()


def test_row_0_is_the_top_black_is_deep(tmp_path):
    heights = read_height(save(tmp_path / "heron.png", np.array([[0, 255], [255, 255]], dtype=np.uint8)))
    assert heights.values.tolist() == [[0, 1], [1, 1]]


def test_a_grey_picture_stored_in_colours(tmp_path):
    grey = (RAMP * 20).astype(np.uint8)
    assert read_height(save(tmp_path / "heron.png", np.dstack([grey] * 3))).values == pytest.approx(
        grey / 255
    )


def test_pictures_that_are_no_heights(tmp_path):
    path = tmp_path / "heron.png"
    save(path, np.array([[[9, 0, 0], [0, 0, 0]]], dtype=np.uint8))
    assert refusal(path) == "heron.png: the picture has colours, which are no heights; save it in grey"
    save(path, np.array([[[9, 9, 9, 0], [0, 0, 0, 255]]], dtype=np.uint8))
    assert "transparent in places" in refusal(path)
    save(path, np.zeros((50, 50), dtype=np.uint8))
    path.write_bytes(path.read_bytes()[:60])
    assert refusal(path) == "heron.png: no sound PNG picture; save it again as grey PNG"
    path.write_text("hello")
    assert "no sound PNG" in refusal(path)
    Image.new("1", (30_000, 30_000)).save(path)
    assert "too many pixels" in refusal(path)
    Image.new("1", (5_000, 5_000)).save(path)
    assert "too many pixels" in refusal(path)
    assert "only PNG or STL" in refusal(save(tmp_path / "heron.gif", np.zeros((5, 5), dtype=np.uint8)))


@pytest.mark.parametrize("ascii_text", [False, True])
def test_a_roof_seen_from_above(tmp_path, ascii_text):
    """A ridge at y = 10 of a 40 by 20 roof: height 1 in the middle, 0 at both eaves, the underside unseen."""
    a, b, c, d, e, f = (0, 0, 0), (40, 0, 0), (40, 20, 0), (0, 20, 0), (0, 10, 5), (40, 10, 5)
    roof = [(a, b, f), (a, f, e), (e, f, c), (e, c, d), (a, c, b), (a, d, c)]
    heights = read_height(mesh(tmp_path / "roof.stl", roof, ascii_text))
    assert heights.extent == (40, 20, 5)
    rows, columns = heights.values.shape
    assert (rows, columns) == (500, 1000)
    y = (rows - 0.5 - np.arange(rows)) / rows * 20
    assert heights.values == pytest.approx(np.tile((1 - np.abs(y - 10) / 10)[:, None], columns), abs=1e-6)


def test_a_half_ball_against_its_formula(tmp_path):
    manifold = pytest.importorskip("manifold3d")
    ball = manifold.Manifold.sphere(10, 400).trim_by_plane((0, 0, 1), 0).to_mesh()
    corners = np.asarray(ball.vert_properties)[:, :3][np.asarray(ball.tri_verts)]
    heights = read_height(mesh(tmp_path / "ball.stl", corners)).values
    side = (np.arange(1000) + 0.5) / 50 - 10
    x, y = np.meshgrid(side, side)
    wanted = np.sqrt(np.maximum(0, 100 - x**2 - y**2)) / 10
    inner = wanted > 0.2
    assert np.abs(heights - wanted)[inner].max() < 1e-3


def test_the_top_of_the_mesh_is_row_0(tmp_path):
    ramp = [((0, 0, 0), (10, 0, 0), (10, 10, 5)), ((0, 0, 0), (10, 10, 5), (0, 10, 5))]
    values = read_height(mesh(tmp_path / "ramp.stl", ramp)).values
    assert values[0, 0] > 0.99
    assert values[-1, 0] < 0.01


def test_meshes_that_are_no_heights(tmp_path):
    path = tmp_path / "roof.stl"
    flat = [((0, 0, 0), (1, 0, 0), (0, 1, 0))]
    assert "the mesh is flat" in refusal(mesh(path, flat))
    assert "the mesh is empty" in refusal(mesh(path, np.zeros((0, 3, 3))))
    assert "out of all bounds" in refusal(mesh(path, [((0, 0, 0), (np.nan, 0, 0), (0, 1, 5))]))
    whole = mesh(path, flat * 9).read_bytes()
    path.write_bytes(whole[:-7])
    assert "breaks off" in refusal(path)
    path.write_bytes(b"\0" * 80 + (2_000_000_000).to_bytes(4, "little"))
    assert "breaks off" in refusal(path)
    path.write_text("solid a\nvertex 0 0 0\nvertex 1 0")
    assert "breaks off" in refusal(path)
    path.write_text("solid a\nvertex 0 0 zero\nendsolid a")
    assert "no number" in refusal(path)
