"""Holds the JSON Schemas of docs/schema to the readers.

usage: schema.py PROGRAM SOURCE_DIR

Every shipped file, and every file of a recorded session that nothing is said against, passes. Every file that is refused
for something that a schema can express fails. Readers and schemas know the same keys, spellings of units and words, and
agree on the shipped files with a key taken out or put in.
"""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import jsonschema
import yaml

KINDS = {"fastener schedule 1": "schedule", "build 1": "build", "tool list 1": "tool-list"}

# What a schema can see. The others are about figures that must agree, names that must be known, and YAML itself.
EXPRESSIBLE = {"unknown-key", "missing-key", "missing-unit", "unknown-unit", "wrong-dimension", "bad-number",
               "decimal-comma", "wrong-shape", "conflicting-keys", "unknown-word", "wrong-format"}
# (case, file): why the slug of this file is beyond a schema.
BEYOND = {
    ("build-wrong-format", "d.yaml"): "an empty text",
    ("positions", "s.yaml"): "what some bolts have, all must have",
    ("recheck-same", "s.yaml"): "a stage that needs an earlier one",
}
# So in complaints of the program; and a source that is named in one place and described in another.
NEEDS_ANOTHER_PLACE = re.compile(r"though (?:others|the schedule) ha|needs the bolts to name|finds no torque stage|^source '")


class Loader(yaml.SafeLoader):
    """Scalars as YAML 1.2 and editors take them: no dates, no yes and no, no base sixty."""


Loader.yaml_implicit_resolvers = {}
for tag, pattern, first in [("bool", r"true|false", "tf"), ("null", r"~|null|", "~n"), ("null", r"", [""]),
                            ("int", r"[-+]?(0|[1-9][0-9]*)", "-+0123456789"),
                            ("float", r"[-+]?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?", "-+0123456789")]:
    Loader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"^(?:{pattern})$"), list(first))


def load(text):
    """The document, or None when YAML itself refuses it."""
    try:
        return yaml.load(text, Loader)
    except yaml.YAMLError:
        return None


class Schemas:
    def __init__(self, root):
        self.by_kind = {}
        for kind in KINDS.values():
            schema = json.loads((root / f"docs/schema/{kind}.schema.json").read_text(encoding="utf-8"))
            jsonschema.Draft202012Validator.check_schema(schema)
            self.by_kind[kind] = schema

    def complaints(self, kind, document):
        return [f"{'/'.join(map(str, e.absolute_path)) or 'the file'}: {e.message[:200]}"
                for e in jsonschema.Draft202012Validator(self.by_kind[kind]).iter_errors(document)]

    def accepts(self, kind, definition, value):
        schema = self.by_kind[kind]
        part = {"$ref": f"#/$defs/{definition}", "$defs": schema["$defs"]}
        return jsonschema.Draft202012Validator(part).is_valid(value)


def kind_of(text):
    first = re.search(r"^format: *(.*?) *(?:#.*)?$", text, flags=re.M)
    return KINDS.get(first[1]) if first else None


def shipped(root, schemas):
    paths = [*root.glob("schedules/*.yaml"), *root.glob("tests/data/*.yaml")]
    for path in sorted(paths):
        text = path.read_text(encoding="utf-8")
        yield from (f"{path.name}: {c}" for c in schemas.complaints(kind_of(text), load(text)))
    if len(paths) < 8:
        yield f"only {len(paths)} shipped files were found"


def page_examples(root, schemas, format_doc):
    for page, fragments in (("format.md", True), ("tools.md", False), ("editor.md", False)):
        text = (root / "docs" / page).read_text(encoding="utf-8")
        for block in re.findall(r"^```yaml\n(.*?)^```", text, flags=re.M | re.S):
            whole = format_doc.schedule_with(block) if fragments else block
            yield from (f"an example of {page}: {c}" for c in schemas.complaints(kind_of(whole), load(whole)))


