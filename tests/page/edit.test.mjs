/* The page changes the file: the guided start, fields, connecting, ready-made circuits, undo, two hands, the text. */

import { existsSync, readFileSync, unlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { PHONE, SEEN_ms, axeIsClean, chooseFromList, field, middleOf, open, stops } from './hands.mjs';
import { after, ask, assert, openPage, runAll, settled, test } from './harness.mjs';

test('the guided start, with keys alone, ends in a van that judges clean', async () => {
    const { page, folder } = await open();
    await page.waitForSelector('.start-step select');
    let n_keys = 0;
    const press = async (/** @type {string} */ key) => { n_keys++; await page.keyboard.press(key); };
    await press('Enter');
    await page.getByText('Step 2 of 4').waitFor();
    await press('Enter');
    await page.getByText('Step 3 of 4').waitFor();
    await press('Enter');
    await page.getByText('Tick at least one circuit').waitFor();
    await press('Space');
    await press('Enter');
    await page.getByText('Step 4 of 4').waitFor();
    await press('Enter');
    await settled(page);
    assert.ok(n_keys <= 10, `${n_keys} keys`);
    const file = path.join(folder, 'my-van.yaml');
    assert.deepEqual(stops(file), []);
    assert.match(readFileSync(file, 'utf8'), /^#/);
});

test('the guided start goes back without losing what was answered, on a phone', async () => {
    const { page, folder } = await open(undefined, PHONE);
    await page.locator('.start-step select').first().selectOption('europe');
    await page.getByRole('button', { name: 'Go on' }).tap();
    await page.getByRole('button', { name: 'Back' }).tap();
    assert.equal(await page.locator('.start-step select').first().inputValue(), 'europe');
    await page.getByRole('button', { name: 'Go on' }).tap();
    await page.getByRole('button', { name: 'Go on' }).tap();
    await page.getByRole('button', { name: 'More: A fan' }).tap();
    await page.getByRole('button', { name: 'More: A fan' }).tap();
    await page.getByText('2 × a fan').waitFor();
    await page.getByRole('button', { name: 'Go on' }).tap();
    await page.locator('#start-file').fill('two-fans.yaml');
    await page.getByRole('button', { name: 'Make the van' }).tap();
    await settled(page);
    const file = path.join(folder, 'two-fans.yaml');
    assert.match(readFileSync(file, 'utf8'), /practice: europe/);
    assert.deepEqual(stops(file), []);
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), true);
});

test('each ready-made circuit judges without a new stop, by Enter and Enter', async () => {
    const { page, file } = await open('first-lamp');
    await page.keyboard.press('n');
    await page.waitForSelector('.card[data-circuit]');
    const ids = await page.locator('.card[data-circuit]').evaluateAll((cards) => cards.map((card) => /** @type {HTMLElement} */ (card).dataset.circuit ?? ''));
    assert.ok(ids.length >= 7, String(ids));
    await page.keyboard.press('Escape');
    const before = readFileSync(file, 'utf8');
    for (const id of ids) {
        const was = stops(file);
        await page.keyboard.press('n');
        await page.locator(`.card[data-circuit="${id}"]`).focus();
        await page.keyboard.press('Enter');
        await page.locator('.draft input').first().waitFor();
        await after(page, '/api/circuit', () => page.keyboard.press('Enter'));
        await page.waitForFunction(() => !document.querySelector('dialog[open]'));
        assert.notEqual(readFileSync(file, 'utf8'), before, id);
        assert.deepEqual(stops(file), was, id);
        await after(page, '/api/undo', () => page.keyboard.press('Control+z'));
        await page.waitForFunction(() => !document.querySelector('#about [data-key="id"]'));
        assert.equal(readFileSync(file, 'utf8'), before, id);
    }
});

test('a field takes any unit, tells what is wrong as it is typed, and is undone', async () => {
    const { page, file, complaints } = await open('first-lamp');
    const before = readFileSync(file, 'utf8');
    await chooseFromList(page, 'P2');
    const length = field(page, 'length').locator('input');
    await length.fill('9 V');
    await page.waitForFunction(() => /length/.test(document.querySelector('#about [data-key="length"] .field-wrong')?.textContent ?? ''));
    assert.equal(await length.getAttribute('aria-invalid'), 'true');
    assert.equal(readFileSync(file, 'utf8'), before);
    await page.keyboard.press('Escape');
    assert.equal(await length.inputValue(), '2.5 m');
    await length.fill('8 ft 3 in');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    await page.waitForFunction(() => document.querySelector('#views') && !document.querySelector('#about .is-wrong'));
    assert.equal(readFileSync(file, 'utf8'), before.replace('length: 2.5 m', 'length: 8 ft 3 in'));
    await page.getByRole('button', { name: 'Undo', exact: false }).first().click();
    await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="length"] input')).value === '2.5 m');
    assert.equal(readFileSync(file, 'utf8'), before);
    assert.deepEqual(complaints.filter((each) => !each.includes('422')), []);
});

