// card.mjs - taps through cards as somebody at a vehicle would. SPDX-License-Identifier: MIT
import { spawnSync } from 'node:child_process';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

import { Vehicle } from './vehicle.mjs';

const SENSORS = new Set(['hall', 'lead', 'sensor_supply']);

const names = (text) => [...text.matchAll(/"([^"]*)"/g)].map((m) => m[1]);

// The sentence of a step that begins so, to its end outside of quotes.
function sentence(lines, start) {
    for (const line of lines) {
        const at = line.indexOf(start);
        if (at < 0) continue;
        let quoted = false, out = '';
        for (const c of line.slice(at)) {
            if (c === '"') quoted = !quoted;
            if ('.;'.includes(c) && !quoted) break;
            out += c;
        }
        return out;
    }
    return '';
}

// Inside the page: the step that is shown.
export function shown() {
    const node = document.querySelector('.node'), step = document.querySelector('.step');
    if (!step || node.id !== location.hash.slice(1) || !node.classList.contains(step.id)) return null;
    const seen = (e) => e.getClientRects().length > 0;
    const text = (e) => e.textContent;
    return {
        title: text(step.querySelector('h2')),
        visible: [...document.querySelectorAll('.step, .start')].filter(seen).map((e) => e.id).join() === step.id,
        focus: document.activeElement === step.querySelector('h2'),
        top: window.scrollY === 0,
        end: step.classList.contains('end'),
        lines: [...step.querySelectorAll('ol li, p')].map(text),
        probes: [...step.querySelectorAll('.probes .at')].map(text),
        answers: [...node.querySelectorAll('li:not(.which) a')].map((a) => a.firstChild.textContent),
        small: [...node.querySelectorAll('li:not(.which) a')].filter((a) => a.getBoundingClientRect().height < 44).length,
        listed: document.querySelectorAll('#answered li').length,
    };
}

export function tap(at) {
    document.querySelectorAll('.node li:not(.which) a')[at].click();
}

// A reading as a band's words have it: "35 mV", "1.50 kohm", "0.20 V".
function value(words) {
    const [, number, unit] = words.match(/(-?[\d.]+) (mV|V|A|ohm|kohm|Mohm)/);
    return Number(number) * { mV: 1e-3, V: 1, A: 1, ohm: 1, kohm: 1e3, Mohm: 1e6 }[unit];
}

function holds(words, x) {
    const less = words.match(/^less than (.*)/), more = words.match(/^(.*?) or more/), between = words.split(' to ');
    if (less) return x < value(less[1]);
    if (more) return x >= value(more[1]);
    return between.length === 2 && x >= value(between[0]) && x < value(between[1]);
}

export class Person {
    constructor(vehicle, seen) {
        this.vehicle = vehicle;
        this.seen = seen;
        this.fault = vehicle.faults[0];
        this.part = this.fault.slice(0, this.fault.indexOf(': '));
        this.named = [];
    }

    reading(step) {
        const run = sentence(step.lines, 'lifting as in case ');
        const name = run ? names(run)[0] : this.vehicle.rest;
        const off = [...names(sentence(step.lines, 'Off for this reading: ')), ...names(sentence(step.lines, 'Unplug ')),
            ...names(sentence(step.lines, ', unplug ').split(' only')[0])];
        const on = names(sentence(step.lines, 'On for this reading: '));
        const [red, black] = step.probes;
        if (/Ohms/.test(step.title)) return this.vehicle.ohms(red, black, off);
        if (/Amps/.test(step.title))
            return this.vehicle.amps(names(sentence(step.lines, 'one conductor of '))[0], name, off, on);
        return this.vehicle.volts(red, black, name, off, on);
    }

    // Which answer to tap; -1 = none fits.
    answer(step) {
        const pick = (...wanted) => wanted.map((w) => step.answers.findIndex((a) => a.includes(w))).find((i) => i >= 0) ?? -1;
        const title = step.title;
        if (/^(Found|Not proved)/.test(title)) {
            const group = step.lines.some((l) => l.includes(`${this.part}: `));
            this.named.push({ title, group });
            if (title.includes(`${this.part}: `) || group) this.vehicle.faults = [];
            return 0;
        }
        if (/^What does it do/.test(title)) return pick(this.seen[0]);
        if (/^(With what running|Which jack)/.test(title)) return pick(this.seen[1]);
        if (/^Repeat what failed/.test(title)) return pick(this.vehicle.faults.length ? 'still there' : 'works now');
        if (/^No reading that is left/.test(title)) return pick(`${this.part}: `, 'none of these');
        if (/^Check for shorts/.test(title)) return pick('or OL');
        if (/^(Proof of the repair: )?(Volts|Amps|Ohms)/.test(title)) {
            const x = this.reading(step);
            return step.answers.findIndex((a) => holds(a, x));
        }
        if (/^Look/.test(title))
            return names(title)[0] === this.part && /added|open$/.test(this.fault) ? 1 : 0;
        return 0; /* done, nothing, always, less than 50 mV, as told */
    }
}

