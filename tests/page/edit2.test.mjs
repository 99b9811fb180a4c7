/* The page changes the file, further: ends of wires, kinds, lists, decisions, two pages, the text that two hands changed; and
 * how the views for it look on a phone and in the dark. */

import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { PHONE, SEEN_ms, axeIsClean, chooseFromList, field, middleOf, open, stops } from './hands.mjs';
import { after, ask, assert, openPage, runAll, settled, test } from './harness.mjs';

/** @typedef {import('playwright-core').Page} Page */

/** What stands in a column, from above. @param {Page} page @param {string} table @param {number} column */
const cells = (page, table, column) => page.locator(`table:has(caption:has-text("${table}")) tbody tr`)
    .evaluateAll((rows, at) => rows.map((row) => /** @type {HTMLTableRowElement} */ (row).cells[at].textContent ?? ''), column);

/** @param {Page} page */
const diagram = async (page) => {
    await page.locator('#views button[data-view="diagram"]').click();
    await page.waitForSelector('.paper svg .hit');
};

test('the end of a chosen wire is dragged to another terminal, and undone', async () => {
    const { page, file } = await open('first-lamp');
    const before = readFileSync(file, 'utf8');
    await chooseFromList(page, 'P2');
    await diagram(page);
    const [from, to] = [await middleOf(page, 'switch.feed'), await middleOf(page, 'lamp.pos')];
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x + 12, from.y + 9);
    await page.mouse.move(to.x, to.y, { steps: 5 });
    await after(page, '/api/edit', () => page.mouse.up());
    assert.match(readFileSync(file, 'utf8'), /P2: \{from: fuse\.out, +to: lamp\.pos,/);
    assert.equal(await page.locator('#about [data-key="to"] input').inputValue(), 'lamp.pos');
    await after(page, '/api/undo', () => page.keyboard.press('Control+z'));
    assert.equal(readFileSync(file, 'utf8'), before);
});

test('another kind: what it lacks goes, and what it must be given is asked', async () => {
    const { page, file } = await open('first-lamp');
    await chooseFromList(page, 'lamp');
    await after(page, '/api/edit', () => field(page, 'kind').locator('select').selectOption('fan'));
    await page.waitForFunction(() => /** @type {HTMLSelectElement} */ (document.querySelector('#about [data-key="kind"] select')).value === 'fan');
    assert.match(readFileSync(file, 'utf8'), /lamp: +\{kind: fan, draws: 6 W\}/);
    await chooseFromList(page, 'fuse');
    await field(page, 'kind').locator('select').selectOption('pump');
    const asked = page.locator('dialog[open] [data-key="draws"] input');
    await asked.fill('3 A');
    assert.match(await page.locator('dialog[open]').innerText(), /no longer takes: rating/);
    await page.keyboard.press('Escape');
    assert.match(readFileSync(file, 'utf8'), /fuse: +\{kind: fuse, rating: 5 A\}/);
});

test('the list sorts by any column, numbers as numbers, and shows only what is asked for', async () => {
    const { page, file } = await open('heron');
    await page.locator('#views button[data-view="list"]').click();
    const van = ask('show', file);
    const inOrder = await cells(page, 'Wires', 0);
    assert.equal(inOrder.length, van.wires.length);
    const length = page.locator('button.sorts', { hasText: 'Length' });
    const order = new Intl.Collator('en', { numeric: true });
    await length.click();
    const up = await cells(page, 'Wires', 3);
    assert.deepEqual(up, [...up].sort(order.compare));
    assert.equal(await page.locator('th', { has: length }).getAttribute('aria-sort'), 'ascending');
    await length.click();
    const down = await cells(page, 'Wires', 3);
    assert.deepEqual(down, [...up].sort((a, b) => order.compare(b, a)));
    assert.notDeepEqual(up, down);
    await length.click();
    assert.deepEqual(await cells(page, 'Wires', 0), inOrder);

    await page.getByRole('searchbox', { name: 'Show only rows with these words' }).fill('pump bench-fuses');
    const shown = await cells(page, 'Wires', 0);
    const wanted = van.wires.filter((wire) => `${wire.from} ${wire.to}`.includes('pump') && `${wire.from} ${wire.to}`.includes('bench-fuses')).map((wire) => wire.label);
    assert.ok(wanted.length > 0 && wanted.length < inOrder.length);
    assert.deepEqual(shown, wanted);
    assert.match(await page.locator('caption', { hasText: 'Wires' }).innerText(), new RegExp(`${wanted.length} of ${inOrder.length}`));
});

