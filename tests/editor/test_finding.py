"""The editor is found on three systems, all of them looked at from here."""

from __future__ import annotations

import pytest

from applique.editor.finding import Program, Surroundings, find_program


def around(
    system: str,
    *files: str,
    path: dict[str, str] | None = None,
    links: dict[str, str] | None = None,
    **variables: str,
) -> Surroundings:
    """A machine with some files, programs on the shell's path, links and variables."""
    home = {"win32": r"C:\Users\Zoë", "darwin": "/Users/Zoë"}.get(system, "/home/Zoë")
    return Surroundings(
        system,
        variables,
        home,
        (path or {}).get,
        lambda name: name in files,
        lambda name: (links or {}).get(name, name),
    )


def test_nothing_is_found_where_there_is_nothing() -> None:
    for system in ("linux", "darwin", "win32", "freebsd14"):
        assert find_program(around(system)) is None


@pytest.mark.parametrize("system", ["linux", "darwin", "win32"])
def test_what_the_variable_names_goes_first(system: str) -> None:
    machine = around(
        system,
        path={"inkscape": "/usr/bin/inkscape"},
        UNDERLAP_EDITOR="/home/Zoë/Inkscape.AppImage",
    )
    assert find_program(machine) == Program("/home/Zoë/Inkscape.AppImage", "plain")


def test_on_linux_the_shell_knows_it() -> None:
    machine = around("linux", path={"inkscape": "/opt/ink/bin/inkscape"})
    assert find_program(machine) == Program("/opt/ink/bin/inkscape", "plain")


@pytest.mark.parametrize("folder", ["/Applications", "/Users/Zoë/Applications"])
def test_on_a_mac_it_is_an_application_of_all_or_of_one(folder: str) -> None:
    program = f"{folder}/Inkscape.app/Contents/MacOS/inkscape"
    assert find_program(around("darwin", program)) == Program(program, "plain")


@pytest.mark.parametrize(
    ("variable", "folder", "program"),
    [
        ("PROGRAMFILES", r"C:\Program Files", r"C:\Program Files\Inkscape\bin\inkscape.com"),
        ("PROGRAMFILES", r"D:\Programme", r"D:\Programme\Inkscape\bin\inkscape.exe"),
        (
            "PROGRAMW6432",
            r"C:\Program Files",
            r"C:\Program Files\Inkscape\bin\inkscape.com",
        ),
        (
            "LOCALAPPDATA",
            r"C:\Users\Zoë\AppData\Local",
            r"C:\Users\Zoë\AppData\Local\Programs\Inkscape\bin\inkscape.com",
        ),
        (
            "LOCALAPPDATA",
            r"C:\Users\Zoë\AppData\Local",
            r"C:\Users\Zoë\AppData\Local\Microsoft\WindowsApps\inkscape.exe",
        ),
    ],
)
def test_on_windows_it_is_where_installers_put_it(variable: str, folder: str, program: str) -> None:
    machine = around("win32", program, **{variable: folder})
    assert find_program(machine) == Program(program, "plain")


@pytest.mark.parametrize("named", [True, False])
def test_on_windows_the_program_that_answers_on_a_console_is_taken(named: bool) -> None:
    window, console = r"D:\Ink\bin\inkscape.exe", r"D:\Ink\bin\inkscape.com"
    machine = (
        around("win32", window, console, UNDERLAP_EDITOR=window)
        if named
        else around("win32", window, console, path={"inkscape": window})
    )
    assert find_program(machine) == Program(console, "plain")


@pytest.mark.parametrize(
    ("program", "links", "kind"),
    [
        ("/snap/bin/inkscape", {}, "snap"),
        ("/usr/local/bin/inkscape", {"/usr/local/bin/inkscape": "/usr/bin/snap"}, "snap"),
        ("/var/lib/flatpak/exports/bin/org.inkscape.Inkscape", {}, "flatpak"),
        ("/home/Zoë/.local/share/flatpak/exports/bin/org.inkscape.Inkscape", {}, "flatpak"),
    ],
)
def test_sandboxes_are_known(program: str, links: dict[str, str], kind: str) -> None:
    found = find_program(around("linux", program, links=links))
    assert found is not None
    assert (found.path, found.kind) == (program, kind)
    named = find_program(around("linux", links=links, UNDERLAP_EDITOR=program))
    assert named == found


def test_a_flatpak_that_the_shell_knows() -> None:
    program = "/srv/apps/exports/bin/org.inkscape.Inkscape"
    found = find_program(around("linux", path={"org.inkscape.Inkscape": program}))
    assert found == Program(program, "flatpak")


def test_a_plain_program_goes_before_a_sandbox_that_the_shell_finds_first() -> None:
    machine = around("linux", "/usr/bin/inkscape", path={"inkscape": "/snap/bin/inkscape"})
    assert find_program(machine) == Program("/usr/bin/inkscape", "plain")
