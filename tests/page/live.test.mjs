/* The live side of the page: every switch of heron in every position, each value that is shown against `loomwall meter`; the
 * gates and findings against `loomwall judge`; keys alone; a phone; what axe-core says. */

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { after, ask, assert, axe_path, copyOf, judged, openPage, runAll, serve, settled, test } from './harness.mjs';

const heron = copyOf('heron');
const draft = copyOf('heron-draft');
const { address } = await serve(heron);
const { address: draft_address } = await serve(draft);
const van = ask('show', heron.file);
const movable = van.items.filter((item) => !item.moved_by_coil && !item.dial && item.positions.length > 1);
const dimmers = van.items.filter((item) => item.dial);

const two = (/** @type {number} */ value) => {
    const text = value.toFixed(2);
    return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', '−');
};

/** What stands beside an item on the drawing, in the words of the meter. */
function saysOf({ state, watts }) {
    if (!state || state === 'off' || state === 'floats') return '';
    if (state === 'starved') return 'starved';
    const size = Math.abs(watts);
    return `${watts < 0 ? 'gives' : state} ${size.toFixed(size < 100 ? 1 : 0)} W`;
}

/** Ids as the scenes write them; those of heron need no escape. */
const group = (/** @type {string} */ type, /** @type {string} */ name) => `.paper [id="${type}-${name}"]`;

/** What the meter of the page shows at each terminal of the drawing. @param {import('playwright-core').Page} page */
const shownVolts = (page) => page.evaluate(() => Object.fromEntries([...document.querySelectorAll('.paper g.terminal')].map((terminal) => {
    terminal.dispatchEvent(new PointerEvent('pointerover', { bubbles: true }));
    return [document.querySelector('.meter-box .what')?.textContent, document.querySelector('.meter-box .value')?.textContent];
})));

/** @param {{[terminal: string]: number|null}} read */
const voltsInWords = (read) => Object.fromEntries(Object.entries(read).map(([id, volts]) => [id, volts === null ? '– V' : `${two(volts)} V`]));

/** What the drawing shows of wires and items. @param {import('playwright-core').Page} page */
const shown = (page) => page.evaluate(() => {
    const wires = /** @type {{[label: string]: object}} */ ({});
    for (const g of document.querySelectorAll('.paper g.wire')) {
        const current = g.querySelector('.current');
        const is_seen = current !== null && getComputedStyle(current).display !== 'none';
        wires[g.id.replace('wire-', '')] = {
            state: ['carries', 'live', 'dead', 'floats'].filter((word) => g.classList.contains(word)).join(),
            current: is_seen ? current.textContent : null,
            has_heads: [...g.querySelectorAll('.chevrons')].some((one) => getComputedStyle(one).display !== 'none'),
            way: g.getAttribute('data-way'),
            width_mm: parseFloat(getComputedStyle(/** @type {Element} */ (g.querySelector('.run'))).strokeWidth),
        };
    }
    const items = /** @type {{[id: string]: object}} */ ({});
    for (const g of document.querySelectorAll('.paper g.item')) {
        const rays = g.querySelector('.rays');
        const now = [...g.querySelectorAll('.position')].filter((one) => getComputedStyle(one).display !== 'none');
        items[g.id.replace('item-', '')] = {
            state: ['runs', 'dims', 'starved', 'off'].filter((word) => g.classList.contains(word)).join(),
            is_lit: rays ? getComputedStyle(rays).display !== 'none' : null,
            says: getComputedStyle(g.querySelector('.state') ?? g).display !== 'none' ? (g.querySelector('.state')?.textContent ?? null) : '',
            positions: now.map((one) => [...one.classList].find((word) => word.startsWith('position-'))?.slice(9)),
        };
    }
    return { wires, items };
});

/**
 * @param {import('playwright-core').Page} page
 * @param {{[item: string]: string}} positions
 */
