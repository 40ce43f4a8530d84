"""The editor's description files, generated from the dialogs.

`python -m applique.editor.inx` rewrites those in extensions/; a test fails if they are stale.
"""

from __future__ import annotations

from pathlib import Path

from lxml import etree

from applique.editor.dialogs import EFFECTS, MENU, OUTPUTS
from applique.editor.parameters import Dialog, Parameter
from applique.export.formats import FORMATS
from applique.files import put_all_in_place
from applique.resources import extensions_folder

INX = "http://www.inkscape.org/namespace/inkscape/extension"
_EMPTY = f'<inkscape-extension xmlns="{INX}"/>'
ID_PREFIX = "org.underlap"
LAUNCHER = "underlap_launch.py"

_KINDS = {
    "number": "float",
    "whole": "int",
    "text": "string",
    "yes-no": "bool",
    "choice": "optiongroup",
    "file": "path",
    "new-file": "path",
    "folder": "path",
}

_PATH_MODES = {"file": "file", "new-file": "file_new", "folder": "folder"}


def effect_id(key: str) -> str:
    """The id under which the editor knows an effect or an output."""
    return f"{ID_PREFIX}.{key}"


def inx_files() -> dict[str, bytes]:
    """Every description file by its name."""
    files = {
        f"underlap_{key.replace('-', '_')}.inx": _effect(dialog) for key, dialog in EFFECTS.items()
    }
    for key, dialog in OUTPUTS.items():
        suffix = key.removeprefix("save-")
        files[f"underlap_{key.replace('-', '_')}.inx"] = _output(dialog, suffix)
    return files


def _effect(dialog: Dialog) -> bytes:
    root = _root(dialog)
    if len(dialog.pages) == 1:
        _add_parameters(root, dialog.pages[0].parameters)
    elif dialog.pages:
        notebook = _child(root, "param", name="tab", type="notebook")
        for number, page in enumerate(dialog.pages, start=1):
            tab = _child(notebook, "page", name=f"page{number}")
            tab.set("gui-text", page.title)
            _add_parameters(tab, page.parameters)
    effect = _child(root, "effect")
    effect.set("needs-live-preview", "false")
    _child(effect, "object-type", "all")
    menu = _child(_child(effect, "effects-menu"), "submenu")
    menu.set("name", MENU)
    _child(effect, "menu-tip", dialog.tip)
    return _finished(root)


def _output(dialog: Dialog, suffix: str) -> bytes:
    root = _root(dialog)
    output = _child(root, "output")
    _child(output, "extension", f".{suffix}")
    _child(output, "mimetype", f"application/x-{suffix}")
    _child(output, "filetypename", f"{FORMATS[suffix].title} (*.{suffix})")
    _child(output, "filetypetooltip", dialog.tip)
    _child(output, "dataloss", "true")
    return _finished(root)


def _root(dialog: Dialog) -> etree._Element:
    root = etree.fromstring(_EMPTY)
    _child(root, "name", dialog.title)
    _child(root, "id", effect_id(dialog.key))
    key = _child(root, "param", dialog.key, name="effect", type="string")
    key.set("gui-hidden", "true")
    return root


def _add_parameters(parent: etree._Element, parameters: tuple[Parameter, ...]) -> None:
    for parameter in parameters:
        element = _child(parent, "param", name=parameter.name, type=_KINDS[parameter.kind])
        element.set("gui-text", parameter.label)
        element.set("gui-description", parameter.help)
        if parameter.kind == "choice":
            element.set("appearance", "combo")
            for value, label in parameter.choices:
                _child(element, "option", label, value=value)
            continue
        if parameter.kind in _PATH_MODES:
            element.set("mode", _PATH_MODES[parameter.kind])
        if parameter.suffixes:
            element.set("filetypes", ",".join(parameter.suffixes))
        if parameter.kind in ("number", "whole"):
            element.set("min", f"{parameter.low:g}")
            element.set("max", f"{parameter.high:g}")
        if parameter.kind == "number":
            element.set("precision", "2")
        element.text = parameter.default


def _child(parent: etree._Element, tag: str, text: str = "", **attributes: str) -> etree._Element:
    element = etree.SubElement(parent, f"{{{INX}}}{tag}", attributes)
    element.text = text or None
    return element


def _finished(root: etree._Element) -> bytes:
    """The file's bytes; `script` comes last, after what it belongs to."""
    script = _child(root, "script")
    _child(script, "command", LAUNCHER, location="inx", interpreter="python")
    etree.indent(root)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8") + b"\n"


def write_inx_files(folder: Path) -> None:
    """Write every description file into a folder."""
    put_all_in_place({folder / name: data for name, data in inx_files().items()})


if __name__ == "__main__":
    write_inx_files(extensions_folder())
