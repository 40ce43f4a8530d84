"""What a dialog's user has changed, and what may not be typed."""

import pytest

from applique.editor.parameters import settings_from
from applique.errors import UsageError
from tests.editor.asked import asked


def test_only_what_was_changed_is_given() -> None:
    assert settings_from(asked("layers")) == {}
    changed = asked("layers", edge_width="3.5", edge="blanket")
    assert settings_from(changed) == {"edge-width": 3.5, "edge": "blanket"}


@pytest.mark.parametrize("dialog", ["layers", "tag"])
def test_a_value_between_its_range_and_what_leaves_it_is_refused(dialog: str) -> None:
    """The editor's field goes down to 0, which leaves the setting as it is."""
    with pytest.raises(UsageError) as refused:
        settings_from(asked(dialog, edge_width="0.3"))
    assert str(refused.value) == (
        "edge-width must lie between 0.8 and 12 mm, not 0.3; change 'Edge width'"
    )
