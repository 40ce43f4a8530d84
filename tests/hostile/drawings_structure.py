"""Drawings that are hostile by how they are put together: clones, transforms, pages, styles."""

from __future__ import annotations

from tests.hostile.drawings_xml import PAGE, SQUARE, drawing
from tests.hostile.running import Make


def doubled(times: int) -> bytes:
    """Clones of groups of two clones each: 2^times shapes."""
    groups = ['<g id="g0"><path fill="#5d7a45" d="M0,0h9v9z"/></g>']
    groups += [
        f'<g id="g{k}"><use href="#g{k - 1}"/><use href="#g{k - 1}"/></g>'
        for k in range(1, times + 1)
    ]
    return drawing(f'<defs>{"".join(groups)}</defs><use href="#g{times}"/>')


def doubled_nothing(times: int) -> bytes:
    """The same of empty groups: nothing is ever drawn."""
    return doubled(times).replace(b'<path fill="#5d7a45" d="M0,0h9v9z"/>', b"") + b"\n"


def chain_of_clones(count: int) -> bytes:
    links = "".join(f'<use id="u{k}" href="#u{k + 1}"/>' for k in range(count))
    return drawing(f'{links}<path id="u{count}" d="M0,0h9v9z"/>')


def _gradients(count: int, circle: bool) -> str:
    end = "" if not circle else ' href="#g0"'
    inner = "".join(f'<linearGradient id="g{k}" href="#g{k + 1}"/>' for k in range(count))
    return f'{inner}<linearGradient id="g{count}"{end}/>'


def _moved(transform: str) -> bytes:
    return drawing(f'<g transform="{transform}">{SQUARE}</g>')


def _page(page: str) -> bytes:
    return drawing(page=page)


def _named(id: str) -> bytes:
    return drawing(f'<path id="{id}" inkscape:label="{id}" fill="#5d7a45" d="M9,9h50v50h-50z"/>'
                   f'<path fill="#5d7a45" inkscape:label="{id}" d="M9,9h9"/>')  # fmt: skip


def _styled(sheet: str, content: str = SQUARE) -> bytes:
    return drawing(f"<style>{sheet}</style>{content}")


CLONES: dict[str, Make] = {
    "clone of itself": lambda: drawing(f'<use id="u" href="#u"/>{SQUARE}'),
    "clones of each other": lambda: drawing(
        f'<use id="u" href="#w"/><use id="w" href="#u"/>{SQUARE}'
    ),
    "clone of what holds it": lambda: drawing(f'<g id="g"><use href="#g"/>{SQUARE}</g>'),
    "clone of the root": lambda: drawing(f'<use href="#all"/>{SQUARE}', root='id="all"'),
    "symbol of itself": lambda: drawing(
        '<symbol id="s"><path d="M0,0h9v9z"/><use href="#s"/></symbol><use href="#s"/>'
    ),
    "clip path of itself": lambda: drawing(
        f'<clipPath id="c" clip-path="url(#c)"><use href="#d"/></clipPath>'
        f'<g id="d" clip-path="url(#c)">{SQUARE}</g>'
    ),
    "mask of itself": lambda: drawing(f'<mask id="m" mask="url(#m)">{SQUARE}</mask>{SQUARE}'),
    "clones doubled 30 times": lambda: doubled(30),
    "clones of nothing doubled 30 times": lambda: doubled_nothing(30),
    "chain of 2,000 clones": lambda: chain_of_clones(2_000),
    "chain of 20,000 clones": lambda: chain_of_clones(20_000),
    "clone of nothing": lambda: drawing(f'<use href="#nobody"/><use/>{SQUARE}'),
    "clone of a gradient": lambda: drawing(f'<linearGradient id="g"/><use href="#g"/>{SQUARE}'),
    "gradients in a circle": lambda: drawing(
        _gradients(3, circle=True) + '<path fill="url(#g0)" d="M9,9h50v50h-50z"/>'
    ),
    "10,000 gradients in a row": lambda: drawing(
        _gradients(10_000, circle=False) + '<path fill="url(#g0)" d="M9,9h50v50h-50z"/>'
    ),
    "pattern of itself": lambda: drawing(
        '<pattern id="p" href="#p"><path fill="url(#p)" d="M0,0h9v9z"/></pattern>'
        '<path fill="url(#p)" d="M9,9h50v50h-50z"/>'
    ),
    "marker of itself": lambda: drawing(
        '<marker id="m"><path marker-end="url(#m)" d="M0,0h9v9z"/></marker>'
        '<path marker-end="url(#m)" d="M9,9h50v50h-50z"/>'
    ),
    "switches without end": lambda: drawing("<switch>" * 200 + SQUARE + "</switch>" * 200),
    "drawings within drawings": lambda: drawing(
        '<svg x="1" width="90%" height="90%" viewBox="0 0 9 9">' * 200 + SQUARE + "</svg>" * 200
    ),
}

TRANSFORMS: dict[str, Make] = {
    "100,000 transforms": lambda: _moved("rotate(7) " * 100_000),
    "100,000 scalings": lambda: _moved("scale(10) " * 100_000),
    "scaled by a billion": lambda: _moved("scale(1e9)"),
    "scaled by a billionth": lambda: _moved("scale(1e-9)"),
    "flat transform": lambda: _moved("scale(1 0)"),
    "transform of zeros": lambda: _moved("matrix(0 0 0 0 0 0)"),
    "transform of nan": lambda: _moved("matrix(NaN 0 0 1 0 0)"),
    "transform of infinity": lambda: _moved("scale(1e400)"),
    "skewed by a right angle": lambda: _moved("skewX(90)"),
    "turned by a billion degrees": lambda: _moved("rotate(999999999)"),
    "unknown transform": lambda: _moved("wobble(3)"),
    "transform without an end": lambda: _moved("rotate(" + "1 " * 100_000),
    "transform of a million blanks": lambda: _moved("scale(1)" + " " * 1_000_000 + "x"),
    "200 groups that each enlarge": lambda: drawing(
        '<g transform="scale(1000)">' * 200 + SQUARE + "</g>" * 200
    ),
}

