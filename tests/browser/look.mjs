// look.mjs - what is measured inside a page; every function runs in the browser.
// SPDX-License-Identifier: MIT

// Texts of the drawings that meet another text, a symbol's outline or the edge.
export function drawingFaults() {
    const faults = [];
    for (const svg of document.querySelectorAll('svg')) {
        if (getComputedStyle(svg).display === 'none') continue;
        const name = svg.querySelector('title').textContent;
        const texts = [...svg.querySelectorAll('text')];
        const boxes = texts.map((t) => t.getBoundingClientRect());
        const frame = svg.getBoundingClientRect();
        const scale = frame.width / svg.viewBox.baseVal.width;
        // A text's box has room above and below its letters: a third of it may overlap.
        const slack = (b) => b.height * 0.3;
        texts.forEach((t, i) => {
            if (t.getAttribute('transform')) return; // slanted: their boxes are no letters
            const a = boxes[i];
            if (a.left < frame.left - 0.5 || a.right > frame.right + 0.5 ||
                a.top < frame.top - 0.5 || a.bottom > frame.bottom + 0.5)
                faults.push(`${name}: "${t.textContent}" is cut by the edge`);
            for (let j = i + 1; j < texts.length; j++) {
                const b = boxes[j];
                if (texts[j].getAttribute('transform')) continue;
                const x = Math.min(a.right, b.right) - Math.max(a.left, b.left);
                const y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
                if (x > 1 * scale && y > slack(a))
                    faults.push(`${name}: "${t.textContent}" meets "${texts[j].textContent}"`);
            }
        });
    }
    return faults;
}

// Contrast of the drawings' texts and strokes against the paper (WCAG 2.2, 1.4.3 and 1.4.11).
export function contrastFaults() {
    const channel = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    const light = (css) => {
        const [r, g, b] = css.match(/[\d.]+/g).map(Number).map((v) => channel(v / 255));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ratio = (a, b) => {
        const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
        return (x + 0.05) / (y + 0.05);
    };
    const paper = getComputedStyle(document.body).backgroundColor;
    const faults = new Set();
    for (const t of document.querySelectorAll('svg text')) {
        const mark = t.previousElementSibling;
        const inside = t.matches('.rank-text, .volts') && mark ? getComputedStyle(mark).fill : paper;
        const r = ratio(getComputedStyle(t).fill, inside);
        if (r < 4.5) faults.add(`text .${t.getAttribute('class')}: ${r.toFixed(2)}`);
    }
    for (const s of document.querySelectorAll('.wire, .cable, .ink, .shape, [class^=line-]')) {
        const r = ratio(getComputedStyle(s).stroke, paper);
        if (r < 3) faults.add(`stroke .${s.getAttribute('class')}: ${r.toFixed(2)}`);
    }
    return [...faults];
}

// Cells and lines wider than the window, but for what scrolls on its own.
export function layoutFaults() {
    const faults = [];
    const page = document.scrollingElement;
    if (page.scrollWidth > window.innerWidth)
        faults.push(`the page is ${page.scrollWidth} px wide in a window of ${window.innerWidth}`);
    for (const e of document.querySelectorAll('h1, h2, p, li'))
        if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
            faults.push(`"${e.textContent.slice(0, 40)}" is cut`);
    for (const e of document.querySelectorAll('.scroll'))
        if (e.scrollWidth > e.clientWidth && e.tabIndex !== 0)
            faults.push(`${e.getAttribute('aria-label')} scrolls, but not by keyboard`);
    return faults;
}

export function focused() {
    const e = document.activeElement;
    if (!e || e === document.body) return null;
    const s = getComputedStyle(e);
    const box = e.getBoundingClientRect();
    return {
        what: e.getAttribute('href') ?? e.getAttribute('aria-label') ?? e.tagName,
        outline: s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2,
        seen: box.bottom > 0 && box.top < window.innerHeight,
    };
}

export function focusable() {
    return [...document.querySelectorAll('a[href], button, summary, [tabindex="0"]')]
        .filter((e) => e.getClientRects().length).length;
}