test('emptying a field takes its key out of the file', async () => {
    const { page, file } = await open('first-lamp');
    await chooseFromList(page, 'P2');
    await field(page, 'colour').locator('input').fill('');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    assert.match(readFileSync(file, 'utf8'), /P2: \{from: fuse\.out, +to: switch\.feed, length: 2\.5 m, +size: 16 AWG\}/);
});

test('a wire is drawn with the mouse, and the hand is on its length', async () => {
    const { page, file } = await open('first-lamp');
    const [from, to] = [await middleOf(page, 'battery.neg'), await middleOf(page, 'lamp.pos')];
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x + 20, from.y - 20);
    await page.waitForSelector('.rubber-band');
    await page.keyboard.press('Escape');
    assert.equal(await page.locator('.rubber-band').count(), 0);
    await page.mouse.up();
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(to.x - 15, to.y - 9, { steps: 4 });
    await page.mouse.move(to.x, to.y, { steps: 4 });
    await after(page, '/api/edit', () => page.mouse.up());
    await page.waitForFunction(() => document.activeElement?.closest('[data-key="length"]'));
    const text = readFileSync(file, 'utf8');
    assert.match(text, /from: battery\.neg, +to: lamp\.pos/);
});

test('a wire is drawn with a finger', async () => {
    const { page, file, context } = await open('first-lamp', PHONE);
    const [from, to] = [await middleOf(page, 'battery.neg'), await middleOf(page, 'lamp.pos')];
    const fingers = await context.newCDPSession(page);
    const touch = (/** @type {string} */ type, /** @type {{x: number, y: number}[]} */ touchPoints) => fingers.send('Input.dispatchTouchEvent', /** @type {any} */ ({ type, touchPoints }));
    await touch('touchStart', [from]);
    for (let i = 1; i <= 6; i++) await touch('touchMove', [{ x: from.x + ((to.x - from.x) * i) / 6, y: from.y + ((to.y - from.y) * i) / 6 }]);
    await after(page, '/api/edit', () => touch('touchEnd', []));
    assert.match(readFileSync(file, 'utf8'), /from: battery\.neg, +to: lamp\.pos/);
});

test('a wire is connected with keys alone, and deleted; its label is retired', async () => {
    const { page, file } = await open('first-lamp');
    await page.keyboard.press('c');
    await page.keyboard.type('lamp neg');
    await page.keyboard.press('Enter');
    await page.getByText('Connect lamp.neg with').waitFor();
    await page.keyboard.type('fuse in');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    await page.waitForFunction(() => document.activeElement?.closest('[data-key="length"]'));
    await page.keyboard.type('1.5 m');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    assert.match(readFileSync(file, 'utf8'), /W4: \{from: lamp\.neg, +to: fuse\.in, +length: 1\.5 m/);
    await after(page, '/api/edit', () => page.getByRole('group', { name: 'What to do with W4' }).getByRole('button', { name: 'Delete' }).click());
    const text = readFileSync(file, 'utf8');
    assert.doesNotMatch(text, /W4: \{/);
    assert.match(text, /retired: *\[?[^]*W4/);
});

test('an item is added, renamed and copied', async () => {
    const { page, file } = await open('first-lamp');
    await page.keyboard.press('a');
    await page.keyboard.type('pump');
    await page.keyboard.press('Enter');
    await page.keyboard.type('500 mA');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    await page.waitForFunction(() => document.activeElement?.closest('#about [data-key="name"]'));
    await field(page, 'id').locator('input').fill('sump-pump');
    await after(page, '/api/edit', () => page.keyboard.press('Enter'));
    await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="id"] input'))?.value === 'sump-pump');
    await after(page, '/api/edit', () => page.getByRole('button', { name: 'Copy', exact: true }).click());
    const text = readFileSync(file, 'utf8');
    assert.match(text, /sump-pump: +\{kind: pump, +draws: 500 mA\}/);
    assert.match(text, /sump-pump-2: +\{kind: pump, +draws: 500 mA\}/);
});

test('an item is moved on its panel, which is its order in the file', async () => {
    const { page, file } = await open('heron');
    const order = () => ask('show', file).items.filter((item) => item.panel === 'sampling-wall').map((item) => item.id);
    const [first, second, ...rest] = order();
    await chooseFromList(page, first);
    await after(page, '/api/edit', () => page.getByRole('button', { name: 'Later' }).click());
    await page.getByRole('button', { name: 'Earlier' }).waitFor();
    assert.deepEqual(order(), [second, first, ...rest]);
});

test('undo has no end', async () => {
    const { page, file } = await open('first-lamp');
    const before = readFileSync(file, 'utf8');
    await chooseFromList(page, 'P2');
    for (let i = 1; i <= 30; i++) {
        await field(page, 'length').locator('input').fill(`${i} ft`);
        await page.keyboard.press('Enter');
        await page.waitForFunction((says) => [...document.querySelectorAll('#tools button')].some((button) => /** @type {HTMLElement} */ (button).title.includes(says)), `length ${i} ft`);
    }
    await page.locator('#space').focus();
    for (let i = 0; i < 30; i++) await after(page, '/api/undo', () => page.keyboard.press('Control+z'));
    assert.equal(readFileSync(file, 'utf8'), before);
    for (let i = 0; i < 30; i++) await after(page, '/api/redo', () => page.keyboard.press('Control+Shift+z'));
    assert.match(readFileSync(file, 'utf8'), /length: 30 ft/);
});

test('a change from outside is seen within half a second, and what is typed stays', async () => {
    const { page, file } = await open('first-lamp');
    await chooseFromList(page, 'P2');
    const says = field(page, 'says').locator('textarea');
    await says.fill('behind the bunk');
    const start = Date.now();
    writeFileSync(file, readFileSync(file, 'utf8').replace('length: 2.5 m', 'length: 3.5 m'));
    await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="length"] input')).value === '3.5 m', undefined, { polling: 20 });
    assert.ok(Date.now() - start < SEEN_ms, `${Date.now() - start} ms`);
    await page.getByText('changed by another hand').waitFor();
    assert.equal(await says.inputValue(), 'behind the bunk');
    assert.ok(await says.evaluate((each) => each === document.activeElement));
});

test('a file that can’t be read, or is gone, proves nothing; it is written again when asked', async () => {
    const { page, file } = await open('first-lamp');
    const text = readFileSync(file, 'utf8');
    const words = async (/** @type {string} */ said) => {
        await page.locator('#plight', { hasText: said }).waitFor();
        assert.ok(!/open|shut/.test(await page.locator('#gates').innerText()));
        assert.match(await page.locator('#below').innerText(), /Not judged/);
    };
    writeFileSync(file, `${text}\n  : [oops`);
    await words('can’t be read as it is now. Line');
    unlinkSync(file);
    await words('is gone from its folder');
    await page.keyboard.press('Control+z');
    await page.locator('#notice', { hasText: 'write it again first' }).waitFor();
    assert.ok(!existsSync(file));
    await page.locator('#plight button').click();
    await page.locator('#plight').waitFor({ state: 'hidden' });
    assert.equal(readFileSync(file, 'utf8'), text);
});

test('both changed: either is chosen, and the other is not lost', async () => {
    const { page, file, address } = await open('first-lamp');
    const other = (await openPage(address)).page;
    await settled(other);
    await chooseFromList(page, 'P2');
    await chooseFromList(other, 'P2');
    const mine = field(page, 'length').locator('input');
    await mine.fill('4 m');
    await field(other, 'length').locator('input').fill('5 m');
    await after(other, '/api/edit', () => other.keyboard.press('Enter'));
    await page.getByText('The file has now: 5 m').waitFor();
    await mine.press('Enter');
    await page.getByRole('heading', { name: 'Both changed' }).waitFor();
    await page.getByRole('button', { name: 'Keep what the file has' }).click();
    await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="length"] input')).value === '5 m');
    await page.getByText('You wrote, and it is not in the file').waitFor();
    await after(page, '/api/edit', () => page.getByRole('button', { name: 'Write it after all' }).click());
    assert.match(readFileSync(file, 'utf8'), /P2: \{[^}]*length: 4 m/);
    await other.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector('#about [data-key="length"] input')).value === '4 m');
});