PAGES: dict[str, Make] = {
    "viewBox of nothing": lambda: _page('width="9mm" height="9mm" viewBox="0 0 0 0"'),
    "viewBox below nothing": lambda: _page('width="9mm" height="9mm" viewBox="0 0 -9 -9"'),
    "viewBox of nan": lambda: _page('width="9mm" height="9mm" viewBox="NaN NaN NaN NaN"'),
    "viewBox of infinity": lambda: _page('width="9mm" height="9mm" viewBox="0 0 inf inf"'),
    "viewBox of 1e308": lambda: _page('width="9mm" height="9mm" viewBox="0 0 1e308 1e308"'),
    "viewBox of a billionth": lambda: _page('width="9mm" height="9mm" viewBox="0 0 1e-9 1e-9"'),
    "viewBox far away": lambda: _page('width="9mm" height="9mm" viewBox="-1e9 1e9 9 9"'),
    "viewBox of a million numbers": lambda: _page(f'viewBox="{"9 " * 1_000_000}"'),
    "page of 1e300 mm": lambda: _page('width="1e300mm" height="9mm"'),
    "page of less than nothing": lambda: _page('width="-9mm" height="9mm"'),
    "page of nan": lambda: _page('width="NaN" height="NaN"'),
    "page of a nameless unit": lambda: _page('width="9furlong" height="9mm"'),
    "page of 10 m": lambda: _page('width="10000mm" height="10000mm" viewBox="0 0 100 100"'),
    "page of a millimetre": lambda: _page('width="1mm" height="1mm" viewBox="0 0 100 100"'),
    "page of 5,000 digits": lambda: _page(f'width="{"9" * 5000}" height="9mm"'),
    "page without a size": lambda: _page(""),
    "unknown aspect": lambda: _page(f'{PAGE} preserveAspectRatio="sideways {"x" * 100_000}"'),
}

NAMES_AND_STYLES: dict[str, Make] = {
    "one id everywhere": lambda: drawing('<path id="a" d="M9,9h9v9z"/>' * 30),
    "empty ids": lambda: drawing('<path id="" d="M9,9h9v9z"/><use href="#"/>'),
    "id of a million letters": lambda: _named("i" * 1_000_000),
    "id that leads upwards": lambda: _named("../../../etc/passwd"),
    "id with lines": lambda: _named("a&#10;error: all is lost&#10;b"),
    "id with a script": lambda: _named("&lt;script&gt;alert(1)&lt;/script&gt;"),
    "id with quotes": lambda: _named("a&quot;'b`$(id)"),
    "id that turns the line round": lambda: _named("a\u202eb\u2066c"),
    "id that steers the terminal": lambda: _named("\u009b2J\u009b31m"),
    "id of marks over marks": lambda: _named("a" + "\u0301" * 100_000),
    "style of a million words": lambda: drawing(
        f'<path style="{"fill:red;" * 1_000_000}" d="M9,9h50v50h-50z"/>'
    ),
    "style of comments without end": lambda: drawing(
        f'<path style="{"/*" * 100_000}" d="M9,9h50v50h-50z"/>'
    ),
    "colour of a million letters": lambda: drawing(
        f'<path fill="{"#" + "f" * 1_000_000}" d="M9,9h50v50h-50z"/>'
    ),
    "colour of many brackets": lambda: drawing(
        f'<path fill="rgb{"(" * 100_000}" d="M9,9h50v50h-50z"/>'
    ),
    "fill of 100,000 links": lambda: drawing(
        f'<path fill="{"url(#a) " * 100_000}" d="M9,9h50v50h-50z"/>'
    ),
    "opacity of nan": lambda: drawing('<path opacity="NaN" fill-opacity="inf" d="M9,9h9v9z"/>'),
    "sheet of a million signs": lambda: _styled("}{" * 500_000),
    "sheet of open brackets": lambda: _styled("(" * 100_000),
    "sheet of nested blocks": lambda: _styled("a{" * 20_000),
    "selector of nested negations": lambda: _styled(f"{':not(' * 2000}a{')' * 2000} {{fill:red}}"),
    "selector of 20,000 parts": lambda: _styled(f"{'g > ' * 20_000}a {{fill:red}}"),
    "selector of 2,000 steps down": lambda: _styled(
        f"{'g ' * 2_000}path {{fill:red}}", "<g>" * 200 + SQUARE + "</g>" * 200
    ),
    "selector of 30 steps down in 200 groups": lambda: _styled(
        f"{'g ' * 30}path {{fill:red}}", "<g>" * 200 + SQUARE + "</g>" * 200
    ),
    "10,000 rules for 1,000 shapes": lambda: _styled(
        "path {fill:red} " * 10_000, '<path d="M9,9h9v9z"/>' * 1_000
    ),
    "one rule of 50,000 selectors": lambda: _styled(
        ",".join(f"#a{k}" for k in range(50_000)) + "{fill:red}"
    ),
    "siblings of siblings": lambda: _styled(
        "path ~ path ~ path ~ path {fill:red}", '<path d="M9,9h9v9z"/>' * 1_000
    ),
}
