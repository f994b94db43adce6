#!/usr/bin/env python3
"""HL7 FHIR R5 by a library that is not ours: fhir.resources (BSD-3-Clause, made from the published definitions).

    r5.py table              writes fhir-r5.json beside this file
    r5.py read FILE ...      reads bundles strictly and writes them back; says what is wrong, exit 1
    r5.py spoil FILE ...     spoils copies of them, each of which must be refused; exit 1 where one is not

Needs Python 3.9 or newer and `pip install fhir.resources==8.3.0`.
"""

import copy
import json
import re
import sys
from decimal import Decimal
from importlib import metadata
from pathlib import Path

from fhir.resources import get_fhir_model_class

RESOURCES = [
    "Bundle", "BodyStructure", "Device", "DeviceAssociation", "DeviceDefinition", "InventoryItem", "InventoryReport",
    "Location", "Organization", "Patient",
]
# Datatypes that are followed; an element of another type is not in the table, and so refused.
DATATYPES = {
    "Annotation", "CodeableConcept", "CodeableReference", "Coding", "Extension", "Identifier", "Meta", "Period",
    "Quantity", "Ratio", "Reference", "Resource",
}


def type_of(annotation):
    """An element's type, whether it may stand several times, and whether it is a primitive."""
    text = str(annotation)
    many = "List[" in text
    complex_type = re.search(r"abc\.(\w+?)Type\b", text)
    if complex_type:
        return complex_type[1], many, False
    primitive = re.search(r", (\w+)\(", text)
    if "bool" in text and not primitive:
        return "Boolean", many, True
    if primitive and primitive[1] == "EncodedBytes":
        return "Base64Binary", many, True
    return (primitive[1] if primitive else None), many, True


def elements(model):
    """The elements of a type by the name they have in JSON."""
    out = {}
    for field in model.model_fields.values():
        extra = field.json_schema_extra or {}
        if not extra.get("element_property"):
            continue
        name, many, primitive = type_of(field.annotation)
        required = bool(extra.get("element_required")) or (not primitive and field.is_required())
        out[field.alias] = {"type": name, "many": many, "primitive": primitive, "required": required, "extra": extra}
    return out


def table():
    out, waiting = {}, list(RESOURCES)
    while waiting:
        name = waiting.pop(0)
        if name in out or name == "Resource":
            continue
        rows = {}
        for key, one in elements(get_fhir_model_class(name)).items():
            backbone = one["type"] and one["type"].startswith(tuple(RESOURCES)) and one["type"] not in RESOURCES
            if one["type"] is None or not (one["primitive"] or backbone or one["type"] in DATATYPES):
                continue
            if not one["primitive"]:
                waiting.append(one["type"])
            row = {"type": one["type"][0].lower() + one["type"][1:] if one["primitive"] else one["type"]}
            row.update({k: True for k in ("many", "required") if one[k]})
            extra = one["extra"]
            row.update({"codes": extra["enum_values"]} if "enum_values" in extra else {})
            row.update({"to": extra["enum_reference_types"]} if "enum_reference_types" in extra else {})
            row.update({"choice": extra["one_of_many"]} if "one_of_many" in extra else {})
            row.update({"choice_required": True} if extra.get("one_of_many_required") else {})
            rows[key] = row
        out[name] = rows
    lines = ",\n".join(f"{json.dumps(name)}: {json.dumps(out[name])}" for name in sorted(out))
    made_with = metadata.version("fhir.resources")
    head = json.dumps({"fhir": "5.0.0", "made_with": f"fhir.resources {made_with}"})
    (Path(__file__).parent / "fhir-r5.json").write_text(f'{{"about": {head},\n"types": {{\n{lines}\n}}}}\n')


def plain(value):
    """15, 15.0 and '15' of a Decimal are one number."""
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [plain(v) for v in value]
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return float(value)
    return value


def wrong(bundle):
    """What is wrong with a bundle: what the library refuses, drops or calls no code, and where a reference leads."""
    try:
        read = get_fhir_model_class("Bundle").model_validate(copy.deepcopy(bundle))
        back = json.loads(read.model_dump_json())
    except Exception as e:  # whatever it is, the library does not take it
        return [str(e)]
    found = [] if plain(back) == plain(bundle) else ["not the same when it is written back"]
    kinds = {e.get("fullUrl"): e["resource"].get("resourceType") for e in bundle["entry"]}

    def look(name, value, at):
        for key, one in elements(get_fhir_model_class(name)).items():
            if key not in value:
                continue
            for part in value[key] if one["many"] else [value[key]]:
                extra = one["extra"]
                if part is not None and part not in extra.get("enum_values", [part]):
                    found.append(f"{at}.{key}: {part!r} is none of {extra['enum_values']}")
                if one["type"] in ("Reference", "CodeableReference") and "enum_reference_types" in extra:
                    reference = part.get("reference", {}) if one["type"] == "CodeableReference" else part
                    kind = kinds.get(reference.get("reference"))
                    if reference and kind not in extra["enum_reference_types"]:
                        found.append(f"{at}.{key}: leads to {kind}, not to {extra['enum_reference_types']}")
                if not one["primitive"]:
                    look(part.get("resourceType", one["type"]), part, f"{at}.{key}")

    look("Bundle", bundle, "Bundle")
    return found


def spoiled(bundle):
    """Copies with one thing wrong each."""

    def with_first(kind, change):
        out = copy.deepcopy(bundle)
        for entry in out["entry"]:
            if entry["resource"]["resourceType"] == kind:
                change(entry["resource"])
                return [(f"{kind}: {change.__doc__ or change.__name__}", out)]
        return []

    def code(resource):
        resource["status"] = "nowhere"

    def gone(resource):
        del resource["status"]

    def misspelt(resource):
        resource["partNo"] = "x"

    def elsewhere(resource):
        resource["bodyStructure"] = resource["device"]

    out = [("Bundle.type", {**copy.deepcopy(bundle), "type": "pile"})]
    for kind in ("InventoryItem", "InventoryReport"):
        out += with_first(kind, code) + with_first(kind, gone)
    out += with_first("Device", code) + with_first("Device", misspelt) + with_first("DeviceDefinition", misspelt)
    return out + with_first("DeviceAssociation", gone) + with_first("DeviceAssociation", elsewhere)


def main():
    what, files = (sys.argv[1:] or [""])[0], sys.argv[2:]
    if what == "table":
        return table()
    if what not in ("read", "spoil") or not files:
        sys.exit(__doc__)
    failed = count = 0
    for file in files:
        bundle = json.loads(Path(file).read_text())
        if what == "read":
            count += 1
            for complaint in wrong(bundle):
                failed += 1
                print(f"{file}: {complaint}")
        else:
            for name, copy_of_it in spoiled(bundle):
                count += 1
                if not wrong(copy_of_it):
                    failed += 1
                    print(f"{file}: not noticed: {name}")
    print(f"{what}: {count} bundles, {failed} complaints, fhir.resources {metadata.version('fhir.resources')}")
    sys.exit(1 if failed or not count else 0)


if __name__ == "__main__":
    main()
