"""The description files fit the editor's schemas, and say what the dialogs say."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

from applique.editor.dialogs import EFFECTS, OUTPUTS
from applique.editor.inx import INX, inx_files
from applique.editor.parameters import AS_SET, settings_from
from applique.settings import SPECS

SCHEMAS = [
    Path("/usr/share/inkscape/extensions/inkscape.extension.rng"),
]


def schemas() -> list[Path]:
    import inkex.tester

    ours = list(Path(inkex.tester.__file__).parent.glob("*.rng"))
    return [path for path in [*SCHEMAS, *ours] if path.is_file()]


@pytest.mark.parametrize("name", inx_files())
def test_description_files_fit_every_schema_at_hand(name: str) -> None:
    assert schemas()
    document = etree.fromstring(inx_files()[name])
    for path in schemas():
        schema = etree.RelaxNG(etree.parse(str(path)))
        schema.assertValid(document)


def test_every_setting_is_in_the_make_layers_dialog() -> None:
    names = {parameter.name for parameter in EFFECTS["layers"].parameters()}
    assert {name.replace("-", "_") for name in SPECS} <= names


@pytest.mark.parametrize("key", EFFECTS)
def test_the_first_choice_is_what_the_editor_takes_unless_told(key: str) -> None:
    for parameter in EFFECTS[key].parameters():
        if parameter.choices:
            assert parameter.choices[0][0] == parameter.default


def test_ids_are_unique() -> None:
    ids = [etree.fromstring(data).findtext(f"{{{INX}}}id") for data in inx_files().values()]
    assert len(set(ids)) == len(ids) == len(EFFECTS) + len(OUTPUTS)


class Options:
    """Options as the editor passes them: all of them, as text."""

    def __init__(self, **changed: str) -> None:
        for parameter in EFFECTS["layers"].parameters():
            setattr(self, parameter.name, parameter.default)
        for name, value in changed.items():
            setattr(self, name, value)


def test_an_untouched_dialog_sets_nothing() -> None:
    assert settings_from(Options()) == {}  # type: ignore[arg-type]


@pytest.mark.parametrize("name", SPECS)
def test_every_setting_can_be_set_by_the_dialog(name: str) -> None:
    spec = SPECS[name]
    value = spec.choices[0] if spec.choices else f"{spec.high:g}"
    given = settings_from(Options(**{name.replace("-", "_"): value}))  # type: ignore[arg-type]
    assert given == {name: spec.parse(value)}
    assert AS_SET not in spec.choices