def windows(root, schemas):
    """The targets and tolerances that the page shows."""
    page = (root / "docs/format.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (`[^|]*`) \| [^|]* \| [^|]* \|$", page[page.index("A **target**"):page.index("## Units")], flags=re.M)
    shown = [figure for row in rows for figure in re.findall(r"`([^`]*)`", row)]
    shown = [figure for figure in shown if re.match(r"\d", figure)]
    for figure in shown:
        if not schemas.accepts("schedule", "length_target" if "mm" in figure else "torque_target", figure):
            yield f"the schema refuses the target {figure}"
    for figure in ("5°", "4 %", "± 0.01 mm", "+2 N·m -0 N·m"):
        if not schemas.accepts("schedule", "tolerance", figure):
            yield f"the schema refuses the tolerance {figure}"
    for figure in ("30", "30 N·m 4", "-3 N·m", "3,5 N·m", "030 N·m", "30 mm", "27.. N·m", "30 Nm ± 5 mm", "N·m"):
        if schemas.accepts("schedule", "torque_target", figure):
            yield f"the schema accepts the target {figure}"
    if len(shown) < 9:
        yield f"only {len(shown)} targets were found"


def file_cases(root, golden):
    """(case, file name, its text, the slugs that are said of it) for every file of a recorded session."""
    for case in sorted([*root.glob("tests/diagnostic/*.test"), *root.glob("tests/golden/*.test")]):
        text = case.read_text(encoding="utf-8")
        sections = golden.parse(text)
        files = [(name, golden.unescape(golden.body(lines))) for kind, name, lines in sections if kind == "file"]
        names = [name for name, _ in files]
        for name, raw in files:
            if name.endswith(".yaml") and names.count(name) == 1 and not any(k in ("replace", "append", "cut") and n == name for k, n, _ in sections):
                said = set(re.findall(rf"^{re.escape(name)}:\d+:\d+: error: .*\[([\w-]+)\]$", text, flags=re.M))
                yield case.stem, name, raw, said, re.search(rf"\b{re.escape(name)}\b.*error|\b{re.escape(name)}: ", text)


def sessions(root, schemas, golden):
    refused = passed = 0
    for case, name, raw, said, mentioned in file_cases(root, golden):
        text = raw.decode("utf-8", "replace")
        document, kind = load(text), kind_of(text)
        if (case, name) in BEYOND or document is None:
            continue
        if said & EXPRESSIBLE:
            refused += 1
            # A file of another kind, or of none, is refused by every schema of ours.
            kinds = [kind] if kind and "wrong-format" not in said else [k for k in KINDS.values() if k != kind]
            if any(not schemas.complaints(k, document) for k in kinds):
                yield f"{case}: {name} passes, and the program says {', '.join(sorted(said))}"
        elif not said and not mentioned and kind:
            passed += 1
            yield from (f"{case}: {name}, which the program takes: {c}" for c in schemas.complaints(kind, document))
    if refused < 25 or passed < 30:
        yield f"only {refused} refused and {passed} accepted files were found"


def parts(node, path=()):
    """The path of every mapping in a document."""
    if isinstance(node, dict):
        yield path
    for key, value in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        yield from parts(value, (*path, key))


def changed(document):
    """(what was done, document) with each key taken out, and with an unknown one put into each mapping."""
    for path in parts(document):
        def at(copy):
            for key in path:
                copy = copy[key]
            return copy
        where = "/".join(map(str, path))
        for key in at(document):
            copy = json.loads(json.dumps(document))
            del at(copy)[key]
            if copy:
                yield f"without {where}/{key}", copy
        copy = json.loads(json.dumps(document))
        at(copy)["no_such_key"] = "x"
        yield f"with {where}/no_such_key", copy


