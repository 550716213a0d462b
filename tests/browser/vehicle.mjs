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

// Severities to try for a way to fail, mildest first, within what its kind of part is modelled with.
const ladders = [
    [/^added resistance at pin/, ['35 mohm', '60 mohm', '100 mohm', '200 mohm', '400 mohm', '500 mohm'],
        (s, v) => s.replace('added resistance', `${v} added`)],
    [/^added resistance/, ['35 mohm', '60 mohm', '100 mohm', '200 mohm', '400 mohm', '800 mohm', '5 ohm', '20 ohm',
        '100 ohm', '300 ohm'], (s, v) => s.replace('added resistance', `${v} added`)],
    [/^weak$/, ['250 %', '350 %', '500 %'], (s, v) => `weak ${v}`],
    [/^discharged$/, ['20 %', '10 %', '5 %'], (s, v) => `discharged to ${v}`],
    [/^dragging$/, ['150 %', '180 %', '200 %', '250 %'], (s, v) => `dragging ${v}`],
    [/^worn brushes$/, ['60 mohm', '120 mohm', '200 mohm', '400 mohm'], (s, v) => `worn brushes ${v}`],
    [/^shorted inside$/, ['0.1 ohm', '0.3 ohm', '1 ohm', '3 ohm', '10 ohm'], (s, v) => `shorted inside ${v}`],
    [/^leaks$/, ['10 mA', '50 mA', '100 mA', '1 A', '5 A', '20 A'], (s, v) => `leaks ${v}`],
    [/^shorted to /, ['40 %'], (s, v) => `${s} at ${v} from a`],
    [/./, [''], (s) => s],
];

export function severities(fault) {
    const [part, way] = [fault.slice(0, fault.indexOf(': ')), fault.slice(fault.indexOf(': ') + 2)];
    const [, values, write] = ladders.find(([shape]) => shape.test(way));
    return values.map((v) => `${part}: ${write(way, v)}`);
}

export class Vehicle {
    constructor(program, file, scratch) {
        this.program = program;
        this.circuit = JSON.parse(readFileSync(file, 'utf8'));
        this.scratch = path.join(scratch, 'vehicle.json');
        this.faults = [];
        this.known = new Map();
        const cases = Object.entries(this.circuit.cases);
        this.rest = (cases.find(([, k]) => !k.lift && !k.lower) ?? ['at rest'])[0];
        this.lifting = cases.filter(([, k]) => k.lift && !k.ambient && !k.charge &&
            !Object.values(k.lift).includes('stalled')).map(([name]) => name);
    }

    // One case, by name; null when the fault cannot be put in.
    solve(name, off = [], on = [], meter = null) {
        const key = JSON.stringify([this.faults, name, off, on, meter]);
        if (this.known.has(key)) return this.known.get(key);
        const made = structuredClone(this.circuit);
        const k = (made.cases[name] ??= {});
        k.off = [...new Set([...(k.off ?? []), ...off])];
        k.on = [...new Set([...(k.on ?? []), ...on])].filter((x) => !k.off.includes(x));
        if (meter)
            made.parts['the meter'] = { is: 'battery', plus: meter[0], minus: meter[1],
                open_circuit: '100 mV', resistance: '200 ohm' };
        writeFileSync(this.scratch, JSON.stringify(made));
        const args = ['drop', this.scratch, '--case', name, '--format', 'json',
            ...this.faults.flatMap((f) => ['--fault', f])];
        const ran = spawnSync(this.program, args, { encoding: 'utf8' });
        const answer = ran.status === 2 ? null : JSON.parse(ran.stdout).cases[0];
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
        const lost = halls.filter(([, p]) =>
            (s.terminals[p.supply] ?? 0) - (s.terminals[p.minus] ?? 0) < parseFloat(p.minimum ?? '4.5 V'));
        if (!lost.length) return null;
        if (lost.length === halls.length) return ['every sensor is lost', ''];
        return lost.length === 1 ? [`only "${lost[0][0]}" is lost`, ''] : null;
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

    // The mildest severity of a fault that somebody would complain of; null = there is none.
    put(fault, kind) {
        for (const words of severities(fault)) {
            this.faults = [words];
            const seen = this.solve(this.rest) && this.trouble(kind);
            if (seen) return seen;
        }
        this.faults = [];
        return null;
    }
}
