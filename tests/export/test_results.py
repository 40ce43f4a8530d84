import pytest

from tests.results import can_be_compared, is_frozen, result_classes


@pytest.mark.parametrize("kind", result_classes("export"))
def test_results_can_not_be_changed_and_can_be_compared(kind: type) -> None:
    assert is_frozen(kind)
    assert can_be_compared(kind)
