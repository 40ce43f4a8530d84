"""Inputs changed: bytes of machine files, elements and attributes of drawings, tokens of texts.

Everything is drawn from the `random.Random` that is handed over, so that the same seed gives the
same inputs.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable

from applique.export.reading import readable_suffixes
from tests.fuzz.mutate_svg import mutated_svg
from tests.fuzz.nasty import EVERY, TOML_VALUES, WORDS

LARGEST_BYTES = 60_000
"""Larger inputs take their time and find nothing new."""

_MOST_CHANGES = 5
_EDGES = (0, 1, 2, 3, 0x10, 0x1F, 0x20, 0x7F, 0x80, 0x81, 0xC0, 0xF3, 0xFE, 0xFF)
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|[-+\w.]+|[\[\]{}=,#]|\n', re.DOTALL
)
_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")


def mutated(reader: str, data: bytes, other: bytes, chance: random.Random) -> bytes:
    """An input for a reader, made of one by a few changes; some of them take parts of another."""
    changes = chance.randint(1, _MOST_CHANGES)
    if reader in ("drawing", "layered"):
        return changed_drawing(data, other, changes, chance)[:LARGEST_BYTES]
    change = changed_machine_file if reader == "machine" else changed_text
    for _ in range(changes):
        data = change(data, other, chance)
    return data[:LARGEST_BYTES]


def changed_machine_file(data: bytes, other: bytes, chance: random.Random) -> bytes:
    """One change of a machine file; seldom of its suffix."""
    suffix, _, content = data.partition(b"\n")
    if chance.random() < 0.03:
        suffix = chance.choice(readable_suffixes()).encode()
    return suffix + b"\n" + changed_bytes(content, other.partition(b"\n")[2], chance)


def changed_bytes(data: bytes, other: bytes, chance: random.Random) -> bytes:
    """One change of bytes."""
    at = chance.randint(0, len(data))
    length = min(chance.choice((1, 1, 2, 3, 4, 8, 16, 64, 512)), len(data) - at)
    return chance.choice(_BYTE_CHANGES)(data, at, length, other, chance)


def _byte_set(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    value = chance.choice(_EDGES) if chance.random() < 0.6 else chance.randrange(256)
    return data[:at] + bytes([value]) * length + data[at + length :]


def _bit_flipped(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    if at == len(data):
        return data
    return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]


def _number_set(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    """A whole number of 2 or 4 bytes written over what stands there."""
    size = chance.choice((2, 4))
    bits = chance.choice((7, 8, 15, 16, 20, 31, 32))
    number = ((1 << bits) + chance.randint(-2, 2)) % (1 << 8 * size)
    written = number.to_bytes(size, chance.choice(("little", "big")))
    return data[:at] + written + data[at + size :]


def _cut_out(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    return data[:at] + data[at + length :]


def _cut_off(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    return data[:at]


def _doubled(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    times = chance.choice((1, 1, 2, 8, 100))
    return data[:at] + data[at : at + length] * times + data[at:]


def _put_in(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    return data[:at] + chance.randbytes(chance.choice((1, 2, 3, 4, 16))) + data[at:]


def _spliced(data: bytes, at: int, length: int, other: bytes, chance: random.Random) -> bytes:
    """Up to some byte the one, from some byte on the other."""
    return data[:at] + other[chance.randint(0, len(other)) :]


_BYTE_CHANGES: tuple[Callable[[bytes, int, int, bytes, random.Random], bytes], ...] = (
    *(_byte_set, _byte_set, _bit_flipped, _bit_flipped, _number_set, _number_set),
    *(_cut_out, _cut_off, _doubled, _put_in, _spliced),
)


def changed_drawing(data: bytes, other: bytes, changes: int, chance: random.Random) -> bytes:
    """Changes of a drawing's elements; seldom of its bytes, too."""
    data = mutated_svg(data, other, changes, chance)
    return changed_bytes(data, other, chance) if chance.random() < 0.06 else data


