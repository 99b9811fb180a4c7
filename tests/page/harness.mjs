/* Tests of the page: the real program serves a copy of a van, real Chromium shows it, and what is shown is compared with what
 * the command line says. Prints TAP, flat, so that every case is counted.
 *
 * usage: node TEST.mjs LOOMWALL ROOT MODULES [PART-OF-A-NAME]
 * MODULES is where tools/setup installed the npm packages of package.json. */

import assert from 'node:assert/strict';
import { execFileSync, spawn } from 'node:child_process';
import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';

const [, , program_given, root_given, modules_given, wanted = ''] = process.argv;
export const modules = modules_given ?? '';
if (process.env.LOOMWALL_FEWER) {
    console.log('1..0 # SKIP the page is tested with the plain build');
    process.exit(0);
}
if (!modules || !existsSync(path.join(modules, 'node_modules', 'playwright-core'))) {
    console.log(`Bail out! the npm packages of the page's tests are not in ${modules}; run tools/setup test`);
    process.exit(1);
}
const program = path.resolve(program_given);
export const root = path.resolve(root_given);
const require = createRequire(path.join(path.resolve(modules), 'package.json'));
const { chromium } = require('playwright-core');
export const axe_path = require.resolve('axe-core/axe.min.js');
export { assert };

const START_MS = 60000;
/** How long anything on the page may take to become as wanted. A slow machine, or sanitizers on one, is no failure. */
export const PATIENCE_MS = 40000;

// However it ends, the servers and folders are taken away by what listens to `exit`.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => process.exit(1));
process.setMaxListeners(0);

/* --- cases --- */

/** @type {{name: string, run: () => Promise<void>}[]} */
const cases = [];
/** @type {(() => void | Promise<void>)[]} */
const endings = [];

/** @param {string} name @param {() => Promise<void>} run */
export function test(name, run) {
    if (name.includes(wanted)) cases.push({ name, run });
}

/** Called when the tests are over. @param {() => void | Promise<void>} ending */
export function atEnd(ending) {
    endings.unshift(ending);
}

/** Runs what was given to `test`, each after the one before it. */
export async function runAll() {
    let failed = 0;
    console.log(`1..${cases.length}`);
    for (const [i, { name, run }] of cases.entries()) {
        try {
            await run();
            console.log(`ok ${i + 1} - ${name}`);
        } catch (problem) {
            failed++;
            console.log(`not ok ${i + 1} - ${name}`);
            console.log(String(problem?.stack ?? problem).replace(/^/gm, '# '));
        }
    }
    for (const ending of endings) await ending();
    process.exit(failed ? 1 : 0);
}

/* --- the command line --- */

/** What the program prints for other programs. A shut gate is an answer. @param {...string} words */
export function ask(...words) {
    try {
        return JSON.parse(execFileSync(program, [...words, '--json'], { encoding: 'utf8', maxBuffer: 1 << 26 }));
    } catch (problem) {
        if (problem.status === 1 && problem.stdout) return JSON.parse(problem.stdout);
        throw problem;
    }
}

/* --- the workbench --- */

/** A folder of its own with a copy of an example, such as "heron". Taken away at the end. @param {string} [example] */
export function copyOf(example) {
    const folder = mkdtempSync(path.join(tmpdir(), 'loomwall-page-'));
    process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
    if (!example) return { folder, file: '' };
    const file = path.join(folder, `${example}.yaml`);
    copyFileSync(path.join(root, 'examples', example, `${example}.yaml`), file);
    return { folder, file };
}

/**
 * Starts `loomwall open` on a file, or on none in a folder.
 * @param {{file?: string, folder?: string, port?: number}} where
 */
export async function serve({ file, folder, port = 0 }) {
    const words = ['open', ...(file ? [file] : []), '--no-browser', ...(port ? ['--port', String(port)] : [])];
    const server = spawn(program, words, { cwd: folder ?? path.dirname(file ?? '.'), stdio: ['ignore', 'pipe', 'pipe'] });
    process.on('exit', () => server.kill());
    let said = '';
    const address = await new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error(`no address within ${START_MS} ms: ${said}`)), START_MS);
        const hear = (/** @type {Buffer} */ words_said) => {
            said += words_said;
            const found = /http:\/\/127\.0\.0\.1:\d+\/#[0-9a-f]+/.exec(said);
            if (!found) return;
            clearTimeout(timer);
            resolve(found[0]);
        };
        server.stdout.on('data', hear);
        server.stderr.on('data', hear);
        server.on('exit', (status) => reject(new Error(`the program ended with ${status}: ${said}`)));
    });
    return { address: /** @type {string} */ (address), server };
}

/* --- the browser --- */

let browser_started;

/** One browser for all tests of a file; each page has a context of its own. */
async function browser() {
    browser_started ??= chromium.launch({
        timeout: START_MS,
        executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
        args: ['--no-sandbox', '--disable-gpu', '--font-render-hinting=none', '--force-device-scale-factor=1'],
    });
    const started = await browser_started;
    return started;
}
atEnd(async () => {
    if (browser_started) await (await browser_started).close();
});

/**
 * A page on an address. What the page complains of fails the case that looks at `complaints`.
 * @param {string} address
 * @param {import('playwright-core').BrowserContextOptions} [options]
 */
export async function openPage(address, options = {}) {
    const context = await (await browser()).newContext({ viewport: { width: 1280, height: 800 }, colorScheme: 'light', reducedMotion: 'reduce', ...options });
    const page = await context.newPage();
    page.setDefaultTimeout(PATIENCE_MS);
    /** @type {string[]} */
    const complaints = [];
    page.on('pageerror', (problem) => complaints.push(problem.stack ?? problem.message));
    page.on('console', (message) => {
        if (message.type() === 'error') complaints.push(message.text());
    });
    await page.goto(address);
    return { page, complaints, context };
}

/** Until the drawing shows a reading of the file as it is. @param {import('playwright-core').Page} page */
export async function settled(page) {
    await page.waitForSelector('.paper svg');
    await page.waitForFunction(() => document.querySelector('.paper .wire.carries, .paper .wire.live, .paper .wire.dead, .paper .wire.floats') !== null);
    await judged(page);
}

/** Until every gate is proven. @param {import('playwright-core').Page} page */
export async function judged(page) {
    await page.waitForFunction(() => document.querySelector('#gates')?.getAttribute('aria-busy') === 'false');
}

/**
 * The page's answer to a thing done: the meter's next reading, or a new text of the file.
 * @param {import('playwright-core').Page} page
 * @param {string} part of the address
 * @param {() => Promise<unknown>} done
 */
export async function after(page, part, done) {
    const [response] = await Promise.all([page.waitForResponse((one) => one.url().includes(part)), done()]);
    await response.finished();
    await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
    return response;
}