// Taps from the start to an end; what was seen on the way.
export async function walk(browser, person) {
    const faults = [];
    await browser.run("location.hash = '#start'; history.replaceState(null, ''); location.hash = '#n0';");
    for (let steps = 0; steps < 60; steps++) {
        const step = await browser.run(`return (${shown})();`);
        if (!step) return { faults: [...faults, 'no step is shown'] };
        if (!step.visible) faults.push(`"${step.title}" does not stand alone`);
        if (step.small) faults.push(`"${step.title}": ${step.small} answers are less than 44 px high`);
        if (steps && (!step.focus || !step.top)) faults.push(`"${step.title}" has not got the focus at its top`);
        if (step.listed !== steps) faults.push(`${step.listed} of ${steps} answers are listed`);
        if (step.end) return { faults, end: step.title, steps };
        const at = person.answer(step);
        if (at < 0) return { faults: [...faults, `no answer for "${step.title}": ${step.answers.join(' | ')}`] };
        await browser.run(`(${tap})(${at}); return new Promise((r) => setTimeout(r, 0));`);
    }
    return { faults: [...faults, 'no end in 60 steps'] };
}

// Of the faults with a complaint at most this share may lie beyond a card (judgement).
const beyond_share = 0.05;

// The single faults that the engine considers, likely or not.
function singles(program, circuit) {
    const ran = spawnSync(program, ['find', circuit, '--all', '--format', 'json'],
        { encoding: 'utf8', maxBuffer: 1 << 26 });
    return JSON.parse(ran.stdout).faults.filter((f) => f.part && !f.second_part);
}

// One walk with what the vehicle has: how it went, and the words for it.
async function walkOne(browser, f, vehicle, seen, wrong) {
    const person = new Person(vehicle, seen);
    const way = await walk(browser, person);
    wrong.push(...way.faults.map((x) => `${person.fault}: ${x}`));
    const [first] = person.named, proved = way.end === 'Repaired and proved';
    const beyond = !first && way.end === 'Beyond this card';
    const how = beyond ? 'beyond' : !first ? 'nothing' : first.title.includes(`${f.part}: `) ? 'named' : first.group ? 'group' : 'wrong';
    const named = person.named.map((n) => n.title).join(', then ') || 'nothing named';
    return { how, right: proved && how !== 'wrong' && first !== undefined,
        tell: `${person.fault} (${seen.join(' ')}): ${named}; ${way.end}` };
}

// A fault on the card of its complaint. At the very edge of a complaint a reading may flip with the
// least change: when the mildest severity leads astray, the next is walked too, and said.
async function walkFelt(browser, f, vehicle, kind, wrong) {
    let first = null;
    for (const seen of vehicle.put(f, kind)) {
        if (vehicle.unsteady) return { how: 'unsteady', right: true };
        const now = await walkOne(browser, f, vehicle, seen, wrong);
        if (now.right) return first ? { ...now, edge: first.tell } : now;
        if (first) break;
        first = now;
    }
    return first;
}

// Every single fault of a circuit, walked on both cards: { wrong, complaints }. One that shows on
// both is right when one card names it and the other names nothing else. A fault without a
// complaint is walked too, by somebody who does not know: the card may find it or find nothing,
// and must not name another part.
export async function everyFault(browser, program, circuit, cards, scratch) {
    const all = singles(program, circuit), wrong = [], known = new Map(), outcome = new Map();
    const vehicle = () => new Vehicle(program, circuit, scratch, known);
    const count = { felt: 0, named: 0, group: 0, unsteady: 0, other: 0, beyond: 0, found: 0, nothing: 0, unfit: 0 };
    const edges = [], rare = [];
    for (const [kind, file] of Object.entries(cards)) {
        await browser.open(pathToFileURL(file).href);
        for (const f of all) {
            const way = await walkFelt(browser, f, vehicle(), kind, wrong);
            if (way) outcome.set(f.fault, [...(outcome.get(f.fault) ?? []), way]);
        }
    }
    for (const ways of outcome.values()) {
        const right = ways.find((w) => w.right), astray = ways.filter((w) => !w.right);
        count.felt++;
        if (!right && astray.every((w) => w.how === 'beyond')) {
            rare.push(...astray.map((w) => w.tell));
            count.beyond++;
        } else if (!right || astray.some((w) => w.how !== 'nothing' && w.how !== 'beyond')) wrong.push(...astray.map((w) => w.tell));
        else count[astray.length ? 'other' : right.how]++;
        edges.push(...ways.filter((w) => w.edge).map((w) => w.edge));
    }
    for (const f of all.filter((x) => !outcome.has(x.fault))) {
        const now = vehicle(), kind = SENSORS.has(now.circuit.parts[f.part].is) ? 'sensor' : 'sag';
        if (!now.worst(f)) { count.unfit++; continue; }
        await browser.open(pathToFileURL(cards[kind]).href);
        const { how, tell } = await walkOne(browser, f, now, ['I do not know', ''], wrong);
        if (how === 'wrong') wrong.push(tell);
        else count[how === 'nothing' || how === 'beyond' ? 'nothing' : 'found']++;
    }
    console.log(`  ${path.basename(circuit)}: ${all.length} single faults, ${count.felt} with a complaint: ` +
        `${count.named} named by their own part, ${count.group} in a group that no check parts, ` +
        `${count.other} named by one card and handed over by the other, ` +
        `${count.beyond} rarer than a card follows: it says so and hands over to the walk; ` +
        `${count.unsteady} let go and pull in for ever, so that no meter shows a value; ` +
        `without a complaint: ${count.found} found all the same, ${count.nothing} rightly nothing found, ` +
        `${count.unfit} cannot be put in; ${wrong.length} gone wrong`);
    if (rare.length > beyond_share * count.felt) wrong.push(...rare);
    for (const e of rare) console.log(`    beyond the card: ${e}`);
    for (const e of edges) console.log(`    right only past the edge of the complaint, at which: ${e}`);
    return { wrong, complaints: count.felt };
}
