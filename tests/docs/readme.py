#!/usr/bin/env python3
"""The README tells the truth: what it shows after `$ stillroom ...` is what the program prints, and the command table,
`stillroom --help` and the interface description name the same commands.

  readme.py STILLROOM INDEXER BASE            builds the base and compares; exit 1 and a diff where they differ
  readme.py STILLROOM INDEXER BASE --update   writes the printed output into the README
"""
import difflib
import json
import os
import pathlib
import re
import shlex
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^```\n\$ (stillroom [^\n]*)\n(.*?)^```$", re.M | re.S)


def answer(program, base, command):
    words = shlex.split(command)
    environment = dict(os.environ, STILLROOM_BASE=base, COLUMNS="100", NO_COLOR="1")
    run = subprocess.run([program, *words[1:]], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60)
    return run.stdout + run.stderr


def commands_in_help(program):
    text = subprocess.run([program, "--help"], capture_output=True, text=True, timeout=60).stdout
    listed = text.split("Subcommands:")[1].split("\n\n")[0]
    return set(re.findall(r"^  ([a-z]+)\s", listed, re.M))


def main():
    program, indexer, base = sys.argv[1:4]
    subprocess.run([indexer, "--data", ROOT / "data", "--base", base], check=True, stdout=subprocess.DEVNULL)
    path = ROOT / "README.md"
    text = path.read_text()
    fresh = BLOCK.sub(lambda m: f"```\n$ {m[1]}\n{answer(program, base, m[1])}```", text)
    if "--update" in sys.argv:
        path.write_text(fresh)
        return 0
    bad = False
    if fresh != text:
        bad = True
        sys.stdout.writelines(difflib.unified_diff(text.splitlines(True), fresh.splitlines(True), "README.md", "printed"))
        print("The README shows what the program no longer prints: tests/docs/readme.py STILLROOM INDEXER BASE --update")
    helped = commands_in_help(program)
    table = set(re.findall(r"^\| `stillroom ([a-z]+)", text, re.M))
    api = json.loads((ROOT / "server/static/openapi.json").read_text())["paths"]
    served = {name for name in re.findall(r"/api/v1/([a-z]+)", " ".join(api)) if name not in ("health", "openapi", "shelf")}
    for name, found in (("the README's table", table), ("the interface description", served)):
        if found != helped:
            bad = True
            print(f"{name} names {sorted(found)}, the program {sorted(helped)}")
    print(f"{len(BLOCK.findall(text))} worked examples and {len(helped)} commands compared")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
