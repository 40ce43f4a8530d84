"""Outlines over a picture that stands in a document, however it stands there."""

from __future__ import annotations

import base64

import numpy as np
import pytest
import shapely
from lxml import etree

from applique.errors import InputError
from applique.geometry.curves import flatten
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path
from applique.svg.transforms import apply, chain_of, compose, root_matrix
from applique.trace.onto import Shown, free_number, picture_in, put_beside, put_over
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.write import NumberedPage
from tests import shapes
from tests.trace.drawn import Page, Scanner, Traced, scanned

NAMESPACES = f'xmlns="{v.SVG}" xmlns:xlink="{v.XLINK}"'
DPI = 127
"""5 pixels to a millimetre, so that the page of 60 x 50 mm has 300 x 250."""


@pytest.fixture(scope="module")
def item() -> NumberedPage:
    """A page with a circle of 12 mm about (20, 30)."""
    outline = shapely.get_coordinates(shapes.circle(12, 20, 30))[:-1]
    page = ScannedPage("a.png", scanned(Page((60.0, 50.0), (Traced(outline),)), Scanner(DPI)), 0.2)
    return NumberedPage(page, trace_page(page), ("1",))


def document(content: str, attributes: str = "") -> etree._Element:
    size = attributes or 'width="200mm" height="100mm" viewBox="0 0 200 100"'
    return etree.fromstring(f"<svg {NAMESPACES} {size}>{content}</svg>")


def image(attributes: str, href: str = "a.png") -> str:
    return f'<image id="scan" {attributes} xlink:href="{href}"/>'


def shown(root: etree._Element, name: str = "scan") -> Shown:
    found = picture_in(root, (name,))
    assert found is not None
    return found


def outline_mm(root: etree._Element) -> shapely.Polygon:
    """The outline in the document's mm, whatever stands above it."""
    (path,) = (p for p in root.iter(v.svg("path")) if p.get(v.PIECE) == "1")
    (curve,) = parse_path(path.get("d"))
    return shapely.Polygon(apply(compose(root_matrix(root), chain_of(path)), flatten(curve, 0.002)))


def lies_at(root: etree._Element, x: float, y: float, radius: float) -> None:
    outline = outline_mm(root)
    assert outline.centroid.coords[0] == pytest.approx((x, y), abs=0.05)
    assert np.sqrt(outline.area / np.pi) == pytest.approx(radius, abs=0.05)


def test_picture_at_true_size(item):
    root = document(image('x="30" y="10" width="60" height="50"'))
    assert put_over(root, shown(root), item) == ""
    lies_at(root, 50, 40, 12)


def test_picture_in_a_moved_and_scaled_group_drawn_out_of_shape(item):
    # 60 x 50 mm are drawn on 15 x 25 units, and the group scales by (4, 2): true size again.
    content = image('x="2" y="3" width="15" height="25" preserveAspectRatio="none"')
    root = document(f'<g transform="translate(40 12) scale(4 2)">{content}</g>')
    assert put_over(root, shown(root), item) == ""
    # 40 + 4 * 2 + 20, 12 + 2 * 3 + 30.
    lies_at(root, 68, 48, 12)


def test_picture_in_a_document_of_pixels(item):
    # CSS: 96 pixels to an inch; without a unit that is what a number means.
    px = 96 / 25.4
    content = image(f'x="{10 * px}" y="0" width="{60 * px}" height="{50 * px}"')
    root = document(content, 'width="800" height="400"')
    assert put_over(root, shown(root), item) == ""
    lies_at(root, 30, 30, 12)


def test_picture_turned(item):
    content = image('width="60" height="50"')
    root = document(f'<g transform="translate(100 0) rotate(90)">{content}</g>')
    assert put_over(root, shown(root), item) == ""
    # A quarter turn clockwise takes (x, y) to (-y, x).
    lies_at(root, 70, 20, 12)


def test_picture_fitted_into_a_wider_box(item):
    # SVG 1.1, 7.8: xMidYMid by default, so that 20 mm stay free on either side.
    root = document(image('width="100" height="50"'))
    assert put_over(root, shown(root), item) == ""
    lies_at(root, 40, 30, 12)


def test_picture_at_half_size_is_told(item):
    root = document(image('width="30" height="25"'))
    assert put_over(root, shown(root), item) == (
        "the picture is shown at 50.0 % of its true size, and so are the outlines over it; it "
        "should be 60.0 x 50.0 mm"
    )
    lies_at(root, 10, 15, 6)


def test_page_beside_what_is_there(item):
    root = document('<g id="page-1"/>', 'width="100mm" height="100mm" viewBox="0 0 1000 1000"')
    assert free_number(root) == 2
    put_beside(root, item)
    lies_at(root, 20, 30, 12)
    assert free_number(root) == 3
    (picture,) = root.iter(v.svg("image"))
    assert [float(picture.get(side)) for side in ("width", "height")] == [600, 500]


def test_no_picture():
    root = document(image('width="60" height="50"') + '<rect id="r"/>')
    assert picture_in(root, ("r",)) is None
    assert picture_in(root, ()) is None


def test_two_pictures():
    root = document(f'<g id="both">{image("")}<image id="b" xlink:href="b.png"/></g>')
    with pytest.raises(InputError, match="several pictures are selected; select one at a time"):
        picture_in(root, ("both",))
    assert shown(root, "b").link == "b.png"


@pytest.mark.parametrize(
    ("href", "link"),
    [
        ("my%20scan.png", "my scan.png"),
        ("file:///home/me/my%20scan%C3%A9.png", "/home/me/my scané.png"),
        ("../a.png", "../a.png"),
    ],
)
def test_linked_file(href, link):
    assert shown(document(image("", href))).link == link


def test_picture_on_a_network():
    with pytest.raises(InputError, match="is on a network; import it"):
        picture_in(document(image("", "https://example.org/a.png")), ("scan",))


def test_embedded_picture():
    text = base64.b64encode(b"\x89PNG...").decode()
    assert shown(document(image("", f"data:image/png;base64,{text}"))).data == b"\x89PNG..."
    assert shown(document(image("", "data:image/png,%89PNG"))).data == b"\x89PNG"


def test_damaged_embedded_picture():
    with pytest.raises(InputError, match="data is damaged; import it again"):
        picture_in(document(image("", "data:image/png;base64,abc")), ("scan",))
