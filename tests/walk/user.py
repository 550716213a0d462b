#!/usr/bin/env python3
# user.py JACKVOLT CIRCUIT KIND FAULT [METHOD] - a person who walks by the screen alone.
# SPDX-License-Identifier: MIT
#
# Answers each screen of `jackvolt walk` as somebody at a vehicle with FAULT in it would: what to
# run, unplug and probe is read off the screen, and the reading is taken from `jackvolt drop
# --fault` on that vehicle. Ohms are read by a small source put between the probes. Prints one
# line: right or wrong, what was named, how many steps. With JV_SCREENS set, the screens too.
import json, os, re, subprocess, sys, tempfile

jackvolt, circuit_path, kind, fault = sys.argv[1:5]
circuit = json.load(open(circuit_path))
faulty_part = fault.split(":")[0]
place = re.search(r"at (\d+) % from a", fault)
LEADS = 0.2
OFF_AT_OHMS = ("battery", "supply", "controller", "sensor_supply")


class Vehicle:
    def __init__(self):
        self.faults = [fault]
        self.known = {}

    def drop(self, made, case):
        with tempfile.NamedTemporaryFile("w", suffix=".json") as f:
            json.dump(made, f)
            f.flush()
            call = [jackvolt, "drop", f.name, "--case", case, "--format", "json"]
            for x in self.faults:
                call += ["--fault", x]
            out = subprocess.run(call, capture_output=True, text=True)
            if out.returncode == 2:
                raise SystemExit("drop: " + out.stderr)
            return json.loads(out.stdout)["cases"][0]

    def solve(self, case, off=(), on=(), meter=None):
        key = (case, tuple(off), tuple(on), meter, tuple(self.faults))
        if key not in self.known:
            made = json.loads(json.dumps(circuit))
            if case not in made["cases"]:
                made["cases"][case] = {}
            k = made["cases"][case]
            k["off"] = sorted(set(k.get("off", [])) | set(off))
            k["on"] = [x for x in sorted(set(k.get("on", [])) | set(on)) if x not in k["off"]]
            if meter:
                made["parts"]["the meter"] = {
                    "is": "battery", "plus": meter[0], "minus": meter[1],
                    "open_circuit": "100 mV", "resistance": "200 ohm"}
            self.known[key] = self.drop(made, case)
        return self.known[key]

    def volts(self, red, black, case, off, on):
        t = self.solve(case, off, on)["terminals"]
        if t[red] is None or t[black] is None:
            return 0.0
        return t[red] - t[black]

    def amps(self, part, case, off, on):
        p = self.solve(case, off, on)["parts"][part]
        return p.get("delivers_A", p["current_A"]) or 0.0

    def ohms(self, red, black, off):
        sources = [n for n, p in circuit["parts"].items() if p["is"] in OFF_AT_OHMS]
        s = self.solve(rest, list(off) + sources, (), (red, black))
        i = s["parts"]["the meter"]["delivers_A"]
        u = s["terminals"][red] - s["terminals"][black]
        return float("inf") if abs(i) < 1e-8 else u / i


def rest_case():
    for name, k in circuit["cases"].items():
        if not k.get("lift") and not k.get("lower"):
            return name
    return "at rest"


rest = rest_case()
vehicle = Vehicle()


def shown_volts(v):
    return "%.1f mV" % (1e3 * v) if abs(v) < 0.4 else "%.2f V" % v


def names(text):
    return re.findall(r'"([^"]*)"', text)


def line_with(screen, start):
    """The wrapped sentence that holds `start`, up to its end."""
    flat = re.sub(r"\s+", " ", screen)
    at = flat.find(start)
    if at < 0:
        return ""
    rest_of = flat[at:]
    quoted, out = False, ""
    for c in rest_of:
        if c == '"':
            quoted = not quoted
        if c in ".;" and not quoted:
            break
        out += c
    return out


def choice(screen, *wanted):
    rows = re.findall(r"^ +(\d+)\) (.*(?:\n {6}\S.*)*)", screen, re.M)
    for want in wanted:
        for n, text in rows:
            if want in re.sub(r"\s+", " ", text):
                return n
    raise SystemExit("no choice %s in:\n%s" % (wanted, screen))


def trouble():
    """What a person sees: (watch or sensor words, case)."""
    if kind == "sensor":
        halls = [n for n, p in circuit["parts"].items() if p["is"] == "hall"]
        lost = [n for n in halls if sensor_is_lost(n)]
        if len(lost) == len(halls) and lost:
            return "every sensor is lost", None
        return ('only "%s" is lost' % lost[0], None) if len(lost) == 1 else ("I do not know", None)
    for case, k in circuit["cases"].items():
        if not k.get("lift"):
            continue
        for name, watch in vehicle.solve(case)["watches"].items():
            if watch["verdict"] == "trips":
                return '"%s"' % name, case
    for case, k in circuit["cases"].items():
        for name in k.get("lift", {}):
            part = vehicle.solve(case)["parts"][name]
            if part.get("stalled"):
                return "does not move at all", name
    return "I do not know", None


