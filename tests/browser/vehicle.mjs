// vehicle.mjs - a vehicle with a fault in it, as a person sees and meters it.
// SPDX-License-Identifier: MIT
//
// Everything comes from `jackvolt drop --fault`: the card is judged by another command than the
// one that made it. Ohms are read by a small source put between the probes.
import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';

const OFF_AT_OHMS = ['battery', 'supply', 'controller', 'sensor_supply'];
const LEADS_OHM = 0.2;
// Logic levels of an input with hysteresis (common practice, no source).
const LOW_V = 1.5, HIGH_V = 3;
// Volts at which the output of a starved sensor still pulls (an assumption of this test).
const STILL_PULLS = '1 V';

// How far into the severities that the engine considers, on a log scale; mildest first.
const steps = [0.5, 0.6, 0.7, 0.8, 0.9, 0.98];
const units = { R: (x) => `${x.toPrecision(3)} ohm`, I: (x) => `${x.toPrecision(3)} A`,
    P: (x) => `${(100 * x).toPrecision(3)} %` };

// A fault of `find --all --format json` as `--fault` writes it.
export function severities({ fault, part, way, severity_low: low, severity_high: high }) {
    const words = fault.slice(part.length + 2), kind = way.match(/<([RIP])>/)?.[1];
    if (way.includes('<E>')) return [`${fault} at 40 % from a`];
    if (!low || !kind) return [fault];
    const falls = words === 'discharged'; /* the less charge the worse */
    return steps.map((t) => {
        const value = units[kind](falls ? high * (low / high) ** t : low * (high / low) ** t);
        return `${part}: ${words.includes('added resistance') ? words.replace('added resistance', `${value} added`)
            : way.replace(/<.>/, value)}`;
    });
}

export class Vehicle {
    // known: answers of earlier vehicles of the same file; it grows.
    constructor(program, file, scratch, known = new Map()) {
        this.program = program;
        this.circuit = JSON.parse(readFileSync(file, 'utf8'));
        this.scratch = path.join(scratch, 'vehicle.json');
        this.faults = [];
        this.known = known;
        const cases = Object.entries(this.circuit.cases);
        this.rest = (cases.find(([, k]) => !k.lift && !k.lower) ?? ['at rest'])[0];
        this.lifting = cases.filter(([, k]) => k.lift && !k.ambient && !k.charge &&
            !Object.values(k.lift).includes('stalled')).map(([name]) => name);
    }

    // One case, by name; null when the fault cannot be put in.
    solve(name, off = [], on = [], meter = null) {
        const answer = this.solveOnce(name, off, on, meter);
        if (answer?.converged !== false) return answer;
        /* A sensor that starves itself lets go and pulls in for ever: one that still pulls then. */
        const still = this.solveOnce(name, off, on, meter, true);
        return still?.converged ? still : answer;
    }

    solveOnce(name, off, on, meter, pulls = false) {
        const keyOf = (loading) => JSON.stringify([this.faults, loading, off, on, meter, pulls]);
        const key = keyOf(name), plain = !off.length && !on.length && !meter && name in this.circuit.cases;
        if (this.known.has(key)) return this.known.get(key);
        const made = structuredClone(this.circuit);
        const k = (made.cases[name] ??= {});
        k.off = [...new Set([...(k.off ?? []), ...off])];
        k.on = [...new Set([...(k.on ?? []), ...on])].filter((x) => !k.off.includes(x));
        for (const p of Object.values(made.parts))
            if (pulls && p.is === 'hall') p.minimum = STILL_PULLS;
        if (meter)
            made.parts['the meter'] = { is: 'battery', plus: meter[0], minus: meter[1],
                open_circuit: '1 V', resistance: '2 kohm' };
        writeFileSync(this.scratch, JSON.stringify(made));
        const args = ['drop', this.scratch, ...(plain ? [] : ['--case', name]), '--format', 'json',
            ...this.faults.flatMap((f) => ['--fault', f])];
        const ran = spawnSync(this.program, args, { encoding: 'utf8' });
        const answers = ran.status === 2 ? null : JSON.parse(ran.stdout).cases;
        if (answers && plain) /* all cases in one run */
            for (const x of answers) this.known.set(keyOf(x.case), x);
        const answer = answers && (plain ? answers.find((x) => x.case === name) : answers[0]);
        if (!answer) console.log(`  ${args.slice(2).join(' ')}: ${ran.stderr}`);
        this.known.set(key, answer);
        return answer;
    }

    volts(red, black, name, off, on) {
        const t = this.solve(name, off, on).terminals;
        return t[red] === null || t[black] === null ? 0 : t[red] - t[black];
    }

