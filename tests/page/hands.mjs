/* What the tests of editing do again and again: open a van, choose in it, find a field or a terminal. */

import { readFileSync } from 'node:fs';
import { ask, assert, axe_path, copyOf, openPage, serve, settled } from './harness.mjs';

export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
/** From a change on the disk to the page, ms; the program is given half a second. */
export const SEEN_ms = 500;

/** @param {string} [example] @param {object} [options] */
export async function open(example, options) {
    const copy = copyOf(example);
    const { address } = await serve(copy);
    const opened = await openPage(address, options);
    if (example) await settled(opened.page);
    return { ...copy, ...opened, address };
}

/** @param {string} file */
export const stops = (file) => ask('judge', file).findings.filter((finding) => ['stop', 'unproven'].includes(finding.grade)).map((finding) => finding.rule);

/** @param {import('playwright-core').Page} page @param {string} id */
export async function chooseFromList(page, id) {
    await page.locator('#views button[data-view="list"]').click();
    await page.locator(`tr[data-item="${id}"] button.place, tr[data-wire="${id}"] button.place`).click();
    await page.waitForSelector('#about [data-key]');
}

/** @param {import('playwright-core').Page} page @param {string} key */
export const field = (page, key) => page.locator(`#about [data-key="${key}"]`);

/** @param {import('playwright-core').Page} page @param {string} terminal */
export async function middleOf(page, terminal) {
    const box = await page.locator(`[id="terminal-${terminal}"] .hit`).boundingBox();
    assert.ok(box, terminal);
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** @param {import('playwright-core').Page} page */
export async function axeIsClean(page) {
    await page.addScriptTag({ path: axe_path }).catch(async () => { await page.evaluate(readFileSync(axe_path, 'utf8')); });
    const found = await page.evaluate(async () => (await /** @type {any} */ (window).axe.run()).violations.map((/** @type {any} */ v) => `${v.id}: ${v.nodes[0].html}`));
    assert.deepEqual(found, []);
}