def sensor_is_lost(name):
    p = circuit["parts"][name]
    least = float(re.match(r"[\d.]+", p.get("minimum", "4.5 V")).group())
    t = vehicle.solve(rest)["terminals"]
    u = (t[p["supply"]] or 0.0) - (t[p["minus"]] or 0.0)
    return u < least


def context(screen):
    case = rest
    run = line_with(screen, "lifting as in case ")
    if run:
        case = names(run)[0]
    off = names(line_with(screen, "Off for this reading: "))
    on = names(line_with(screen, "On for this reading: "))
    off += names(line_with(screen, "Unplug ")) if "Unplug " in screen else []
    off += names(line_with(screen, ", unplug ").split(" only")[0])
    return case, off, on


def probes(screen):
    flat = re.sub(r"\s+", " ", screen)
    m = re.search(r'[Rr]ed on "([^"]*)".*?black on "([^"]*)"', flat)
    return m.group(1), m.group(2)


class Person:
    def __init__(self):
        self.seen = trouble()
        self.named = []
        self.located = None

    def answer(self, screen):
        title = re.sub(r"\s+", " ", screen.split("Step ", 1)[1].split("\n\u2500")[0])
        for start, act in self.acts:
            if start in title:
                return act(self, screen, title)
        if "Write done" in screen:
            return "done"
        raise SystemExit("no answer for:\n" + screen)

    def complaint(self, screen, title):
        return choice(screen, self.seen[0], "I do not know")

    def which(self, screen, title):
        return choice(screen, str(self.seen[1]), "")

    def first(self, screen, title):
        return "1"

    def volts(self, screen, title):
        case, off, on = context(screen)
        return shown_volts(vehicle.volts(*probes(screen), case, off, on))

    def amps(self, screen, title):
        case, off, on = context(screen)
        return "%.1f A" % vehicle.amps(names(line_with(screen, "one conductor of "))[0], case, off, on)

    def ohms(self, screen, title):
        r = vehicle.ohms(*probes(screen), context(screen)[1])
        return "OL" if r > 4e6 else "%.1f ohm" % (r + LEADS)

    def look(self, screen, title):
        return "2" if names(title)[0] == faulty_part and vehicle.faults else "1"

    def where(self, screen, title):
        return choice(screen, "bridge") if place else choice(screen, "no: I look")

    def share(self, screen, title):
        return "%.3f" % (float(place.group(1)) / 200.0)

    def repair(self, screen, title):
        words = title.split(": ", 1)[1]
        self.named.append(words)
        self.located = self.located or re.search(r"The short is ([\d.]+) m", screen)
        if faulty_part + ": " in words:
            vehicle.faults = []
        return "done"

    def repeat(self, screen, title):
        return choice(screen, "still there" if vehicle.faults else "works now")

    acts = [
        ("What is connected", first), ("What does it do", complaint), ("With what running", which),
        ("Which jack", which), ("When does it", first), ("What changed", first),
        ("moved by hand", first), ("Four things", first), ("Prove it dead", lambda *a: "0.00 V"),
        ("Check for shorts", lambda *a: "OL"), ("Shall the place", where), ("Balance", share),
        ("No reading that is left", first), ("Found:", repair), ("Not proved", repair),
        ("Repeat what failed", repeat), ("Volts", volts), ("Amps", amps), ("Ohms", ohms),
        ("Look", look)]


def walk():
    call = [jackvolt, "walk", circuit_path, kind, "--save", os.devnull, "--anew"]
    p = subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1)
    person, text, steps, answers = Person(), "", 0, []
    while steps < 80:
        c = p.stdout.read(1)
        if not c:
            break
        text += c
        if text.endswith("\n> "):
            steps += 1
            said = person.answer(text)
            answers.append(said)
            if os.environ.get("JV_SCREENS"):
                print(text + said)
            text = ""
            p.stdin.write(said + "\n")
            p.stdin.flush()
    p.stdin.close()
    text += p.stdout.read()
    if os.environ.get("JV_SCREENS"):
        print(text)
    if os.environ.get("JV_ANSWERS"):
        open(os.environ["JV_ANSWERS"], "w").write("\n".join(answers) + "\n")
    return person, p.wait(), steps


person, code, steps = walk()
right = bool(person.named) and faulty_part + ": " in person.named[0] and code == 0
if place and right and person.located is None:
    right = False
print("%s: %s %s: %s: named %s; %d steps, exit code %d" % (
    "right" if right else "wrong", os.path.basename(circuit_path), kind, fault,
    ", then ".join(person.named) or "nothing", steps, code))
sys.exit(0 if right else 1)