test('the text, changed by two hands: both stand side by side, and nothing is lost', async () => {
    const { page, file } = await open('first-lamp');
    const before = readFileSync(file, 'utf8');
    const mine = before.replace('name: First lamp', 'name: Typed here');
    await page.keyboard.press('t');
    const area = page.locator('.text-area');
    await page.waitForFunction(() => /** @type {HTMLTextAreaElement} */ (document.querySelector('.text-area')).value !== '');
    await area.fill(mine);
    const theirs = before.replace('capacity: 30 Ah', 'capacity: 31 Ah');
    writeFileSync(file, theirs);
    await page.locator('.text-both').waitFor();
    assert.match(await page.getByRole('region', { name: 'What you typed' }).locator('.is-other').allInnerTexts().then(String), /Typed here/);
    assert.match(await page.getByRole('region', { name: 'What the file has now' }).locator('.is-other').allInnerTexts().then(String), /31 Ah/);
    assert.equal(await area.inputValue(), mine);
    await page.getByRole('button', { name: 'Take the file’s' }).click();
    assert.equal(await area.inputValue(), theirs);
    await page.getByRole('button', { name: 'Bring it back' }).click();
    assert.equal(await area.inputValue(), mine);
    const last = before.replace('capacity: 30 Ah', 'capacity: 32 Ah');
    writeFileSync(file, last);
    await page.getByText('32 Ah').first().waitFor();
    await after(page, '/api/text', () => page.getByRole('button', { name: 'Save mine over it' }).click());
    assert.equal(readFileSync(file, 'utf8'), mine);
});

test('a decision is taken back, and taken again with its reason', async () => {
    const { page, file } = await open('heron');
    const decided = () => ask('judge', file).findings.filter((finding) => finding.decided).map((finding) => finding.decided.why);
    assert.equal(decided().length, 1);
    await field(page, 'decided/0/why').locator('textarea').fill('');
    await after(page, '/api/edit', () => page.keyboard.press('Control+Enter'));
    await page.waitForFunction(() => !document.querySelector('#about [data-key^="decided"]'));
    assert.deepEqual(decided(), []);
    await page.locator('#below .finding.mind:not(.decided) button.row').click();
    await page.getByRole('button', { name: 'Decide…', exact: true }).first().click();
    await page.locator('#decide-why').fill('the joint is looked at each spring');
    await after(page, '/api/edit', () => page.getByRole('button', { name: 'Record the decision' }).click());
    await page.locator('#below .finding.mind.decided').waitFor();
    assert.deepEqual(decided(), ['the joint is looked at each spring']);
    await page.locator('#space').focus();
    await page.keyboard.press('Escape');
    assert.equal(await field(page, 'decided/0/why').locator('textarea').inputValue(), 'the joint is looked at each spring');
});

test('a list field: an entry is changed, added, moved and taken out', async () => {
    const { page, file } = await open('heron');
    const slots = () => /bench-fuses:[^}]*slots: \[([^\]]*)\]/.exec(readFileSync(file, 'utf8'))?.[1].split(',').map((slot) => slot.trim());
    const was = slots() ?? [];
    await chooseFromList(page, 'bench-fuses');
    const entry = (/** @type {number} */ i) => field(page, 'slots').getByRole('textbox', { name: `slots ${i}`, exact: true }).or(field(page, 'slots').getByRole('combobox', { name: `slots ${i}`, exact: true }));
    const shows = async (/** @type {string[]} */ wanted) => {
        await page.waitForFunction((all) => [...document.querySelectorAll('#about [data-key="slots"] input')].map((input) => /** @type {HTMLInputElement} */ (input).value).join() === all, wanted.join());
        assert.deepEqual(slots(), wanted);
    };
    await entry(1).fill('20 A');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    const changed = ['20 A', ...was.slice(1)];
    await shows(changed);
    await field(page, 'slots').getByRole('button', { name: 'Add to slots' }).click();
    await page.keyboard.type('7.5 A');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    await shows([...changed, '7.5 A']);
    await after(page, '/api/edit', () => page.getByRole('button', { name: `Move slots ${was.length + 1} up` }).click());
    const moved = [...changed.slice(0, -1), '7.5 A', changed[changed.length - 1]];
    await shows(moved);
    await after(page, '/api/edit', () => page.getByRole('button', { name: `Take out slots ${was.length}` , exact: true }).click());
    await shows(changed);
});