def changed_text(data: bytes, other: bytes, chance: random.Random) -> bytes:
    """One change of a TOML text's tokens or lines; seldom of its bytes."""
    if chance.random() < 0.05:
        return changed_bytes(data, other, chance)
    text = data.decode("utf-8", "replace")
    change = chance.choice(_TEXT_CHANGES)
    return change(text, other.decode("utf-8", "replace"), chance).encode("utf-8", "replace")


def _value_swapped(text: str, other: str, chance: random.Random) -> str:
    """What stands behind an equals sign becomes something else."""
    lines = text.split("\n")
    valued = [k for k, line in enumerate(lines) if "=" in line]
    if not valued:
        return text
    k = chance.choice(valued)
    head = lines[k].partition("=")[0]
    values = [line.partition("=")[2] for line in other.split("\n") if "=" in line]
    value = chance.choice(values) if values and chance.random() < 0.3 else _nasty_value(chance)
    lines[k] = f"{head}= {value}"
    return "\n".join(lines)


def _nasty_value(chance: random.Random) -> str:
    if chance.random() < 0.6:
        return chance.choice(TOML_VALUES)
    escaped = chance.choice(EVERY).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'.replace("\n", "\\n").replace("\t", "\\t")


def _token_swapped(text: str, other: str, chance: random.Random) -> str:
    tokens = list(_TOKEN.finditer(text))
    if not tokens:
        return text + chance.choice(TOML_VALUES)
    found = chance.choice(tokens)
    given = [token[0] for token in _TOKEN.finditer(other[:4000])] or ["="]
    new = chance.choice(given) if chance.random() < 0.5 else _nasty_value(chance)
    return text[: found.start()] + new + text[found.end() :]


def _token_dropped(text: str, other: str, chance: random.Random) -> str:
    tokens = list(_TOKEN.finditer(text))
    if not tokens:
        return text
    found = chance.choice(tokens)
    return text[: found.start()] + text[found.end() :]


def _number_changed(text: str, other: str, chance: random.Random) -> str:
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    number = chance.choice(found)
    return text[: number.start()] + other_number(number[0], chance) + text[number.end() :]


def other_number(text: str, chance: random.Random) -> str:
    """A number near one, or far from it."""
    value = float(text)
    far = chance.choice((0, -1, 2, 10, -1e3, 1e6, 1e9, 1e-6))
    near = chance.choice((-1, -0.5, -1e-3, 1e-9, 1e-3, 0.25, 1))
    new = value * far if chance.random() < 0.5 else value + near
    return f"{new:.0f}" if abs(new) < 1e15 and chance.random() < 0.4 else f"{new:.6g}"


def _lines_changed(text: str, other: str, chance: random.Random) -> str:
    """A line dropped, doubled, moved, or one of the other text put in."""
    lines = text.split("\n")
    k = chance.randrange(len(lines))
    how = chance.randrange(5)
    if how == 0:
        del lines[k]
    elif how == 1:
        lines.insert(k, lines[k])
    elif how == 2:
        lines.insert(chance.randrange(len(lines)), lines.pop(k))
    elif how == 3:
        lines.insert(k, chance.choice(other.split("\n")))
    else:
        lines.insert(k, f'"{chance.choice(WORDS)[:40]}" = {_nasty_value(chance)}')
    return "\n".join(lines)


def _part_spliced(text: str, other: str, chance: random.Random) -> str:
    """Some lines of the other text put in as they follow one another."""
    lines, others = text.split("\n"), other.split("\n")
    at, begin = chance.randrange(len(lines) + 1), chance.randrange(len(others))
    end = begin + chance.choice((1, 2, 4, 8))
    return "\n".join([*lines[:at], *others[begin:end], *lines[at:]])


_TEXT_CHANGES: tuple[Callable[[str, str, random.Random], str], ...] = (
    *(_value_swapped, _value_swapped, _value_swapped, _token_swapped, _token_dropped),
    *(_number_changed, _number_changed, _lines_changed, _lines_changed, _part_spliced),
)
