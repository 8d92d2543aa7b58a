"""Checks demo jobs against the schema that the program prints, with the reference implementation of JSON Schema.

    python tools/audit_schema.py SCHEMA_JSON JOB_TOML...
"""

import json
import sys
import tomllib
from pathlib import Path

from jsonschema import Draft202012Validator


def main(argv):
    if len(argv) < 3:
        print("usage: audit_schema.py SCHEMA_JSON JOB_TOML...", file=sys.stderr)
        return 2
    schema = json.loads(Path(argv[1]).read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    if validator.is_valid({"format": 1, "no such field of a job": True}) or validator.is_valid({}):
        print(f"{argv[1]}: accepts a job without content", file=sys.stderr)
        return 1
    faulty = False
    for job in argv[2:]:
        for error in validator.iter_errors(tomllib.loads(Path(job).read_text(encoding="utf-8"))):
            print(f"{job}: {error.json_path}: {error.message[:200]}", file=sys.stderr)
            faulty = True
    if not faulty:
        print(f"{len(argv) - 2} jobs fit the schema")
    return int(faulty)


if __name__ == "__main__":
    sys.exit(main(sys.argv))