async function compare(page, positions) {
    const read = ask('meter', heron.file, ...Object.entries(positions).flatMap(([item, word]) => ['--set', `${item}=${word}`]));
    const { wires, items } = await shown(page);
    for (const { label } of van.wires) {
        const wire = wires[label];
        const state = read.wires[label];
        assert.equal(wire.state, state, `${label} in ${JSON.stringify(positions)}`);
        if (state === 'carries') {
            const size = Math.abs(read.amps[label]);
            assert.equal(wire.current, size > 0 && size < 0.005 ? '< 0.01 A' : `${two(size)} A`, label);
            assert.equal(wire.way, read.amps[label] < 0 ? 'back' : 'forth', label);
            assert.ok(wire.has_heads, `${label} shows its way`);
        } else {
            assert.ok(!wire.has_heads && wire.current === null, `${label} shows no current`);
        }
    }
    assert.deepEqual(await shownVolts(page), voltsInWords(read.volts));
    for (const [id, reading] of Object.entries(read.items)) {
        const item = items[id];
        if (!item) continue;
        if (reading.state && reading.state !== 'floats') assert.equal(item.state, reading.state, id);
        if (item.says !== null) assert.equal(item.says, saysOf(reading), id);
        if (reading.lamp) assert.equal(item.is_lit, reading.lamp === 'lit', `lamp of ${id}`);
        if (reading.position && item.positions.length) assert.deepEqual(item.positions, [reading.position], id);
    }
    return read;
}

/** Moves one switch by its buttons beside the drawing. */
const move = (page, item, word) =>
    after(page, '/api/meter', () => page.click(`[data-item="${item}"] .positions [data-word="${word}"]`));

const first = await openPage(address);
await settled(first.page);

test('all at rest: every wire, item and lamp', () => compare(first.page, {}));

for (const item of movable) {
    test(`${item.id}: each position, every value as the meter has it`, async () => {
        for (const word of item.positions.slice(1)) {
            await move(first.page, item.id, word);
            await compare(first.page, { [item.id]: word });
        }
        await move(first.page, item.id, item.positions[0]);
        await compare(first.page, {});
    });
}

test('each dimmer: a few places of its slider', async () => {
    const { page } = first;
    assert.ok(dimmers.length > 0);
    await move(page, 'strip-switch', 'on');
    for (const { id } of dimmers) {
        for (const percent of ['40', '100', '0']) {
            await after(page, '/api/meter', () => page.locator(`[data-item="${id}"] input[type=range]`).fill(percent));
            await compare(page, { 'strip-switch': 'on', [id]: `${percent}%` });
        }
    }
    await move(page, 'strip-switch', 'off');
});

test('every terminal reads against another reference too', async () => {
    const { page } = first;
    await move(page, 'pump-switch', 'on');
    await page.locator(group('terminal', 'bank.pos')).dispatchEvent('pointerover');
    await after(page, '/api/meter', () => page.click('text=Measure against this'));
    const moved = ask('meter', heron.file, '--set', 'pump-switch=on', '--against', 'bank.pos');
    assert.deepEqual(await shownVolts(page), voltsInWords(moved.volts));
    await after(page, '/api/meter', () => page.click('text=Back to the battery'));
    await move(page, 'pump-switch', 'off');
});

test('a switch of the drawing moves when it is clicked', async () => {
    const { page } = first;
    await page.click('[data-item="filter-switch"] .name');
    const at = await page.locator(`${group('item', 'filter-switch')} text`).first().boundingBox();
    assert.ok(at);
    await after(page, '/api/meter', () => page.mouse.click(at.x + at.width / 2, at.y + at.height / 2));
    await compare(page, { 'filter-switch': 'on' });
    await page.keyboard.press('Escape');
    await after(page, '/api/meter', () => page.keyboard.press('x'));
    await compare(page, {});
});

test('nothing was complained of', async () => assert.deepEqual(first.complaints, []));

/* --- findings --- */

const second = await openPage(draft_address);
await settled(second.page);
const judgement = ask('judge', draft.file);

test('the findings shown are those of the judgement, in its order', async () => {
    const rows = await second.page.$$eval('#below .finding .says', (all) => all.map((one) => one.textContent));
    assert.deepEqual(rows, judgement.findings.map((finding) => finding.says));
    const gates = await second.page.$$eval('#gates .gate', (all) => all.map((one) => [one.querySelector('b')?.textContent, one.querySelector('.word')?.textContent]));
    assert.deepEqual(gates, judgement.gates.map(({ gate, open }) => [gate, open ? 'open' : 'shut']));
});