def mutants(program, root, schemas):
    """The program and the schema judge the shipped files alike when a key more or less is there."""
    judged = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for path in root.glob("schedules/*.yaml"):
            shutil.copy(path, folder)
        for path in sorted(root.glob("schedules/*.yaml")):
            kind = kind_of(path.read_text(encoding="utf-8"))
            for what, document in changed(load(path.read_text(encoding="utf-8"))):
                (folder / "changed.yaml").write_text(
                    "".join(f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in document.items()), encoding="utf-8")
                words = ["discharge-flange.yaml", "--tools", "changed.yaml"] if kind == "tool-list" else ["changed.yaml"]
                done = subprocess.run([program, "plan", *words], cwd=folder, capture_output=True, text=True, timeout=30,
                                      env={**os.environ, "LC_ALL": "C.UTF-8"})
                said = re.findall(r"error: (.*) \[([\w-]+)\]$", done.stderr, flags=re.M)
                refused = any(slug in EXPRESSIBLE and not NEEDS_ANOTHER_PLACE.search(text) for text, slug in said)
                if said and not refused:
                    continue
                judged += 1
                complaints = schemas.complaints(kind, document)
                if bool(complaints) != refused:
                    yield f"{path.name} {what}: the program says {said}, the schema {complaints}"
    if judged < 400:
        yield f"only {judged} changed files were judged"


def schema_keys(node, inside=False):
    """Every key that a schema gives a meaning."""
    found = set()
    if isinstance(node, dict):
        for key, value in node.items():
            if inside:
                found |= {key} if value is not False else set()
                found |= schema_keys(value)
            else:
                found |= schema_keys(value, key == "properties")
    elif isinstance(node, list):
        for value in node:
            found |= schema_keys(value)
    return found


def keys_in(text):
    keys = set(re.findall(r'\b(?:take|need|measured|truth|text_or_empty)\("(\w+)"', text))
    keys |= {k for pair in re.findall(r'\bbound\("(\w+)", "(\w+)"', text) for k in pair}
    keys |= set(re.findall(r'\bread_(?:date|kind)\(form, "(\w+)"', text))
    for listed in re.findall(r"kOtherKeys\{(.*?)\}", text, flags=re.S):
        keys |= set(re.findall(r'"(\w+)"', listed))
    return keys


def keys(root, schemas):
    room = root / "lib/clampbook/schedule"
    read = {path.stem: keys_in(path.read_text(encoding="utf-8")) for path in room.glob("read_*.cpp")}
    actions = set(re.findall(r'\.name = "(\w+)"', (room / "stage_kind.h").read_text(encoding="utf-8")))
    gates = {"do", "count", "measure", "wait"}
    bolt_keys = {"bolts", "order", "reverse", "tolerance", "source", "says", "written_for", "final_torque"}
    known = {
        "schedule": set().union(*(found for name, found in read.items() if name not in ("read_tools", "read_build"))) | actions,
        "build": read["read_build"] | ((read["read_stages"] - bolt_keys - {"thread", "strength", "lubricant"}) | gates),
        "tool-list": read["read_tools"],
    }
    for kind, found in known.items():
        told = schema_keys(schemas.by_kind[kind])
        yield from (f"the reader knows the key '{key}', the schema of a {kind} does not" for key in sorted(found - told))
        yield from (f"the schema of a {kind} knows the key '{key}', no reader does" for key in sorted(told - found))
        if len(found) < 15:
            yield f"only {len(found)} keys were found in the reader of a {kind}"


def strict(schemas):
    """Whatever names its keys refuses all others, and says what it is."""
    def walk(kind, node, path, rule):
        if isinstance(node, list):
            for i, value in enumerate(node):
                yield from walk(kind, value, f"{path}/{i}", rule)
        if not isinstance(node, dict):
            return
        if node.get("type") == "object":
            if "properties" in node and node.get("additionalProperties") is not False:
                yield f"{kind}{path} takes keys that it does not name"
            if not node.get("description"):
                yield f"{kind}{path} has no description"
        for key, value in node.items():
            yield from walk(kind, value, f"{path}/{key}", rule)

    def described(kind, node):
        for key, value in node.items():
            target = schemas.by_kind[kind]["$defs"].get(str(value.get("$ref", "")).removeprefix("#/$defs/"), {})
            if not (value.get("description") or target.get("description")):
                yield f"{kind}: the key '{key}' has no description"

    for kind, schema in schemas.by_kind.items():
        yield from walk(kind, schema, "", False)
        yield from described(kind, schema["properties"])
        for part in schema["$defs"].values():
            yield from described(kind, part.get("properties", {}))


