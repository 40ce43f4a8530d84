"""What dialogs ask of hoops."""

from __future__ import annotations

from applique.editor.parameters import Page, Parameter
from applique.hoops.usual import MARGIN_MM


def fields_page(title: str, fields: Parameter) -> Page:
    """A page that asks for the fields that are owned, and how they may be used."""
    return Page(
        title,
        (
            fields,
            Parameter(
                "turn",
                "yes-no",
                "Turn the block",
                "The block may lie turned by a quarter in a frame.",
                "false",
            ),
            Parameter(
                "margin",
                "number",
                "Margin (mm)",
                "Kept free inside a field on each side.",
                f"{MARGIN_MM:g}",
                0,
                100,
            ),
            Parameter(
                "too_large",
                "choice",
                "Pieces larger than every field",
                "Sew their edges in stretches, or leave them to the sewing machine.",
                "stretches",
                choices=(
                    ("stretches", "in stretches"),
                    ("sewing-machine", "on the sewing machine"),
                ),
            ),
        ),
    )


HOOPING_PAGE = fields_page(
    "Fields",
    Parameter(
        "fields",
        "text",
        "Fields owned",
        "Sizes in mm with commas: 130x180, 160x260. The plan may mix them.",
        "130x180",
    ),
)

SEWN_IN_PAGE = fields_page(
    "Hoopings",
    Parameter(
        "fields",
        "text",
        "Fields owned",
        "Sizes in mm with commas: 130x180, 160x260. Empty stands for one file of the whole block.",
        "",
    ),
)
