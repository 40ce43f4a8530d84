"""quilt.toml and layouts that are hostile. Odd names of blocks are in
tests/cli/test_quilt_names.py."""

from __future__ import annotations

from tests.hostile.running import Make

BLOCK = '[[block]]\nname = "Dot"\nfile = "good.svg"\n'


def project(text: str = "", blocks: str = BLOCK) -> bytes:
    return f'name = "Dots"\n{text}\n{blocks}'.encode()


def named_file(file: str) -> bytes:
    return project(blocks=f'[[block]]\nname = "Dot"\nfile = {file}\n')


def layout(
    text: str = "", pieces: str = '[[piece]]\npiece = "1"\nfabric = "sea"\nx = 9\ny = 9\n'
) -> bytes:
    return f'block = "B"\nfinished = "100x100"\nlibrary = "good.svg"\n{text}\n{pieces}'.encode()


QUILTS: dict[str, Make] = {
    "no bytes": lambda: b"",
    "binary": lambda: bytes(range(256)) * 100,
    "utf-16": lambda: project().decode().encode("utf-16"),
    "5 MB of comments": lambda: project("# nothing\n" * 500_000),
    "100,000 blocks": lambda: project(blocks="".join(
        f'[[block]]\nname = "{k}"\nfile = "good.svg"\n' for k in range(100_000))),
    "5,000 blocks of one name": lambda: project(blocks=BLOCK * 5_000),
    "5,000 blocks of files that are not there": lambda: project(blocks="".join(
        f'[[block]]\nname = "{k}"\nfile = "{k}.svg"\n' for k in range(5_000))),
    "name of 100,000 letters": lambda: b'name = "' + b"n" * 100_000 + b'"\n' + BLOCK.encode(),
    "10,000 unknown keys": lambda: project("".join(f"key{k} = 1\n" for k in range(10_000))),
    "unknown keys of 10,000 letters": lambda: project(
        "k" * 10_000 + " = 1\n" + "n" * 10_000 + "=1"),
    "nested arrays": lambda: project("defaults = " + "[" * 100_000),
    "nested tables": lambda: project("defaults = " + "{a = " * 50_000),
    "dotted key of 20,000 parts": lambda: project(".".join(["a"] * 20_000) + " = 1"),
    "header of 20,000 parts": lambda: project(blocks=f"[{'.'.join(['a'] * 20_000)}]\n"),
    "20,000 headers": lambda: project(blocks="".join(f"[a{k}.b.c]\n" for k in range(20_000))),
    "one key twice": lambda: project('name = "Two"'),
    "number of 100,000 digits": lambda: project("week = " + "9" * 100_000),
    "fraction of 100,000 digits": lambda: project("week = 0." + "9" * 100_000),
    "number of 1e300": lambda: project("[cutting]\nmargin = 1e300"),
    "number of nan": lambda: project("[cutting]\nmargin = nan\ngap = inf"),
    "border of 1e300 inches": lambda: project('[quilt]\nborders = ["1e300in"]'),
    "sheets of 1e300": lambda: project('[cutting]\nsheets = ["1e300x1e300"]'),
    "100,000 sheets": lambda: project("[cutting]\nsheets = [" + '"60x60",' * 100_000 + "]"),
    "date of the year 0": lambda: project("week = 0000-00-00"),
    "text without end": lambda: project('defaults = """' + "x" * 1_000_000),
    "escapes of no letters": lambda: project('defaults = "\\uD800\\U00110000"'),
    "table in the place of a text": lambda: b"name = {a = 1}\n" + BLOCK.encode(),
    "text in the place of a table": lambda: project('fabrics = "none"'),
    "drawing in a folder above": lambda: named_file('"../../../etc/passwd"'),
    "drawing by its whole path": lambda: named_file('"@SECRET@"'),
    "drawing that is a pipe": lambda: named_file('"@PIPE@"'),
    "drawing on a drive": lambda: named_file("'C:\\windows\\a.svg'"),
    "drawing on a share": lambda: named_file("'\\\\server\\share\\a.svg'"),
    "drawing of the network": lambda: named_file('"@WEB@/a.svg"'),
    "drawing of a device": lambda: named_file('"/dev/zero"'),
    "drawing named by nul": lambda: named_file('"a\\u0000.svg"'),
    "drawing of a name of 10,000 letters": lambda: named_file('"' + "a" * 10_000 + '.svg"'),
    "drawing that is quilt.toml": lambda: named_file('"IN.toml"'),
    "drawing that is the folder": lambda: named_file('"."'),
    "threads of a device": lambda: project('[threads]\ntable = "/dev/zero"'),
    "threads of a pipe": lambda: project('[threads]\ntable = "@PIPE@"'),
    "swatch of a device": lambda: project(
        '[fabrics]\n"leaf" = { colour = "#5d7a45", swatch = "/dev/zero", swatch-size = "9x9" }'),
    "swatch above": lambda: project(
        '[fabrics]\n"leaf" = { colour = "#5d7a45", swatch = "@SECRET@", swatch-size = "9x9" }'),
    "swatch of 1e300 mm": lambda: project(
        '[fabrics]\n"leaf" = { colour = "#5d7a45", swatch = "good.svg", swatch-size = "1e300x9" }'),
    "colour of 100,000 letters": lambda: project(f'[fabrics]\n"leaf" = "#{"f" * 100_000}"'),
}  # fmt: skip

LAYOUTS: dict[str, Make] = {
    "no bytes": lambda: b"",
    "binary": lambda: bytes(range(256)) * 100,
    "100,000 pieces": lambda: layout(pieces='[[piece]]\npiece = "1"\nx = 9\ny = 9\n' * 100_000),
    "20,000 pieces without a place": lambda: layout(pieces='[[piece]]\npiece = "1"\n' * 20_000),
    "no pieces": lambda: layout(pieces=""),
    "pieces that are no tables": lambda: layout("piece = [1, 2, 3]", ""),
    "nested arrays": lambda: layout("defaults = " + "[" * 100_000),
    "number of 100,000 digits": lambda: layout("seam-allowance = " + "9" * 100_000),
    "size of 1e300": lambda: layout().replace(b"100x100", b"1e300x1e300"),
    "piece far away": lambda: layout().replace(b"x = 9", b"x = 1e308"),
    "piece turned by nan": lambda: layout(pieces='[[piece]]\npiece = "1"\nfabric = "a"\nx = 9\n'
        "y = 9\nturn = nan\n"),
    "piece of a scale of nothing": lambda: layout(pieces='[[piece]]\npiece = "1"\nfabric = "a"\n'
        "x = 9\ny = 9\nscale = 0\n"),
    "piece of a name of 100,000 letters": lambda: layout().replace(
        b'"1"', b'"' + b"p" * 100_000 + b'"'),
    "library of a device": lambda: layout().replace(b"good.svg", b"/dev/zero"),
    "library of a pipe": lambda: layout().replace(b"good.svg", b"@PIPE@"),
    "library of the network": lambda: layout().replace(b"good.svg", b"@WEB@/a.svg"),
    "library that is the layout": lambda: layout().replace(b"good.svg", b"IN.toml"),
    "library named by nul": lambda: layout().replace(b"good.svg", b"a\\u0000b"),
    "10,000 libraries": lambda: layout().replace(b'"good.svg"', b"[" + b'"a.svg",' * 10_000 + b"]"),
    "unknown words": lambda: layout("".join(f"word{k} = 1\n" for k in range(10_000))),
}  # fmt: skip
