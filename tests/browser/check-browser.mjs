// check-browser.mjs - the reports in a real browser: BUILD_DIR MODULES_DIR OUT_DIR
// SPDX-License-Identifier: MIT
//
// Every example as a report, a sheet and an owner's page: nothing overlaps, nothing is cut,
// nothing scrolls sideways but what is meant to, contrast and accessibility hold, the keyboard
// reaches everything, the one-page pages take one page. Cards are tapped through with every single
// fault. Pictures are left in OUT_DIR to be looked at. The last line counts.
import { execFileSync, spawnSync } from 'node:child_process';
import { appendFileSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

import { everyFault } from './card.mjs';
import { Browser } from './driver.mjs';
import * as look from './look.mjs';

const [build, modules, out] = process.argv.slice(2).map((p) => path.resolve(p));
const program = path.join(build, 'jackvolt');
const require = createRequire(path.join(modules, 'node_modules', 'x.js'));
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const { HtmlValidate } = require('html-validate');
const validator = new HtmlValidate({ root: true, extends: ['html-validate:standard', 'html-validate:a11y'] });

let passed = 0;
let failed = 0;
function check(name, faults) {
    if (faults.length === 0) {
        passed++;
        return;
    }
    failed++;
    console.log(`  FAIL  ${name}`);
    for (const f of faults.slice(0, 8)) console.log(`        ${f}`);
    if (faults.length > 8) console.log(`        and ${faults.length - 8} more`);
}

const body = (f) => `return (${f})();`;

function write(circuit, kind, extra = [], name = '') {
    const file = path.join(out, `${path.basename(circuit, '.json')}${name}${kind ? `-${kind}` : ''}.html`);
    const args = ['report', circuit, '-o', file, ...(kind ? [`--${kind}`] : []), ...extra];
    const ran = spawnSync(program, args, { encoding: 'utf8' });
    if (ran.status > 1) throw new Error(`${args.join(' ')}: ${ran.stderr}`);
    return file;
}

// A walk of the manual, saved; its pages get a name of their own.
function walked(circuit, kind) {
    const saved = path.join(out, `${circuit}.walk.json`);
    const args = ['walk', `circuits/${circuit}.json`, kind, '--answers', `docs/walks/${kind}.txt`, '--save', saved];
    const ran = spawnSync(program, args, { encoding: 'utf8' });
    if (ran.status > 1) throw new Error(`${args.join(' ')}: ${ran.stderr}`);
    return saved;
}

async function accessibility(browser) {
    const script = `${axe}; const done = arguments[arguments.length - 1];
        axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa',
                                     'best-practice']})
           .then((r) => done(r.violations.map((v) => v.id + ' (' + v.impact + '): ' +
                 v.nodes.length + ' x, ' + v.nodes[0].html.slice(0, 120))),
                 (e) => done(['axe: ' + e]));`;
    return browser.later(script);
}

// Tab through the page: every stop is seen and outlined.
async function keyboard(browser) {
    const tab = '\uE004';
    const count = await browser.run(body(look.focusable));
    const faults = [];
    await browser.run('document.activeElement.blur(); window.scrollTo(0, 0);');
    for (let i = 0; i < count; i++) {
        await browser.keys(tab);
        const at = await browser.run(body(look.focused));
        if (!at) {
            faults.push(`stop ${i + 1} of ${count} is nowhere`);
            break;
        }
        if (!at.outline) faults.push(`${at.what} shows no focus`);
        if (!at.seen) faults.push(`${at.what} is out of sight when it has the focus`);
    }
    return faults;
}

const pages = (pdf) => (pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;

async function picture(browser, file) {
    const height = await browser.run('return document.documentElement.scrollHeight');
    const width = await browser.run('return window.innerWidth');
    await browser.view(width, Math.min(height, 12000), false);
    writeFileSync(file, await browser.picture());
}

async function checkMarkup(file) {
    const name = path.basename(file, '.html');
    const html = readFileSync(file, 'utf8');
    const report = await validator.validateString(html, file);
    check(`${name}: HTML`, report.results.flatMap((r) => r.messages)
        .filter((m) => m.severity === 2).map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`));
    const xml = spawnSync('xmllint', ['--noout', '--nonet', file], { encoding: 'utf8' });
    check(`${name}: XML`, xml.status === 0 ? [] : [xml.stderr]);
}

async function checkPage(browser, file, kind, thorough) {
    const name = path.basename(file, '.html');
    await checkMarkup(file);
    await browser.view(1280, 900, false);
    await browser.open(pathToFileURL(file).href);
    for (const width of [390, 820, 1280])
        for (const dark of [false, true]) {
            await browser.view(width, 900, dark);
            const at = `${name}, ${width} px, ${dark ? 'dark' : 'light'}`;
            check(`${at}: layout`, await browser.run(body(look.layoutFaults)));
            if (width !== 820) check(`${at}: contrast`, await browser.run(body(look.contrastFaults)));
            if (!dark) check(`${at}: drawings`, await browser.run(body(look.drawingFaults)));
            if (thorough && width !== 820) check(`${at}: accessibility`, await accessibility(browser));
        }
    await browser.view(1280, 900, false);
    if (thorough) check(`${name}: keyboard`, await keyboard(browser));
    check(`${name}: messages`, (await browser.logs()).map((m) => m.message));
    for (const [paper, width, height] of [['A4', 21, 29.7], ['Letter', 21.59, 27.94]]) {
        const pdf = await browser.print(width, height);
        const count = pages(pdf);
        check(`${name}: pages of ${paper}`, count >= 1 && (!kind || count === 1) ? [] : [`${count} pages`]);
        if (thorough) writeFileSync(path.join(out, `${name}-${paper}.pdf`), pdf);
    }
}

// Stays on a card that are looked at: the start, the way and each kind of end.
async function cardStops(browser) {
    const all = await browser.run(`const parsed = new DOMParser().parseFromString(arguments[0], 'text/html');
        return [...parsed.querySelectorAll('.node')].map((n) => [n.id,
            parsed.getElementById(n.className.split(' ')[1]).querySelector('h2').textContent,
            n.children.length === 1]);`, browser.source);
    const ends = new Map(all.filter(([, , end]) => end).map(([id, title]) => [title, id]));
    const found = all.find(([, title]) => title.startsWith('Found: '));
    return new Set(['start', 'n0', 'n12', found[0], ...ends.values()]);
}

async function checkStop(browser, name, file, at) {
    await browser.run(`location.hash = '#${at}'; return new Promise((r) => setTimeout(r, 50));`);
    for (const dark of [false, true]) {
        await browser.view(390, 844, dark);
        const where = `${name} #${at}, ${dark ? 'dark' : 'light'}`;
        check(`${where}: layout`, await browser.run(body(look.layoutFaults)));
        check(`${where}: contrast`, await browser.run(body(look.contrastFaults)));
        check(`${where}: accessibility`, await accessibility(browser));
    }
    await browser.view(390, 844, false);
    check(`${name} #${at}: keyboard`, await keyboard(browser));
    await picture(browser, file.replace('.html', `-${at}.png`));
    await browser.view(390, 844, false);
}

// A card on a phone; without its script the links alone do it.
async function checkCard(browser, circuit, walk) {
    const file = path.join(out, `${path.basename(circuit, '.json')}-card-${walk}.html`);
    const name = path.basename(file, '.html');
    const ran = spawnSync(program, ['report', circuit, '--card', walk, '-o', file], { encoding: 'utf8' });
    if (ran.status !== 0) throw new Error(ran.stderr);
    await checkMarkup(file);
    await browser.view(390, 844, false);
    browser.source = readFileSync(file, 'utf8');
    await browser.open(pathToFileURL(file).href);
    for (const at of await cardStops(browser)) await checkStop(browser, name, file, at);
    check(`${name}: messages`, (await browser.logs()).map((m) => m.message));
    const plain = file.replace('.html', '-plain.html');
    writeFileSync(plain, browser.source.replace(/<script>[^]*<\/script>/, ''));
    await browser.open(`${pathToFileURL(plain).href}#n5`);
    const seen = await browser.run(`return [...document.querySelectorAll('.start, .step, .node')]
        .filter((e) => e.getClientRects().length).map((e) => e.id).join();`);
    check(`${name}: without a script`, /^c\d+,n5$/.test(seen) ? [] : [`shown at n5: ${seen}`]);
    return file;
}

// Both cards of a circuit, and every fault tapped through.
async function checkCards(browser, circuit) {
    const cards = {};
    for (const walk of ['sag', 'sensor']) cards[walk] = await checkCard(browser, circuit, walk);
    await browser.view(390, 844, false);
    const { wrong, complaints } = await everyFault(browser, program, circuit, cards, out);
    check(`${path.basename(circuit, '.json')}: every fault`, complaints ? wrong : ['no fault has a complaint']);
    check(`${path.basename(circuit, '.json')}: messages`, (await browser.logs()).map((m) => m.message));
}

mkdirSync(out, { recursive: true });
const browser = await Browser.start();
try {
    const examples = readdirSync('circuits').filter((f) => f.endsWith('.json')).sort();
    for (const example of examples)
        for (const kind of ['', 'sheet', 'owner']) {
            const thorough = example === 'long-trailer.json' || example === 'sensor-harness.json';
            await checkPage(browser, write(path.join('circuits', example), kind), kind, thorough);
        }
    const faulty = write('circuits/long-trailer.json', '', ['--fault', 'ground stud: 35 mohm added']);
    await checkPage(browser, faulty, '', false);
    // Every section that there is.
    const whole = write('circuits/corroded-stud.json', '', ['--with', 'all']);
    const guarded = write('circuits/work-truck.json', '', ['--with', 'review']);
    await checkPage(browser, guarded, '', false);
    await checkPage(browser, whole, '', true);
    // A circuit from a harness, its fuse with five kinds of line in the key.
    const harness = path.join(out, 'rear-jacks.json');
    execFileSync(program, ['import', 'tests/harness/rear-jacks.kbl', '--with', 'tests/harness/rear-jacks.side.json',
        '-o', harness], { stdio: 'ignore' });
    for (const kind of ['', 'sheet', 'owner'])
        await checkPage(browser, write(harness, kind, kind ? [] : ['--with', 'all']), kind, false);
    // After a walk: the record takes one page, with a sensor harness drawn two.
    const saved = walked('small-trailer', 'sag');
    for (const kind of ['', 'sheet', 'owner']) {
        const extra = ['--walk', saved, ...(kind ? [] : ['--with', 'find'])];
        await checkPage(browser, write('circuits/small-trailer.json', kind, extra, '-walked'), kind, true);
    }
    const sensors = ['--walk', walked('sensor-harness', 'sensor')];
    await checkPage(browser, write('circuits/sensor-harness.json', 'sheet', sensors, '-walked'), '', true);
    await checkCards(browser, 'circuits/small-trailer.json');
    await checkCards(browser, 'circuits/sensor-harness.json');
    for (const kind of ['', 'sheet', 'owner']) {
        const file = write('circuits/long-trailer.json', kind);
        await browser.open(pathToFileURL(file).href);
        for (const width of [390, 820, 1280]) {
            await browser.view(width, 900, false);
            await picture(browser, file.replace('.html', `-${width}.png`));
        }
    }
} finally {
    await browser.stop();
}
for (const pdf of readdirSync(out).filter((f) => f.endsWith('.pdf')))
    execFileSync('pdftoppm', ['-r', '80', '-png', path.join(out, pdf), path.join(out, pdf.replace('.pdf', ''))]);
console.log(`  browser       ${passed} passed, ${failed} failed`);
if (process.env.JV_TALLY) appendFileSync(process.env.JV_TALLY, `${passed} ${failed}\n`);
process.exitCode = failed || !passed ? 1 : 0;
