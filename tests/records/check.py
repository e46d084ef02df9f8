"""Holds records against the schema: one process for all of them.

Reads from standard input {"schema": …, "records": [path…], "values": [[name, schema, value]…]} and writes
{"records": [null | "refuses" | "not YAML"…], "values": [null | "refuses"…], "schema": null | message}.
Every scalar is read as the text that stands there, which is what the schema describes.
"""

import json
import sys

import jsonschema
import yaml


def verdict(validator, value):
    return None if validator.is_valid(value) else "refuses"


def record(validator, path):
    try:
        with open(path, "rb") as file:
            value = yaml.load(file, Loader=yaml.BaseLoader)
    except (yaml.YAMLError, UnicodeDecodeError):
        return "not YAML"
    return verdict(validator, value)


def main():
    asked = json.load(sys.stdin)
    draft = jsonschema.Draft202012Validator
    fault = None
    try:
        draft.check_schema(asked["schema"])
    except jsonschema.SchemaError as error:
        fault = error.message
    whole = draft(asked["schema"])
    parts = {}
    values = []
    for name, schema, value in asked["values"]:
        validator = parts.setdefault(name, draft(schema))
        values.append(verdict(validator, value))
    records = [record(whole, path) for path in asked["records"]]
    json.dump({"schema": fault, "records": records, "values": values}, sys.stdout)


main()