test('a finding shows its value, limit, source, remedy and places', async () => {
    const { page } = second;
    for (const [number, finding] of judgement.findings.entries()) {
        await page.click(`#below .finding[data-number="${number}"] .row`);
        const words = await page.textContent('#about');
        for (const part of [finding.says, finding.source, finding.remedy, finding.unit, ...finding.where.map((place) => place.split(' ')[1])]) {
            assert.ok(words?.includes(part), `${part} in ${words}`);
        }
    }
});

test('show me: the switches stand where it is worst, and its place is in view', async () => {
    const { page } = second;
    const number = judgement.findings.findIndex((finding) => Object.keys(finding.positions).length > 0 && finding.where[0].startsWith('item'));
    assert.ok(number >= 0);
    const finding = judgement.findings[number];
    const response = await after(page, '/api/meter', () => page.click(`#below .finding[data-number="${number}"] .show-me`));
    assert.deepEqual(response.request().postDataJSON().positions, finding.positions);
    const is_in_view = await page.evaluate((id) => {
        const box = document.querySelector(`.paper [id="item-${id}"]`)?.getBoundingClientRect();
        const view = document.querySelector('.viewport')?.getBoundingClientRect();
        return Boolean(box && view && box.right > view.left && box.left < view.right && box.bottom > view.top && box.top < view.bottom);
    }, finding.where[0].split(' ')[1]);
    assert.ok(is_in_view);
    assert.ok(await page.locator('.paper .ring').count());
    assert.deepEqual(second.complaints, []);
});

test('a mend is applied, and undone to the byte', async () => {
    const { page } = second;
    const before = readFileSync(draft.file, 'utf8');
    const rows = await page.$$eval('#below .finding', (all) => all.length);
    for (let number = 0; number < rows; number++) {
        await page.click(`#below .finding[data-number="${number}"] .row`);
        if (await page.locator('#about .mend').count()) break;
    }
    await after(page, '/api/mend', () => page.locator('#about .mend').first().click());
    await page.waitForSelector('#notice:has-text("Done:")');
    assert.notEqual(readFileSync(draft.file, 'utf8'), before);
    await after(page, '/api/undo', () => page.click('#notice button:has-text("Undo")'));
    await page.waitForSelector('#notice:has-text("Undone")');
    assert.equal(readFileSync(draft.file, 'utf8'), before);
    await judged(page);
});

/* --- habits --- */

test('keys alone: search, a switch, a terminal, a reference, zoom, the command list', async () => {
    const { page, context } = await openPage(address);
    await settled(page);
    await page.keyboard.press('/');
    await page.keyboard.type('river-pump');
    await page.keyboard.press('Enter');
    await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="name"] input'))?.value === 'River intake pump');
    await page.locator('.viewport').focus();
    await page.keyboard.press('Tab');
    assert.ok(await page.evaluate(() => document.activeElement?.matches('.paper g[role]')));
    const seen = new Set();
    for (const key of ['ArrowRight', 'ArrowDown', 'ArrowRight', 'ArrowRight', 'ArrowDown', 'ArrowUp']) {
        await page.keyboard.press(key);
        seen.add(await page.evaluate(() => document.activeElement?.id));
    }
    assert.ok(seen.size > 3, [...seen].join());
    await page.locator(group('item', 'pump-switch')).focus();
    await after(page, '/api/meter', () => page.keyboard.press('Space'));
    await compare(page, { 'pump-switch': 'on' });
    const scale = () => page.evaluate(() => Number(/scale\(([\d.]+)/.exec(/** @type {HTMLElement} */ (document.querySelector('.paper')).style.transform)?.[1]));
    const before = await scale();
    await page.keyboard.press('+');
    assert.ok((await scale()) > before);
    await page.keyboard.press('0');
    assert.ok((await scale()) < before);
    await page.keyboard.press('?');
    await page.waitForSelector('dialog.commands');
    await page.keyboard.press('Escape');
    await context.close();
});

