"""Makes Python wheels: of the program, and of the hook that installs it.

    python3 wheel/wheels.py PROGRAM TARGET FOLDER [LICENSES...]

puts a wheel of a program that was built for a target of the compiler into a folder and prints its path; the files of
licenses go with it. Nothing is built and nothing is fetched. The same program gives the same wheel, byte for byte.

The repository's own `pyproject.toml` names this file as what builds it. That gives a wheel without any program, which
asks for the wheel of the program in the same version: it is how pre-commit installs the hook, within a second.

The format is that of the Python Packaging User Guide, "Binary distribution format" and "Platform compatibility tags".
Needs Python 3.9 and nothing else.
"""

import base64
import hashlib
import re
import sys
import zipfile
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent

# The systems a program runs on, by the target it was built for. A static program needs no C library, so it is for both
# kinds of them. The versions of macOS are the compiler's own for these targets (The rustc book, "*-apple-darwin").
# A program that is not static needs the C library of the machine it was built on: its wheel is for that machine.
PLATFORMS = {
    "x86_64-unknown-linux-musl": "manylinux2014_x86_64.manylinux_2_17_x86_64.musllinux_1_1_x86_64",
    "aarch64-unknown-linux-musl": "manylinux2014_aarch64.manylinux_2_17_aarch64.musllinux_1_1_aarch64",
    "x86_64-apple-darwin": "macosx_10_12_x86_64",
    "aarch64-apple-darwin": "macosx_11_0_arm64",
    "x86_64-pc-windows-gnu": "win_amd64",
    "x86_64-unknown-linux-gnu": "linux_x86_64",
    "aarch64-unknown-linux-gnu": "linux_aarch64",
}


def package():
    """The fields of the package in `Cargo.toml` that are one line of text."""
    section = (PROJECT / "Cargo.toml").read_text("utf-8").split("\n[", 1)[0]
    return dict(re.findall(r'^([a-z-]+) = "(.*)"$', section, re.MULTILINE))


def metadata(name, summary, licenses, needs=()):
    """The metadata of a wheel."""
    fields = package()
    lines = [
        "Metadata-Version: 2.4",
        f"Name: {name}",
        f"Version: {fields['version']}",
        f"Summary: {summary}",
        f"License-Expression: {fields['license']}",
        *(f"License-File: {license.name}" for license in licenses),
        "Requires-Python: >=3.8",
        *(f"Requires-Dist: {need}" for need in needs),
    ]
    return "\n".join(lines) + "\n"


def write(folder, platform, name, summary, licenses, needs=(), programs=()):
    """Writes a wheel; gives its path."""
    stem = f"{name.replace('-', '_')}-{package()['version']}"
    tags = [f"Tag: py3-none-{one}" for one in platform.split(".")]
    kind = ["Wheel-Version: 1.0", "Generator: swathlint", f"Root-Is-Purelib: {str(not programs).lower()}", *tags]
    text = metadata(name, summary, licenses, needs)
    files = [(f"{stem}.data/scripts/{program.name}", program.read_bytes(), 0o755) for program in programs]
    files += [(f"{stem}.dist-info/licenses/{license.name}", license.read_bytes(), 0o644) for license in licenses]
    files += [
        (f"{stem}.dist-info/METADATA", text.encode(), 0o644),
        (f"{stem}.dist-info/WHEEL", "\n".join(kind + [""]).encode(), 0o644),
    ]
    record = f"{stem}.dist-info/RECORD"
    rows = [f"{path},sha256={digest(content)},{len(content)}" for path, content, _ in files]
    files.append((record, "\n".join([*rows, f"{record},,", ""]).encode(), 0o644))

    wheel = Path(folder) / f"{stem}-py3-none-{platform}.whl"
    with zipfile.ZipFile(wheel, "w", zipfile.ZIP_DEFLATED) as packed:
        for path, content, mode in files:
            entry = zipfile.ZipInfo(path, (1980, 1, 1, 0, 0, 0))
            entry.create_system = 3
            entry.external_attr = (0o100000 | mode) << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(entry, content)
    return wheel


def digest(content):
    """The SHA-256 of a file as a wheel lists it."""
    return base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()


def wheel_of_the_program(program, target, folder, *licenses):
    """Writes the wheel of a program that was built for a target; gives its path."""
    if target not in PLATFORMS:
        sys.exit(f"no wheel is known for {target}; there are {', '.join(PLATFORMS)}")
    fields = package()
    licenses = [Path(license) for license in licenses or [PROJECT / "LICENSE"]]
    return write(
        folder, PLATFORMS[target], fields["name"], fields["description"], licenses, programs=[Path(program)]
    )


def build_wheel(wheel_directory, config_settings=None, metadata_directory=None):
    """Writes the wheel of the hook, for whoever installs this repository (PEP 517); gives its name."""
    fields = package()
    name, summary = f"{fields['name']}-hook", "Installs swathlint for a hook"
    needs = [f"{fields['name']} == {fields['version']}"]
    return write(wheel_directory, "any", name, summary, [PROJECT / "LICENSE"], needs).name


if __name__ == "__main__":
    if len(sys.argv) < 4:
        sys.exit("usage: wheels.py PROGRAM TARGET FOLDER [LICENSES...]")
    print(wheel_of_the_program(*sys.argv[1:]))
