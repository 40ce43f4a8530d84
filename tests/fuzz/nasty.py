"""Values that have upset readers before, and words that ours know."""

from __future__ import annotations

from applique.settings import SPECS
from applique.svg.vocabulary import ap


def _words(text: str) -> list[str]:
    return text.split()


def _lines(text: str) -> list[str]:
    return text.strip("\n").split("\n")


NUMBERS = (
    *_words("""
0 -0 1 -1 0.5 1e-9 1e-320 -1e-12 1e3 9999.9999 10000 1e9 1e10 -1e9 1e308 1e309 -1e400 nan inf
-inf Infinity 0x10 1_0 2147483647 -2147483648 4294967296 18446744073709551616
9999999999999999999999999999999999999999 . - +.5 1. 1e 1e+ 00012 ٣ ² 1,5 ½ --1 1e5000
"""),
    "9" * 5000,
    "",
    " ",
)

LENGTHS = (
    *_lines("""
0mm
-1mm
1e9mm
0.0001mm
100%
-5%
1e9%
1em
2ex
1in
1Q
1e400in
10 mm
10m m
auto
calc(1mm)
1e-300px
nanmm
infmm
999999999999mm
mm
"""),
)

PATHS = (
    *_lines("""
M
m0,0
M0 0
M0 0Z
Z
ZZZ
M 1 1 Z Z
M0 0 L0 0 L0 0 Z
L 1 1
M10,10 L20,10 L20,20 L10,20 Z
M0 0H100V100H0Z
M10 10h5v5h-5zm20 0h5v5h-5z
M0 0 L100 100 L0 100 L100 0 Z
M0,0 C0,0 0,0 0,0 Z
M0 0 L1e9 0 L1e9 1e9 Z
M0 0 L1e-9 0 L1e-9 1e-9 Z
M10 10 A 0 0 0 1 1 20 20 Z
M10 10 A 1e9 1e-9 45 1 0 20 20 Z
M10 10 A 5 5 0 1 1 10 10 Z
M10 10 A 5 5 1e9 1 1 20 10 Z
M10 10 A5 5 0 01120 10Z
M10 10 Q 50 50 10 10 Z
M5 5 T 20 20 T 30 5 Z
M5 5 S 20 20 30 5 Z
M1 1 L2,2 3,3 4
M0 0 L nan nan Z
M0 0 L1e400 0 Z
M.5.5.5.5-1-1Z
M10,10L10,10
M 50 50 L 50 50.0001
M10 10 L30 10 L30 30 L10 30 Z M15 15 L25 15 L25 25 L15 25 Z
M10 10 L30 10 L30 30 L10 30 Z M10 10 L30 10 L30 30 L10 30 Z
M10 10 L30 10 L10 10 L10 30 L30 30 L30.001 10 Z
"""),
    "",
    " ",
    "M10 10 " + "l1 0 0 1 " * 40 + "Z",
    "M10 10 " + "l1e8 1e8 " * 40 + "Z",
    "M10 10 " + "q9 9 1 -1 " * 30 + "Z",
)

TRANSFORMS = (
    *_lines("""
none
scale(0)
scale(1e-9)
scale(1e9)
scale(-1,1)
scale(1,0)
rotate(1e9)
rotate(45 1e9 1e9)
matrix(0 0 0 0 0 0)
matrix(1 1 1 1 0 0)
matrix(1e9 0 0 1e9 0 0)
matrix(nan 0 0 1 0 0)
translate(1e9)
translate(-1e9,1e9)
skewX(90)
skewY(89.9999)
matrix(1 2 3)
rotate()
translate(1,2)rotate(30)
matrix(1e-5 0 0 1e5 0 0)
skewX(45) scale(.5)
scale(1e200)
rotate(nan)
,scale(2)
"""),
    "",
    "scale(1e9)" * 40,
    "scale(1e-9)" * 40,
)

COLOURS = (
    *_lines("""
none
#000
#c04040
#12345
#GGGGGG
red
currentColor
inherit
transparent
rgb(1,2,3)
rgb(300,-5,1e400)
rgb(1e400 0 0)
rgb(nan 0 0)
rgb(none none none)
rgba(0,0,0,0)
hsl(1e400 50% 50%)
hsl(120 100% 1e400%)
lab(1e400 0 0)
lch(50 1e300 1)
oklab(1e308 1e308 1e308)
oklch(none none none)
color(srgb 1e400 0 0)
hwb(0 0% 0% / 1e400)
color(display-p3 1 1 1)
color-mix(in srgb, red, blue)
url(#a)
url(#g) red
url(#zzz)
url(
rgb(
#c0404080
lab(50% -1e200 1e200)
color(xyz 1e309 1 1)
hsl(nan 1% 1%)
"""),
)

WORDS = (
    *_words("""
a b c g #a #b #g # none all true 0 -1 ü ' " < & a,b a;b .. ../x 😀 é satin zigzag straight
blanket auto cut-first cut-in-hoop turned spot 254x254 10inx10in 0x0 1e9x1 -1x5 nanxnan 10x x10
1e-9x1e-9 20000x1 run line there-and-back placement tack edge trim laying piece last
"""),
    "",
    " ",
    "\u202e",
    "x" * 3000,
    "C:\\x",
    "\t",
    "\n",
    "a\nb",
)

STYLES = (
    *_lines("""
fill:none
display:none
opacity:0
opacity:nan
fill-opacity:1e400
fill:
;;;:
fill:url(#g)
fill:#fff!important
visibility:hidden
clip-path:url(#a)
/*
fill-rule:evenodd
stroke:#000;stroke-width:1e9
stroke:red;stroke-width:nan
stroke-dasharray:0
mask:url(#b)
"""),
)

