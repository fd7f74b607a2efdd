#!/usr/bin/env python3
"""Holds the JSON Schema of the case file against a validator written apart from it, and against arcplunge's own reader:

    python3 schema.py PATH/TO/arcplunge
"""
import json
import pathlib
import subprocess
import sys
import tomllib

from jsonschema import Draft202012Validator

HERE = pathlib.Path(__file__).parent
ROOT = HERE.parent.parent

# Cases beyond those of the examples that both must accept.
GOOD = [
    "",
    '[tolerance]\nbank.voltage = "1 V"\n"lead.length" = "2 %"\narc.to_stud = 0.01\nothers = "none"\n',
    '[tolerance]\nstud.cone = { spread = "0.4 deg", shape = "truncated", limit = "1 deg" }\n"metal.mild steel.hardness" = "10 %"\n',
    'title = "x"\n[stud]\nsize = "own"\nflange = "6 mm"\npip_diameter = "0.7mm"\npip_length = "0.6 mm"\n',
    '[[earth]]\nclamp = "0.4 mohm"\nat = "-200 mm, 0 mm"\n[[earth]]\nclamp = { resistance = "0.5 mΩ", drop = "12 V" }\n'
    'at = { x = "1 ft", y = "2 cm" }\n',
    '[sheet]\ncentre_mark = "none"\n[stud]\nshort_resistance = "none"\n',
    '[sheet]\ncentre_mark = { depth = "0.7 mm" }\n',
    '[tool]\nscale = [[1, "40 N"], [5, "120 N"]]\nspring_mark = 3\n[bank]\nscale = "none"\n',
    '[stud]\nmetal = "ours"\n[metal.ours]\nlike = "copper"\ndensity = "8.9 g/cm³"\nresistivity_20 = "0.018 µΩ·m"\n',
    '[lead]\nturns = 1\ntemperature = "68 °F"\nsection = "35 mm²"\nelevation = "0.5 rad"\n',
]

# Slips that both must refuse.
BAD = [
    '[tolerance]\nstud.cone = { spread = "0.4 deg", shape = "cut" }\n',
    '[tolerance]\nothers = "some"\n',
    '[bank]\nvoltgae = "112 V"\n',
    '[bnk]\nvoltage = "112 V"\n',
    '[bank]\nvoltage = 112\n',
    '[bank]\nvoltage = "112"\n',
    '[bank]\nvoltage = "112 A"\n',
    '[bank]\nvoltage = "112 v"\n',
    '[bank]\nvoltage = "none"\n',
    '[lead]\nlength = "5 mm2"\n',
    '[lead]\nlength = "5,2 m"\n',
    '[lead]\nturns = "3"\n',
    '[lead]\nturns = -1\n',
    '[arc]\nto_stud = 1.2\n',
    '[joints]\ntool = "lose"\n',
    '[joints]\ntool = { drop = "12 V" }\n',
    '[joints]\ntool = { resistance = "1 mohm", dorp = "12 V" }\n',
    '[tool]\nmethod = "lift"\n',
    '[tool]\nspring_mark = 3\n',
    '[tool]\nscale = [[1, "40 N"]]\n',
    '[tool]\nscale = [[1, 40], [2, 50]]\n',
    '[tool]\nscale = [[1, "40 V"], [2, "50 V"]]\n',
    '[tool]\nscale = [[1, "40 N", 3], [2, "50 N"]]\n',
    '[tool]\nscale = [[1, "40 N"], [5, "120 N"]]\nspring_mark = 3\nspring_force = "80 N"\n',
    '[stud]\nsize = "M7"\n',
    '[stud]\nsize = "own"\nflange = "6 mm"\n',
    '[sheet]\ncentre_mark = { angle = "90 deg" }\n',
    '[metal.ours]\ndensity = "8900 kg/m3"\n',
    '[metal.ours]\nlike = "cooper"\n',
    '[earth]\nlength = "5 m"\n',
    'earth = []\n',
    '[[earth]]\n[[earth]]\n[[earth]]\n[[earth]]\n[[earth]]\n',
    '[[earth]]\nat = ["1 mm"]\n',
    'title = 3\n',
]


def main(program):
    def run(*arguments, text=None):
        return subprocess.run([program, *arguments], input=text, capture_output=True, encoding="utf-8")

    schema = json.loads(run("case", "schema").stdout)
    Draft202012Validator.check_schema(schema)
    valid = Draft202012Validator(schema).is_valid
    files = sorted([*ROOT.glob("examples/*.toml"), *HERE.glob("cases/*.toml")])
    assert len(files) > 15, f"only {len(files)} case files"
    good = GOOD + [path.read_text() for path in files]
    good += [run("case", "new", "-").stdout, run("case", "show").stdout]
    wrong = 0
    for expected, texts in ((True, good), (False, BAD)):
        for text in texts:
            by_schema = valid(tomllib.loads(text))
            by_reader = run("case", "check", "-", text=text).returncode == 0
            if (by_schema, by_reader) != (expected, expected):
                wrong += 1
                print(f"expected {expected}, schema {by_schema}, reader {by_reader}:\n{text}")
    print(f"{len(good)} cases accepted and {len(BAD)} slips refused by schema and reader, but for {wrong}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
