"""Every crate in the program's tree may be shipped in a program under MIT OR Apache-2.0.

    python3 tools/check_licences.py

A crate passes when one choice of its licence expression needs only licences of the list below.
"""

import json
import re
import subprocess
import sys

# Permissive licences, and MPL-2.0, which asks only for changes to its own files.
MAY_SHIP = {
    "0BSD", "Apache-2.0", "BSD-1-Clause", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "CC0-1.0", "CDLA-Permissive-2.0", "ISC",
    "LLVM-exception", "MIT", "MIT-0", "MPL-2.0", "NCSA", "OFL-1.1", "Unicode-3.0", "Unicode-DFS-2016", "Unlicense", "Zlib", "bzip2-1.0.6",
}  # fmt: skip


def may_ship(expression):
    """True when one choice of an SPDX expression needs only licences of the list. `AND` and `WITH` bind before `OR`."""
    tokens = re.findall(r"[()/]|[A-Za-z0-9.+-]+", expression)

    def choice():
        fits = both()
        while tokens and tokens[0] in ("OR", "/"):
            tokens.pop(0)
            fits = both() or fits
        return fits

    def both():
        fits = licence()
        while tokens and tokens[0] in ("AND", "WITH"):
            tokens.pop(0)
            fits = licence() and fits
        return fits

    def licence():
        token = tokens.pop(0)
        if token != "(":
            return token in MAY_SHIP
        fits = choice()
        tokens.pop(0)
        return fits

    return choice()


def main():
    metadata = subprocess.run(["cargo", "metadata", "--format-version", "1", "--locked"], stdout=subprocess.PIPE)
    if metadata.returncode != 0:
        return metadata.returncode  # cargo has said why
    packages = json.loads(metadata.stdout)["packages"]
    refused = [f"{p['name']} {p['version']}: {p['license']}" for p in packages if not p["license"] or not may_ship(p["license"])]
    print(*refused, sep="\n", file=sys.stderr, end="\n" if refused else "")
    print(f"{len(packages)} crates read, {len(refused)} may not be shipped")
    return int(bool(refused))


if __name__ == "__main__":
    sys.exit(main())
