"""Harbour artwork of our own, drawn as other programs write it: px, groups, classes, clones."""

from __future__ import annotations

from typing import Any

from lxml import etree

SIZES = {
    "px": 'width="480" height="360" viewBox="0 0 480 360"',
    "mm": 'width="240mm" height="180mm" viewBox="0 0 480 360"',
    "pt": 'width="360pt" height="270pt" viewBox="0 0 480 360"',
    "inches off the origin": 'width="5in" height="3.75in" viewBox="-20 -30 480 360"',
    "cm": 'width="12.7cm" height="9.525cm" viewBox="0 0 480 360"',
    "a viewBox alone": 'viewBox="0 0 480 360"',
    "nothing": "",
    "1em": 'width="1em" height="1em" viewBox="0 0 480 360"',
}

BOAT = """
<g transform="translate(20 10) rotate(-3)">
  <path id="sail" d="M200 60 C240 110 262 160 268 220 L200 220 Z" fill="#f3e4c0"/>
  <path id="jib" class="red" d="M192 80 Q160 160 130 220 H192 Z"/>
  <g transform="matrix(1 0 .2 .9 -50 20)">
    <path id="hull" fill="#6b1f1f"
      d="M110 236 H300 C296 268 270 286 240 286 H160 A60 50 0 0 1 110 236 Z"/>
  </g>
</g>"""

GULL = """
<g color="#9aa6b0" fill="currentColor">
  <path id="gull"
    d="M60 90c10-30 40-30 50-6 10-24 40-24 50 6-20-10-36-6-50 14-14-20-30-24-50-14z"/>
  <use id="far-gull" xlink:href="#gull" transform="translate(300 -20) scale(-.9 .9)"/>
</g>"""

PIER = """
<rect id="deck" style="fill:rgb(128, 96, 63)" x="350" y="210" width="120" height="22" rx="4"/>
<polygon id="brace" points="356,300 396,232 424,232 384,300" fill="#4c545c"/>
<path id="life-ring" fill-rule="evenodd" fill="#e8902f"
  d="M420 260a30 30 0 1 0 40 0a30 30 0 1 0-40 0z M432 270a14 14 0 1 0 16 0 14 14 0 1 0-16 0z"/>
<ellipse id="float" cx="300" cy="330" rx="40" ry="16" fill="#27517e"/>"""

STYLE = "<style>.red { fill: #c8553d } </style>"
SKY = '<rect id="sky" width="480" height="360" fill="#bcd9ea"/>'
HARBOUR = STYLE + BOAT + GULL + PIER

NAMESPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)


def artwork_text(content: str = HARBOUR, size: str = SIZES["px"]) -> str:
    return f"<svg {NAMESPACES} {size}>{content}</svg>"


def artwork(content: str = HARBOUR, size: str = SIZES["px"]) -> Any:
    return etree.fromstring(artwork_text(content, size))