test('the text: a refusal keeps what is typed and leads to the line; saved by key', async () => {
    const { page, file } = await open('first-lamp');
    const before = readFileSync(file, 'utf8');
    await page.keyboard.press('t');
    const area = page.locator('.text-area');
    await page.waitForFunction(() => /** @type {HTMLTextAreaElement} */ (document.querySelector('.text-area')).value !== '');
    const wrong = before.replace('rating: 5 A', 'rating: 5 V');
    await area.fill(wrong);
    await after(page, '/api/text', () => page.keyboard.press('Control+s'));
    await page.locator('.text-faults button').first().click();
    assert.equal(await area.inputValue(), wrong);
    assert.equal(await page.locator('.text-gutter .is-bad').textContent(), String(wrong.split('\n').findIndex((line) => line.includes('5 V')) + 1));
    await area.fill(before.replace('rating: 5 A', 'rating: 4 A'));
    await after(page, '/api/text', () => page.keyboard.press('Control+s'));
    await page.waitForFunction(() => document.querySelector('.text-state')?.textContent?.startsWith('This is'));
    assert.match(readFileSync(file, 'utf8'), /rating: 4 A/);
});

for (const colorScheme of /** @type {const} */ (['light', 'dark'])) {
    test(`nothing that axe-core finds, ${colorScheme}`, async () => {
        const { page } = await open('first-lamp', { colorScheme, bypassCSP: true });
        await chooseFromList(page, 'switch');
        await axeIsClean(page);
        for (const [key, shown] of [['n', '.card-list'], ['a', '.kind-list'], ['c', '.terminal-options']]) {
            await page.locator('#space').focus();
            await page.keyboard.press(key);
            await page.waitForSelector(shown);
            await axeIsClean(page);
            await page.keyboard.press('Escape');
        }
        await page.locator('#space').focus();
        await page.keyboard.press('t');
        await page.waitForSelector('.text-area');
        await axeIsClean(page);
        const start = await open(undefined, { colorScheme, bypassCSP: true });
        await start.page.waitForSelector('.start-step select');
        await axeIsClean(start.page);
    });
}

await runAll();