test('two pages: what one writes, the other shows within half a second', async () => {
    const { page, address, file } = await open('first-lamp');
    const other = (await openPage(address)).page;
    await settled(other);
    await chooseFromList(page, 'P2');
    await chooseFromList(other, 'P2');
    await field(page, 'length').locator('input').fill('3.25 m');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    const start = Date.now();
    await other.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="length"] input')).value === '3.25 m', undefined, { polling: 20 });
    assert.ok(Date.now() - start < SEEN_ms, `${Date.now() - start} ms`);
    await page.locator('#about [data-key="length"] .field-written', { hasText: 'written' }).waitFor();
    assert.match(readFileSync(file, 'utf8'), /length: 3\.25 m/);
});

test('a key does one thing, and the manual tells it', async () => {
    const { page } = await open('heron-draft');
    await page.keyboard.press('?');
    const rows = await page.locator('dialog.commands dl > div').evaluateAll((each) => each.map((row) => [row.querySelector('dt')?.textContent ?? '', row.querySelector('dd')?.textContent ?? '']));
    const keys = rows.flatMap(([names]) => names.split(', ').filter(Boolean));
    assert.deepEqual(keys.filter((key, i) => keys.indexOf(key) !== i), []);
    const manual = readFileSync(new URL('../../docs/workbench.md', import.meta.url), 'utf8');
    const told = manual.split('\n').filter((line) => line.startsWith('| ')).flatMap((line) => [...line.split('|')[1].matchAll(/`([^`]+)`/g)].map((found) => found[1]));
    assert.deepEqual(rows.flatMap(([names]) => names.split(', ')).filter((key) => key && !told.includes(key) && !/ /.test(key)), []);
});

for (const practice of ['north-america', 'europe']) {
    test(`the guided start at 24 V with every circuit judges clean, ${practice}`, async () => {
        const { page, folder } = await open();
        await page.locator('.start-step [data-key="practice"] select').selectOption(practice);
        await page.locator('.start-step [data-key="voltage"] select').selectOption('24 V');
        for (let i = 0; i < 2; i++) await page.getByRole('button', { name: 'Go on' }).click();
        for (const tick of await page.locator('.card-tick input[type="checkbox"]').all()) await tick.check();
        await page.getByRole('button', { name: 'Go on' }).click();
        await page.getByRole('button', { name: 'Make the van' }).click();
        await settled(page);
        assert.deepEqual(stops(path.join(folder, 'my-van.yaml')), []);
    });
}

for (const colorScheme of /** @type {const} */ (['light', 'dark'])) {
    test(`on a phone nothing that axe-core finds, and nothing wider than the screen, ${colorScheme}`, async () => {
        const { page } = await open('first-lamp', { ...PHONE, colorScheme, bypassCSP: true });
        const look = async () => {
            await axeIsClean(page);
            assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
            const cut = await page.evaluate(() => [...document.querySelectorAll('dialog[open], dialog[open] button, #space button')]
                .map((each) => each.getBoundingClientRect()).filter((box) => box.width > 0 && (box.left < -1 || box.right > innerWidth + 1)).length);
            assert.equal(cut, 0);
        };
        for (const id of ['switch', 'P2']) {
            await page.locator('#views button[data-view="list"]').tap();
            await page.locator(`tr[data-item="${id}"] button.place, tr[data-wire="${id}"] button.place`).tap();
            await page.locator('#views button[data-view="about"]').tap();
            await page.locator('#space [data-key]').first().waitFor();
            await look();
        }
        for (const [name, shown] of [['Add an item', '.kind-list'], ['Connect a terminal', '.terminal-options'], ['Add a ready-made circuit', '.card-list']]) {
            await page.locator('#views button[data-view="list"]').tap();
            await page.getByRole('button', { name }).first().tap();
            await page.waitForSelector(shown);
            await look();
            await page.keyboard.press('Escape');
        }
        await page.locator('#views button[data-view="text"]').tap();
        await page.waitForSelector('.text-area');
        await look();
    });
}

await runAll();
