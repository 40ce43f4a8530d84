"""Machine files that are hostile; damages by the byte are tried in tests/export/test_reading.py."""

from __future__ import annotations

import struct

from tests.hostile.running import Make

TAPE_END = b"\x00\x00\xf3"


def tape(records: bytes, head: bytes = b"LA:HOSTILE\r") -> bytes:
    return head.ljust(512, b" ") + records + TAPE_END


def pec(records: bytes, colours: int = 1, offset: int = 532) -> bytes:
    head = b"LA:HOSTILE\r".ljust(48, b" ") + bytes([colours - 1 & 255]) + bytes(463)
    block = struct.pack("<HI", 0, 0)[:2] + offset.to_bytes(3, "little") + b"\x31\xff\xf0"
    return b"#PEC0001" + head + block.ljust(20, b"\0") + records + b"\xff"


MACHINE_FILES: dict[str, tuple[str, Make]] = {
    "nothing": ("dst", lambda: b""),
    "head alone": ("dst", lambda: b" " * 512),
    "tape of million jumps": ("dst", lambda: tape(b"\x00\x00\x83" * 900_000)),
    "tape of million stops": ("dst", lambda: tape(b"\x00\x00\xc3" * 900_000)),
    "tape of stops and stitches": ("dst", lambda: tape(b"\x00\x00\xc3\x01\x00\x03" * 400_000)),
    "tape of million stitches one way": ("dst", lambda: tape(b"\x81\x81\x03" * 900_000)),
    "tape of million stitches in one place": ("dst", lambda: tape(b"\x00\x00\x03" * 900_000)),
    "tape of ends": ("dst", lambda: tape(TAPE_END * 900_000)),
    "tape with a head of colours": ("dst", lambda: tape(b"\x01\x00\x03", b"TC:#a,b,c\r" * 50)),
    "tape that names a million stitches": ("dst", lambda: tape(b"\x01\x00\x03", b"ST:9999999\r")),
    "tape named by control signs": ("dst", lambda: tape(b"\x01\x00\x03" * 9, b"LA:\x1b[2J\r")),
    "too large": ("dst", lambda: tape(b"\x01\x00\x03" * 1_100_000)),
    "a gigabyte of nothing": ("exp", lambda: bytes(100_000_000)),
    "pec of 256 colours": ("pec", lambda: pec(bytes(9), colours=256)),
    "pec that begins behind its end": ("pec", lambda: pec(bytes(9), offset=2**24 - 1)),
    "pec of long jumps": ("pec", lambda: pec(b"\x9f\xff\x9f\xff" * 500_000)),
    "pes whose pec is far away": ("pes", lambda: b"#PES0001" + struct.pack("<I", 2**31)
        + bytes(99)),
    "pes whose pec is itself": ("pes", lambda: b"#PES0060" + struct.pack("<I", 0) + bytes(99)),
    "pes of 65,535 threads": ("pes", lambda: b"#PES0100" + struct.pack("<I", 99) + b"\xff" * 500),
    "jef of two billion colours": ("jef", lambda: struct.pack("<II", 128, 0) + bytes(16)
        + struct.pack("<II", 2**31 - 1, 2**31 - 1) + bytes(500)),
    "jef of colours below nothing": ("jef", lambda: struct.pack("<i", -1) * 60),
    "exp of colour changes": ("exp", lambda: b"\x80\x01\x00\x00" * 500_000),
    "exp of escapes": ("exp", lambda: b"\x80\x80" * 900_000),
    "vp3 of 65,535 blocks": ("vp3", lambda: b"%vsm%\0" + b"\xff" * 5_000),
    "vp3 of nothing else": ("vp3", lambda: b"%vsm%\0"),
    "xxx of colours without end": ("xxx", lambda: bytes(39) + b"\xff" * 5_000),
    "xxx of a million jumps": ("xxx", lambda: bytes(256) + b"\x7f\x01\xff\xff" * 500_000),
    "hus of two billion stitches": ("hus", lambda: struct.pack("<III", 0xC8AF5B, 2**31, 1)
        + b"\xff" * 500),
    "hus of as many stitches as may be": ("hus", lambda: struct.pack("<III", 0xC8AF5B, 499_999, 1)
        + b"\x2a" * 5_000),
    "svg as a machine file": ("pes", lambda: b"<svg/>"),
    "picture as a machine file": ("dst", lambda: b"\x89PNG" + bytes(600)),
    "shv of noise": ("shv", lambda: b"Embroidery disk created using software" + b"\x80" * 50_000),
    "sew of long jumps": ("sew", lambda: bytes(0x1D78) + b"\x80\x04\x7f\x7f" * 200_000),
    "pcs of two billion stitches": ("pcs", lambda: b"2" + b"\xff" * 90_000),
    "phc of lengths beyond its end": ("phc", lambda: bytes(0x4A) + b"\xff" * 5_000),
    "dsb of jumps": ("dsb", lambda: bytes(512) + b"\x81\xff\xff" * 300_000),
    "ksm of stops": ("ksm", lambda: bytes(512) + b"\0\0\xe7" * 300_000),
    "zhs of noise": ("zhs", lambda: bytes(range(256)) * 400),
    "u01 of needle changes": ("u01", lambda: bytes(256) + b"\xe9\0\0\xea\0\0" * 400_000),
    "tbf of noise": ("tbf", lambda: b"\x80" * 1_000_000),
}  # fmt: skip
