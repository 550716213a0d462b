// driver.mjs - a small WebDriver client of our own. SPDX-License-Identifier: MIT
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import net from 'node:net';

async function freePort() {
    const server = net.createServer().listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address();
    server.close();
    await once(server, 'close');
    return port;
}

// One browser without a window. Every call answers with the value that the standard names
// (W3C WebDriver); an error of the browser is thrown.
export class Browser {
    static async start() {
        const b = new Browser();
        const port = await freePort();
        b.process = spawn('chromedriver', [`--port=${port}`], { stdio: 'ignore' });
        b.base = `http://127.0.0.1:${port}`;
        b.process.on('error', (e) => { b.trouble = e; });
        for (let i = 0; ; i++) {
            try {
                await b.call('GET', '/status');
                break;
            } catch (e) {
                if (b.trouble || i > 100) throw b.trouble ?? e;
                await new Promise((r) => setTimeout(r, 100));
            }
        }
        const args = ['--headless=new', '--no-sandbox', '--disable-gpu', '--hide-scrollbars',
            '--force-color-profile=srgb', '--disable-dev-shm-usage', '--disable-ipc-flooding-protection'];
        const value = await b.call('POST', '/session', {
            capabilities: {
                alwaysMatch: {
                    browserName: 'chrome',
                    'goog:chromeOptions': { args },
                    'goog:loggingPrefs': { browser: 'ALL' },
                },
            },
        });
        b.base += `/session/${value.sessionId}`;
        return b;
    }

    async call(method, path, body) {
        const answer = await fetch(this.base + path, {
            method,
            headers: { 'content-type': 'application/json' },
            body: method === 'POST' ? JSON.stringify(body ?? {}) : undefined,
        });
        const { value } = await answer.json();
        if (!answer.ok) throw new Error(`${method} ${path}: ${value?.message}`);
        return value;
    }

    // A command of the browser itself (sizes, colour scheme, offline).
    cdp(cmd, params) {
        return this.call('POST', '/goog/cdp/execute', { cmd, params });
    }

    open(url) {
        return this.call('POST', '/url', { url });
    }

    // width and height in CSS pixels; dark: what the page is told the reader prefers.
    async view(width, height, dark) {
        await this.cdp('Emulation.setDeviceMetricsOverride',
            { width, height, deviceScaleFactor: 1, mobile: false });
        await this.cdp('Emulation.setEmulatedMedia',
            { features: [{ name: 'prefers-color-scheme', value: dark ? 'dark' : 'light' }] });
    }

    run(script, ...args) {
        return this.call('POST', '/execute/sync', { script, args });
    }

    later(script, ...args) {
        return this.call('POST', '/execute/async', { script, args });
    }

    async picture() {
        return Buffer.from(await this.call('GET', '/screenshot'), 'base64');
    }

    // The page as a PDF; size in cm.
    async print(width, height) {
        return Buffer.from(await this.call('POST', '/print',
            { page: { width, height }, shrinkToFit: false, background: true,
                margin: { top: 1.2, bottom: 1.2, left: 1.2, right: 1.2 } }), 'base64');
    }

    async keys(...values) {
        const actions = values.flatMap((value) => [{ type: 'keyDown', value }, { type: 'keyUp', value }]);
        await this.call('POST', '/actions', { actions: [{ type: 'key', id: 'keys', actions }] });
    }

    logs() {
        return this.call('POST', '/se/log', { type: 'browser' });
    }

    async stop() {
        try {
            await this.call('DELETE', '');
        } finally {
            this.process.kill();
        }
    }
}