SHEETS = (
    *_lines("""
path{fill:none}
*{fill:red}
#a{fill:blue!important}
.x{fill
@import 'x';
a:hover{}
:nth-child(2n+1){fill:red}
rect>path,path+path{display:none}
[id='a']{fill:0}
@media print{*{fill:none}}
p|a{fill:red}
{}{}{}
:is(a,b){fill:red}
#a{fill:rgb(1e999,0,0)}
*{color:hsl(1e999 1% 1%);fill:currentColor}
:nth-child(9:nth-child(9:nth-child(9
::a
"""),
    "*:not(" * 1500,
    "\\",
    "a{" * 1500,
)

BY_NAME: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("d", "flat", "clips"), PATHS),
    **dict.fromkeys(("transform", "gradientTransform"), TRANSFORMS),
    **dict.fromkeys(("fill", "stroke", "stop-color", "color", "thread", "colour"), COLOURS),
    **dict.fromkeys(("x", "y", "width", "height", "r", "rx", "ry", "cx", "cy"), LENGTHS + NUMBERS),
    **dict.fromkeys(("style",), STYLES),
    "viewBox": (*("0 0 0 0", "0 0 1e-9 1e-9", "0 0 1e9 1e9", "nan 0 1 1", "0 0 -1 5"), *NUMBERS),
    "points": (
        "",
        "1",
        "1,1",
        "1,1 2,2",
        "0,0 10,0 10,10",
        "0,0 1e9,0 1e9,1e9",
        "0,0 nan,1",
        "5 5 5 5",
    ),
    "preserveAspectRatio": ("none", "xMidYMid slice", "defer xMinYMin", "", "x", "zzzzzz meet"),
}
"""Values for an attribute by its local name."""

EVERY = (*NUMBERS, *LENGTHS, *PATHS[:12], *TRANSFORMS[:12], *COLOURS, *WORDS, *STYLES)

ATTRIBUTES = (
    *_words("""
transform fill stroke style id class d points viewBox x y r width height rx ry cx cy x1 y1
preserveAspectRatio clip-path opacity fill-opacity fill-rule display visibility href
stroke-width mask {http://www.w3.org/1999/xlink}href
{http://www.inkscape.org/namespaces/inkscape}label
"""),
    *map(
        ap,
        _words("""
piece fabric thread thread-name step source digest made pause after cut turn grain flat clips
role sheet version block finished seam-allowance background template hooping template-size
template-area template-perimeter template-version cross
"""),
    ),
    *map(ap, SPECS),
)
"""Attributes that some reader of ours looks at."""

TAGS = (
    *_words("""
g path rect circle ellipse line polyline polygon use svg symbol text image switch defs style
clipPath metadata foreignObject title a
"""),
)

FRAGMENTS = (
    *_lines("""
<use href="#a" x="5"/>
<use href="#zzz"/>
<g id="loop"><use href="#loop"/></g>
<symbol id="s" viewBox="0 0 1 1"><rect width="1" height="1"/></symbol>
<use href="#s" width="20" height="1e-9"/>
<svg x="5" y="5" width="10" height="10" viewBox="0 0 5 5"><circle r="2" cx="2" cy="2"/></svg>
<linearGradient id="g" href="#g"><stop stop-color="red"/></linearGradient>
<style>path{fill:#00ff00}</style>
<text>Harbour</text>
<image href="x.png" width="9" height="9"/>
<switch><g systemLanguage="de"/><path d="M1 1h9v9z"/></switch>
<path d="M10 10h20v20h-20z" fill="#aa2211"/>
<rect width="300" height="300"/>
<a><circle r="6" cx="20" cy="20"/></a>
<!-- gull -->
<?gull wing?>
<path ap:detail="spot" d="M30 30h3v3h-3z"/>
"""),
    '<metadata><ap:defaults edge="satin"/><ap:fabric name="sand" colour="#d8c090" turn="half"/>'
    '<ap:fabric name="sea" colour="teal" grain="45"/></metadata>',
    '<g ap:piece="D" ap:fabric="sand"><path d="M1 1h9v9z"/><path d="M20 1h9v9z"/></g>',
    '<path ap:detail="line" fill="none" stroke="#000" stroke-width="2" d="M3 3C9 2 5 4 9 9"/>',
)
"""Elements to be put anywhere."""

TOML_VALUES = (
    *_lines("""
0
-1
1e400
nan
inf
-inf
1e-320
true
false
""
''
[]
{}
[[]]
9999999999999999999999999999999999999999
1979-05-27
07:32:00
1979-05-27T07:32:00Z
[1, 2]
["a", 1]
[["A"], "B"]
[["A", "A"], ["A"]]
{a = 1}
[{}]
[{name = "x"}]
0x7fffffffffffffff
0o7
0b1
1_000
+1.5
"../x.svg"
"a//b.svg"
1.7976931348623157e308
4.9e-324
9007199254740993
-9223372036854775809
1e15
"""),
    "9" * 5000,
    '"' + "9" * 5000 + '"',
    "'''a\nb'''",
    '"""a\nb"""',
    '"\\u0000"',
    '"\\u202e"',
    '"\\n"',
    '"\\ud7ff"',
    '"..\\\\x.svg"',
    '"x" ',
    "[" * 300,
    "0x" + "f" * 4000,
    "{" + "a." * 60 + "a = 1}",
)
