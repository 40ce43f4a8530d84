"""What the editor's menu entries and output formats do: parse, call the core, return."""

from __future__ import annotations

import argparse
import io
from collections.abc import Iterable
from typing import IO, Any

from inkex.base import InkscapeExtension
from lxml import etree

from applique import faults
from applique.checks import check_document
from applique.editor.dialogs import EFFECTS, OUTPUTS
from applique.editor.notify import finding_lines, notify
from applique.editor.parameters import Dialog, settings_from
from applique.editor.place import place_into
from applique.editor.said import in_the_editor
from applique.errors import AppliqueError, InputError, UsageError
from applique.files import parse_svg, svg_bytes
from applique.pipeline import Layers, make_layers, read_plan, refresh_layers
from applique.svg.read import Request
from applique.svg.tagging import tag_elements


class _Extension(InkscapeExtension):
    """A script of ours: the document as a plain tree, messages through `notify`."""

    def __init__(self, dialog: Dialog) -> None:
        self._dialog = dialog
        super().__init__()

    def add_arguments(self, pars: argparse.ArgumentParser) -> None:
        """Take the dialog's parameters as the editor passes them."""
        pars.add_argument("--effect")
        pars.add_argument("--tab")
        pars.add_argument("--id", action="append", dest="ids", default=[])
        pars.add_argument("--selected-nodes", action="append", default=[])
        for parameter in self._dialog.parameters():
            pars.add_argument(f"--{parameter.name}", default=parameter.default)

    def load(self, stream: IO[bytes]) -> Any:
        """Read the editor's document."""
        self.tree = parse_svg(stream, "the drawing")
        return self.tree

    @property
    def root(self) -> etree._Element:
        """The document's root."""
        return self.tree.getroot()

    def say(self, lines: Iterable[str]) -> None:
        """Show lines in a dialog, flags as this one's fields."""
        notify(in_the_editor(line, self._dialog.key) for line in lines)

    def is_set(self, name: str) -> bool:
        """A yes-no parameter; the editor writes it as a word."""
        return str(getattr(self.options, name)).lower() == "true"


class Effect(_Extension):
    """An entry of the menu: it changes the document and may have something to say."""

    def save(self, stream: IO[bytes]) -> None:
        """Hand the document back."""
        stream.write(svg_bytes(self.tree))

    def say_layers(self, layers: Layers) -> None:
        """Show what deserves attention; success needs no dialog."""
        self.say(finding_lines(layers.findings))


class PiecesFromScan(Effect):
    """Extensions > Appliqué > Pieces from Scan."""

    def effect(self) -> None:
        """Trace the selected picture, or the file, and put the outlines into the drawing."""
        from applique.editor.scan import trace_into  # The image libraries are slow to load.

        self.say(trace_into(self.root, self.options))


class PlaceFromLibrary(Effect):
    """Extensions > Appliqué > Place from Library."""

    def effect(self) -> None:
        """Place the templates asked for in the drawing."""
        self.say(place_into(self.root, self.options))


class MakeLayers(Effect):
    """Extensions > Appliqué > Make Layers."""

    def effect(self) -> None:
        """Make the layers of the selection, or of all pieces."""
        width, height = float(self.options.finished_width), float(self.options.finished_height)
        if (width > 0) != (height > 0):
            raise UsageError(
                "Finished width or Finished height is 0; give both of them, or leave both at 0"
            )
        request = Request(
            tuple(self.options.ids),
            settings_from(self.options),
            (width, height) if width > 0 else None,
        )
        self.say_layers(make_layers(self.root, request, self.is_set("replace_edited")))


class RefreshLayers(Effect):
    """Extensions > Appliqué > Refresh Layers."""

    def effect(self) -> None:
        """Bring the layers up to date."""
        self.say_layers(refresh_layers(self.root, self.is_set("replace_edited")))


