/* How the page looks, against pictures that a person has looked at: tests/page/goldens. Pixels are compared in cells, so that
 * another version of the browser or of a font library, which smooths edges its own way, is no difference.
 *
 * Renew them with `make looks`, then look at them. */

import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { assert, copyOf, modules, openPage, root, runAll, serve, settled, test } from './harness.mjs';

const GOLDENS = path.join(root, 'tests/page/goldens');
const SEEN = path.join(modules, 'looks');
const CELL_PX = 8;
/** A cell is another one when the mean of a channel is this far away, of 255. */
const CELL_STEP = 12;
/** So many cells of a thousand may be. */
const MOST_PER_MILLE = 2;

const PHONE = { viewport: { width: 390, height: 780 }, hasTouch: true, isMobile: true };
const heron = await serve(copyOf('heron'));
const draft = await serve(copyOf('heron-draft'));
const blank = (await openPage('about:blank')).page;

/**
 * The share of cells that differ, per mille; a thousand when the sizes do.
 * @param {Buffer} a @param {Buffer} b PNG
 */
const differing = (a, b) => blank.evaluate(async ({ pictures, cell_px, step }) => {
    const [one, other] = await Promise.all(pictures.map(async (base64) => {
        const image = new Image();
        image.src = `data:image/png;base64,${base64}`;
        await image.decode();
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [Math.ceil(image.width / cell_px), Math.ceil(image.height / cell_px)];
        const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
        context.imageSmoothingQuality = 'high';
        context.drawImage(image, 0, 0, canvas.width, canvas.height);
        return { width: image.width, height: image.height, cells: context.getImageData(0, 0, canvas.width, canvas.height).data };
    }));
    if (one.width !== other.width || one.height !== other.height) return 1000;
    let n = 0;
    for (let i = 0; i < one.cells.length; i += 4) {
        if ([0, 1, 2].some((channel) => Math.abs(one.cells[i + channel] - other.cells[i + channel]) > step)) n++;
    }
    return (n * 4 * 1000) / one.cells.length;
}, { pictures: [a.toString('base64'), b.toString('base64')], cell_px: CELL_PX, step: CELL_STEP });

/**
 * @param {import('playwright-core').Page} page
 * @param {string} name
 */
async function looksAs(page, name) {
    await page.mouse.move(0, 0);
    await page.evaluate(() => document.fonts.ready);
    const shot = await page.screenshot({ caret: 'hide' });
    const golden = path.join(GOLDENS, `${name}.png`);
    if (process.env.LOOMWALL_RENEW) {
        mkdirSync(GOLDENS, { recursive: true });
        writeFileSync(golden, shot);
        return;
    }
    assert.ok(existsSync(golden), `there is no ${golden}; make it with \`make looks\`, and look at it`);
    const share = await differing(readFileSync(golden), shot);
    console.log(`# ${name}: ${share.toFixed(1)} of 1000 cells differ`);
    if (share <= MOST_PER_MILLE) return;
    mkdirSync(SEEN, { recursive: true });
    writeFileSync(path.join(SEEN, `${name}.png`), shot);
    assert.fail(`${share.toFixed(1)} of 1000 cells differ from ${golden}; what was seen is ${path.join(SEEN, `${name}.png`)}`);
}

/**
 * @param {string} address
 * @param {object} [options]
 */
async function show(address, options) {
    const { page, context } = await openPage(address, options);
    await settled(page);
    return { page, end: () => context.close() };
}

/** @param {import('playwright-core').Page} page @param {string[]} ids */
async function switchOn(page, ids) {
    for (const id of ids) await page.click(`[data-item="${id}"] .positions [data-word="on"]`);
    await page.waitForFunction((moved) => moved.every((id) => document.querySelector(`.paper [id="item-${id}"] .position-on.now`)), ids);
}

test('the diagram by day', async () => {
    const { page, end } = await show(heron.address);
    await switchOn(page, ['pump-switch', 'filter-switch']);
    await page.evaluate(() => document.querySelector('#about')?.scrollTo(0, 0));
    await looksAs(page, 'diagram');
    await end();
});

test('a panel by night', async () => {
    const { page, end } = await show(heron.address, { colorScheme: 'dark' });
    await page.click('#views [data-view="panel"]');
    await page.waitForSelector('.paper [id="item-fume-switch"]');
    await switchOn(page, ['pump-switch', 'fume-switch']);
    await page.evaluate(() => document.querySelector('#about')?.scrollTo(0, 0));
    await looksAs(page, 'panel-dark');
    await end();
});

test('the controls on a phone', async () => {
    const { page, end } = await show(heron.address, PHONE);
    await page.click('#views [data-view="about"]');
    await page.waitForSelector('[data-item="pump-switch"]');
    await looksAs(page, 'phone');
    await end();
});

test('a finding that is shown', async () => {
    const { page, end } = await show(draft.address);
    await page.click('#below .finding[data-number="2"] .show-me');
    await page.waitForSelector('#notice.shown');
    await page.click('#notice .quiet');
    await page.waitForSelector('.paper .ring');
    await looksAs(page, 'finding');
    await end();
});

test('what differs is told from what does not', async () => {
    const picture = (/** @type {string} */ name) => readFileSync(path.join(GOLDENS, `${name}.png`));
    assert.ok((await differing(picture('diagram'), picture('finding'))) > 10 * MOST_PER_MILLE);
    const { page, end } = await show(heron.address);
    const one = await page.screenshot();
    await page.evaluate(() => document.querySelector('.paper [id="item-inverter"]')?.remove());
    assert.ok((await differing(one, await page.screenshot())) > MOST_PER_MILLE, 'one item that is missing');
    await end();
});

await runAll();