    amps(part, name, off, on) {
        const p = this.solve(name, off, on).parts[part];
        return p.delivers_A ?? p.current_A ?? 0;
    }

    ohms(red, black, off) {
        const sources = Object.entries(this.circuit.parts).filter(([, p]) => OFF_AT_OHMS.includes(p.is))
            .map(([n]) => n);
        const s = this.solve(this.rest, [...off, ...sources], [], [red, black]);
        const amps = s.parts['the meter'].delivers_A;
        return Math.abs(amps) < 1e-8 ? Infinity : (s.terminals[red] - s.terminals[black]) / amps + LEADS_OHM;
    }

    // What somebody sees: [words of the complaint, words of the case or jack]; null = nothing.
    trouble(kind) {
        return kind === 'sensor' ? this.lostSensors() : this.sag();
    }

    lostSensors() {
        const halls = Object.entries(this.circuit.parts).filter(([, p]) => p.is === 'hall');
        const s = this.solve(this.rest);
        const lost = halls.filter(([name, p]) => this.signalLost(name, p) ||
            (s.terminals[p.supply] ?? 0) - (s.terminals[p.minus] ?? 0) < parseFloat(p.minimum ?? '4.5 V'));
        if (!lost.length) return null;
        if (lost.length === halls.length) return ['every sensor is lost', ''];
        return [lost.length === 1 ? `only "${lost[0][0]}" is lost` : 'I do not know', ''];
    }

    // An input hears pulses when it reads low while the output pulls, and high while it does not.
    signalLost(name, hall) {
        const heard = this.input(hall.signal);
        if (!heard) return false;
        const [input, minus] = heard;
        const at = (s) => s.terminals[input] === null ? NaN : s.terminals[input] - s.terminals[minus];
        return !(at(this.solve(this.rest)) < LOW_V && at(this.solve(this.rest, [name])) > HIGH_V);
    }

    // The input of a controller that leads and plugs join to a terminal, and its minus.
    input(signal) {
        const parts = Object.values(this.circuit.parts);
        const joins = parts.flatMap((p) => p.is === 'lead' || p.is === 'cable' ? [[p.a, p.b]]
            : p.is === 'connector' ? Object.values(p.pins) : []);
        const reached = new Set([signal]);
        for (const at of reached)
            for (const [a, b] of joins) {
                if (a === at) reached.add(b);
                if (b === at) reached.add(a);
            }
        for (const p of parts.filter((x) => x.is === 'controller'))
            for (const input of Object.values(p.inputs ?? {}))
                if (reached.has(input)) return [input, p.minus];
        return null;
    }

    sag() {
        const kept = this.faults;
        for (const name of [this.rest, ...this.lifting]) {
            const now = this.solve(name);
            this.faults = [];
            const was = this.solve(name);
            this.faults = kept;
            if (!now.converged) continue;
            for (const [watch, w] of Object.entries(now.watches))
                if (w.verdict === 'trips' && was.watches[watch].verdict !== 'trips')
                    return [`"${watch}"`, name === this.rest ? '' : `${name}:`];
            const seen = this.speeds(name, now, was);
            if (seen) return seen;
        }
        return null;
    }

    // A person notices a fifth; between two jacks a quarter for certain.
    speeds(name, now, was) {
        const jacks = Object.keys(this.circuit.cases[name]?.lift ?? {}).filter((j) => was.parts[j].speed_percent > 5);
        const share = jacks.map((j) => (now.parts[j].stalled ? 0 : (now.parts[j].speed_percent ?? 0) / was.parts[j].speed_percent));
        const sum = share.reduce((a, b) => a + b, 0);
        const still = share.findIndex((x) => x < 0.05);
        if (still >= 0) return ['does not move at all', jacks[still]];
        const slow = share.findIndex((x) => jacks.length > 1 && x < 0.75 * (sum - x) / (jacks.length - 1));
        if (slow >= 0) return ['one jack is clearly slower', jacks[slow]];
        return jacks.length && sum / jacks.length < 0.8 ? ['every jack is slow', `${name}:`] : null;
    }

    // What somebody sees of a fault from the mildest severity on that is complained of, and past it.
    *put(fault, kind) {
        let felt = false;
        for (const words of severities(fault)) {
            this.faults = [words];
            const seen = this.solve(this.rest) && this.trouble(kind);
            if (felt && !seen) return;
            felt = felt || Boolean(seen);
            if (felt) yield seen;
        }
    }

    // Parts that let go and pull in again, over and over: no meter shows a value that stays.
    get unsteady() {
        return this.solve(this.rest).converged === false;
    }

    // The worst severity that can be put in; false = none can.
    worst(fault) {
        return severities(fault).reverse().some((words) => {
            this.faults = [words];
            return this.solve(this.rest);
        });
    }
}