def joined(words):
    """The spellings of a table row, and each dot as the other joins that the page allows."""
    for word in words:
        yield word
        if "·" in word:
            yield from (word.replace("·", join) for join in ("⋅", "-", ".", "*", " ", ""))


def units(root, schemas):
    table = (root / "lib/clampbook/units/unit_table.h").read_text(encoding="utf-8")
    lists = {name: [*re.findall(r'"([^"]+)"', re.sub(r"CLAMPBOOK_JOINED\(.*?\)", "", body)),
                    *(f"{a}·{b}" for a, b in re.findall(r'CLAMPBOOK_JOINED\("(\w+)", "(\w+)"\)', body))]
             for name, body in re.findall(r"Words (k\w+)\{(.*?)\};", table, flags=re.S)}
    definitions = ["torque", "length", "stress", "angle", "time", "ratio"]
    rows = re.findall(r'Unit\{"([^"]*)", "([^"]*)", (\w+),([^}]*)\}', table)
    for spelling, ascii_word, dimension, rest in rows:
        named = re.search(r"\b(k\w+)$", rest.strip())
        words = [spelling, ascii_word, *(lists.get(named[1], []) if named else [])]
        for word in joined(words):
            for kind in schemas.by_kind:
                for definition in set(definitions) & set(schemas.by_kind[kind]["$defs"]):
                    takes = schemas.accepts(kind, definition, f"3 {word}".rstrip())
                    if takes != (definition == dimension) and not (definition == "ratio" and not word):
                        yield f"{kind}: {definition} {'takes' if takes else 'refuses'} 3 {word}"
            if not schemas.accepts("schedule", "quantity", f"3 {word}"):
                yield f"schedule: quantity refuses 3 {word}"
            for kind, definition, text in (("schedule", f"{dimension}_target", f"3..4 {word}"), ("schedule", f"{dimension}_target", f"3 {word} ± 1 {word}"),
                                           ("tool-list", f"{dimension}_range", f"3..4 {word}"), ("tool-list", f"{dimension}_unit", word)):
                if definition in schemas.by_kind[kind]["$defs"] and not schemas.accepts(kind, definition, text):
                    yield f"{kind}: {definition} refuses {text}"
    if len(rows) < 35 or len(lists) < 8:
        yield f"only {len(rows)} units and {len(lists)} lists of spellings were found"


def words(root, schemas):
    """Names that the tables of the library know."""
    data = root / "lib/clampbook/joint/data"
    for table, definition in (("materials", "material"), ("lubricants", "lubricant_name"), ("iso_898_classes", "strength"), ("sae_grades", "strength")):
        names = re.findall(r'^ *\{"([^"]+)"', (data / f"{table}.inc").read_text(encoding="utf-8"), flags=re.M)
        if len(names) < 3:
            yield f"only {len(names)} names were found in {table}"
        for name in names:
            if not schemas.accepts("schedule", definition, name):
                yield f"schedule: {definition} refuses {name}"
        if schemas.accepts("schedule", definition, "chewing gum"):
            yield f"schedule: {definition} takes any word"


def main(program, root):
    sys.path.insert(0, str(root / "tests/support"))
    import format_doc
    import golden

    schemas = Schemas(root)
    offences = [*shipped(root, schemas), *page_examples(root, schemas, format_doc), *windows(root, schemas),
                *sessions(root, schemas, golden), *keys(root, schemas), *strict(schemas), *units(root, schemas), *words(root, schemas),
                *mutants(program, root, schemas)]
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) != 3:
        raise SystemExit("usage: schema.py PROGRAM SOURCE_DIR")
    sys.exit(main(str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2]).resolve()))