class FabricAndEdge(Effect):
    """Extensions > Appliqué > Fabric and Edge."""

    def effect(self) -> None:
        """Tag the selected pieces."""
        tags: dict[str, float | str] = dict(settings_from(self.options))
        for name in ("fabric", "thread"):
            text = str(getattr(self.options, name)).strip()
            if text:
                tags[name] = text
        tag_elements(self.root, self.options.ids, tags)


class DrawHoopings(Effect):
    """Extensions > Appliqué > Hooping Plan."""

    def effect(self) -> None:
        """Draw the fields and crosses of the fewest hoopings."""
        from applique.editor.hoop import draw_hoopings  # The solver is slow to load.

        self.say(draw_hoopings(self.root, self.options))


class CutSheets(Effect):
    """Extensions > Appliqué > Cut Sheets."""

    def effect(self) -> None:
        """Write the sheets' files and draw the sheets."""
        from applique.editor.cut import cut_into  # The format and image libraries are slow to load.

        self.say(cut_into(self.root, self.options))


class WriteRunSheet(Effect):
    """Extensions > Appliqué > Run Sheet."""

    def effect(self) -> bool:
        """Write the sheet; the document stays as it is."""
        from applique.editor.run_sheet import write_run_sheet  # The PDF library is slow to load.

        self.say(write_run_sheet(self.root, self.options))
        return False


class WriteStitchOut(Effect):
    """Extensions > Appliqué > Stitch-out Page."""

    def effect(self) -> bool:
        """Write the page and open it; the document stays as it is."""
        from applique.editor.stitch_out import write_stitch_out  # The format library is slow too.

        self.say(write_stitch_out(self.root, self.options))
        return False


class CheckBlock(Effect):
    """Extensions > Appliqué > Check Block."""

    def effect(self) -> bool:
        """Show the findings; the document stays as it is."""
        lines = finding_lines(check_document(self.root), notes=True)
        self.say(lines or ["nothing to report"])
        return False


class SaveStitches(_Extension):
    """Save As, in one of the machine formats."""

    _data = b""

    def effect(self) -> None:
        """Make the whole file before the first byte is written: the editor can't see an error
        after that."""
        from applique.export.machine import machine_file  # The format library is slow to load.

        suffix = str(self.options.effect).removeprefix("save-")
        plan, findings = read_plan(self.root)
        self._data = machine_file(plan, suffix).data
        self.say(finding_lines(findings))

    def save(self, stream: IO[bytes]) -> None:
        """Hand the file over."""
        stream.write(self._data)


_CLASSES: dict[str, type[Effect]] = {
    "scan": PiecesFromScan,
    "place": PlaceFromLibrary,
    "layers": MakeLayers,
    "refresh": RefreshLayers,
    "tag": FabricAndEdge,
    "hoop": DrawHoopings,
    "cut": CutSheets,
    "run-sheet": WriteRunSheet,
    "stitch-out": WriteStitchOut,
    "check": CheckBlock,
}


def run_extension(argv: list[str], output: Any = None) -> int:
    """Run the effect that `--effect=KEY` names; returns the exit code.

    Every refusal is shown as its sentences, never as a traceback, and leaves the document alone.
    """
    key = next((word.partition("=")[2] for word in argv if word.startswith("--effect=")), "")
    try:
        extension = _extension(key)
        buffer = io.BytesIO()
        extension.run(argv, output=buffer)
    except InputError as problem:
        told = [*finding_lines(problem.findings), str(problem)]
    except AppliqueError as problem:
        told = [str(problem)]
    except Exception as fault:
        if faults.are_raised():
            raise
        told = [faults.sentence_of(fault, argv)]
    else:
        output.write(buffer.getvalue())
        output.flush()
        return 0
    notify(in_the_editor(line, key) for line in told)
    return 1


def _extension(key: str) -> _Extension:
    if key in _CLASSES:
        return _CLASSES[key](EFFECTS[key])
    if key in OUTPUTS:
        return SaveStitches(OUTPUTS[key])
    raise UsageError(f"there is no effect '{key}'; install the extensions anew")
