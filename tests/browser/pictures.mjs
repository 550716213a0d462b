// pictures.mjs - the pictures of the README, from real runs: BUILD_DIR
// SPDX-License-Identifier: MIT
import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

import { Browser } from './driver.mjs';

const build = path.resolve(process.argv[2]);
const scratch = path.join(build, 'pictures');
mkdirSync(scratch, { recursive: true });

// What is taken: a page, the element (CSS selector), the width of the window and the scale.
const wanted = [
    ['circuit', ['circuits/small-trailer.json', '--case', 'lifting'], '#circuit svg', 1000, 0.9],
    ['staircase', ['circuits/long-trailer.json', '--fault', 'ground stud: 20 mohm added'], '#stairs svg', 860, 0.9],
    ['sequence', ['circuits/corroded-stud.json', '--with', 'sequence'], '#sequence svg', 860, 0.9],
    ['protection', ['circuits/small-trailer.json', '--with', 'review'], '#protection svg', 860, 0.9],
    ['odds', ['circuits/corroded-stud.json', '--with', 'odds', '--seed', '1'], '#odds svg', 860, 0.9],
    ['sheet', ['circuits/small-trailer.json', '--sheet', '--case', 'lifting'], 'main', 900, 0.6],
    ['record', ['circuits/small-trailer.json', '--sheet', '--walk', path.join(scratch, 'walk.json')], 'main', 900, 0.6],
    ['owner', ['circuits/corroded-stud.json', '--owner'], 'main', 720, 0.6],
    ['card', ['circuits/small-trailer.json', '--card', 'sag'], 'main', 390, 0.9],
];

// On a card: taps first answers until a reading between two probes is asked for.
const toReading = `document.querySelector('.begin a').click();
    return new Promise((done) => setTimeout(function tap() {
        if (document.querySelector('.probes')) return done();
        document.querySelector('.node li:not(.which) a').click();
        setTimeout(tap, 20);
    }, 20));`;

// The walk of the record.
spawnSync(path.join(build, 'jackvolt'), ['walk', 'circuits/small-trailer.json', 'sag', '--answers',
    'docs/walks/sag.txt', '--save', path.join(scratch, 'walk.json'), '--quiet']);

const browser = await Browser.start();
try {
    for (const [name, args, selector, width, scale] of wanted) {
        const file = path.join(scratch, `${name}.html`);
        const ran = spawnSync(path.join(build, 'jackvolt'), ['report', ...args, '-o', file], { encoding: 'utf8' });
        if (ran.status > 1) throw new Error(ran.stderr);
        await browser.view(width, 900, false);
        await browser.open(pathToFileURL(file).href);
        if (name === 'card') await browser.run(toReading);
        const height = await browser.run('return document.documentElement.scrollHeight');
        await browser.view(width, height, false);
        const box = await browser.run(
            `const b = document.querySelector(${JSON.stringify(selector)}).getBoundingClientRect();
             return {x: b.x, y: b.y, width: b.width, height: b.height, scale: ${scale}};`);
        if (name === 'card') /* without the list of answers */
            box.height = await browser.run("return document.querySelector('nav').getBoundingClientRect().bottom") - box.y;
        const { data } = await browser.cdp('Page.captureScreenshot', { format: 'png', clip: box });
        writeFileSync(path.join('docs', 'img', `${name}.png`), Buffer.from(data, 'base64'));
    }
} finally {
    await browser.stop();
}
