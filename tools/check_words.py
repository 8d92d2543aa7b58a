"""No file names a package registry or a web address: the product makes no outside request, and a clone needs no host by name.

    python3 tools/check_words.py

Reads every file that git tracks or would track. Allowed: loopback addresses, the names that RFC 2606 reserves for
examples, and the XML namespaces of the W3C, which are names and never fetched.
"""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# Text of others, kept as it came; Cargo.lock names cargo's own registry by necessity.
NOT_OURS = re.compile(r"(^|/)vendor/|^Cargo\.lock$|^LICENSE-APACHE$|\.(png|jpe?g|webp|woff2?|ttf|otf|pdf|ico|stl|ply)$")

# `[.]` keeps this file from naming what it looks for. Host parts made by code (`{address}`, `${host}`) are no names.
ADDRESS = re.compile(r"\b(?:https?|wss?|ftp|git|ssh)://(?P<host>[^\s/:\"'`<>)\\]*)(?P<path>[^\s\"'`<>)\\]*)", re.IGNORECASE)
LOOPBACK = re.compile(r"localhost|127(?:[.]\d+){3}|0[.]0[.]0[.]0|\[::1?\]?|\[?")
MADE_BY_CODE = re.compile(r"[{$%]|^$")
RESERVED = re.compile(r"(?:.*[.])?(?:example|invalid|test)(?:[.](?:com|org|net))?", re.IGNORECASE)
REGISTRY = re.compile(
    r"\b(?:(?:static[.]|index[.])?crates[.]io|docs[.]rs|(?:files[.])?pythonhosted[.]org|pypi[.](?:org|python[.]org)"
    r"|npmjs[.](?:com|org)|unpkg[.]com|jsdelivr[.]net|(?:deb|security|snapshot)[.]debian[.]org"
    r"|proxy[.]golang[.]org|static[.]rust-lang[.]org)\b",
    re.IGNORECASE,
)


def is_namespace(host, path):
    """True for the W3C's XML namespaces, which are dated or short names under one host."""
    return host.lower() == "www.w3.org" and re.match(r"/(?:\d{4}/|XML/1998/|TR/)", path) is not None


def faults(line):
    """What one line names that it must not."""
    for found in ADDRESS.finditer(line):
        host = found["host"].rpartition("@")[2]
        if LOOPBACK.fullmatch(host) or MADE_BY_CODE.search(host) or RESERVED.fullmatch(host):
            continue
        if not is_namespace(host, found["path"]):
            yield f"web address {found[0]}"
    yield from (f"registry host {found[0]}" for found in REGISTRY.finditer(line))


def files():
    """Paths of all files that a commit of everything would hold."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT, check=True, capture_output=True
    ).stdout.decode()
    return sorted(path for path in listed.split("\0") if path and not NOT_OURS.search(path))


def main():
    found = []
    read = 0
    for path in files():
        file = ROOT / path
        if not file.is_file():
            continue
        try:
            text = file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            found.append(f"{path}: neither text nor a known kind of picture, font or mesh")
            continue
        read += 1
        for number, line in enumerate(text.splitlines(), 1):
            found += [f"{path}:{number}: {fault}" for fault in faults(line)]
    print(*found, sep="\n", file=sys.stderr, end="\n" if found else "")
    print(f"{read} files read, {len(found)} name a host")
    return int(bool(found) or read == 0)


if __name__ == "__main__":
    sys.exit(main())