test('no key does two things', async () => {
    const { page, context } = await openPage(draft_address);
    await settled(page);
    await page.keyboard.press('?');
    const keys = await page.$$eval('dialog.commands kbd', (all) => all.flatMap((one) => (one.textContent ?? '').split(', ')));
    assert.ok(keys.length > 20);
    assert.deepEqual(keys.filter((key, i) => keys.indexOf(key) !== i), []);
    await context.close();
});

test('the book and its sheets are fetched from the page', async () => {
    const { page, context, complaints } = await openPage(address);
    await settled(page);
    await page.click('#views [data-view="book"]');
    await page.waitForSelector('.sheets[aria-busy="false"] button');
    const names = await page.$$eval('.sheets button', (all) => all.map((one) => one.getAttribute('aria-label')));
    for (const name of ['Circuit diagram as PDF', 'Connection list as CSV']) assert.ok(names.includes(name), names.join());
    for (const words of ['Save the book', 'CSV']) {
        const [download] = await Promise.all([page.waitForEvent('download'), page.locator(`#space button:has-text("${words}")`).first().click()]);
        const start = readFileSync(await download.path()).subarray(0, 5).toString();
        assert.equal(start === '%PDF-', words === 'Save the book', `${download.suggestedFilename()}: ${start}`);
    }
    assert.deepEqual(complaints, []);
    await context.close();
});

test('print: the drawing alone, on paper in the dark theme too, every label on some strip', async () => {
    const { page, context } = await openPage(address, { colorScheme: 'dark' });
    await settled(page);
    const file = path.join(heron.folder, 'print.pdf');
    await page.pdf({ path: file, preferCSSPageSize: true });
    const words = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
    const there = new Set(words.split(/\s+/));
    assert.deepEqual(van.wires.map((wire) => wire.label).filter((label) => !there.has(label)), []);
    assert.match(words, /strip 2 of/);
    assert.doesNotMatch(words, /Search|being proven/);
    assert.equal(await page.locator('#printed').count(), 0);
    await context.close();
});

test('a phone: tabs at the bottom, nothing wider than the screen, targets large enough', async () => {
    const { page, context, complaints } = await openPage(address, { viewport: { width: 390, height: 780 }, hasTouch: true, isMobile: true });
    await settled(page);
    for (const view of await page.$$eval('#views button', (all) => all.map((one) => one.dataset.view))) {
        await page.click(`#views [data-view="${view}"]`);
        await page.waitForSelector(`#space[data-view="${view}"]`);
        const found = await page.evaluate(() => ({
            is_wide: document.documentElement.scrollWidth > innerWidth,
            small: [...document.querySelectorAll('#views button, #gates button, #tools button, #space button')]
                .map((one) => ({ box: one.getBoundingClientRect(), words: one.textContent }))
                .filter(({ box }) => box.width > 0 && (box.width < 24 || box.height < 24)).map(({ words }) => words),
        }));
        assert.deepEqual(found, { is_wide: false, small: [] }, view);
    }
    const bar = await page.locator('#views').boundingBox();
    assert.ok(bar && bar.y > 700);
    assert.deepEqual(complaints, []);
    await context.close();
});

for (const theme of /** @type {const} */ (['light', 'dark'])) {
    test(`axe-core finds no violation in any view, ${theme}`, async () => {
        const { page, context } = await openPage(draft_address, { colorScheme: theme });
        await settled(page);
        await page.evaluate(readFileSync(axe_path, 'utf8'));
        for (const view of await page.$$eval('#views button', (all) => all.map((one) => one.dataset.view))) {
            await page.click(`#views [data-view="${view}"]`);
            await page.waitForSelector(`#space[data-view="${view}"]`);
            const found = await page.evaluate(async () => {
                // @ts-ignore: brought by the script above
                const { violations } = await axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
                return violations.map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160) + node.failureSummary).join(' | ')}`);
            });
            assert.deepEqual(found, [], view);
        }
        await context.close();
    });
}

await runAll();
