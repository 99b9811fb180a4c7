/* The build book and its sheets, as the program prints them. */

import { h } from './dom.js';
import { save } from './picture.js';
import { addView } from './views.js';

/** @typedef {import('./store.js').Store} Store */

addView({
    id: 'book',
    title: 'Book',
    key: '6',
    order: 60,
    isThere: (store) => store.state.van !== null,
    mount: (element, store) => {
        const paper = h('select', { id: 'paper' }, h('option', { value: 'a4' }, 'A4'), h('option', { value: 'letter' }, 'US Letter'));
        paper.value = store.state.van?.practice === 'north-america' ? 'letter' : 'a4';
        const sheets = h('ul', { class: 'sheets', 'aria-busy': 'true' }, h('li', { class: 'empty' }, 'Being drawn …'));
        const fetchBook = h('button', { class: 'main', onclick: () => take(store, `/api/book.pdf?paper=${paper.value}`, 'book.pdf', fetchBook) }, 'Save the book (PDF)');
        element.append(h('div', { class: 'reading-space', tabindex: 0, role: 'group', 'aria-label': 'The build book' },
            h('h2', {}, 'The build book'),
            h('p', {}, 'One PDF for the work in the van: gates, cautions, diagram, panels, connection list, labels, buying list, findings, index. It shows the file as it is now.'),
            h('p', {}, h('label', { for: 'paper' }, 'Paper '), paper, ' ', fetchBook),
            h('h3', {}, 'Single sheets'), sheets));
        store.server.get('/api/sheets').then((list) => {
            sheets.replaceChildren(...sheetRows(list, (name, button) => take(store, `/api/sheet/${name}?paper=${paper.value}`, name, button)));
        }).catch((problem) => sheets.replaceChildren(h('li', { class: 'empty' }, problem.message)))
            .finally(() => sheets.setAttribute('aria-busy', 'false'));
        return () => {};
    },
});

/**
 * A row for each sheet, with what can be fetched of it whole: single pages as SVG are for other programs.
 * @param {{sheet: string, title: string, name: string}[]} files
 * @param {(name: string, button: HTMLButtonElement) => void} fetchFile
 */
function sheetRows(files, fetchFile) {
    const whole = files.filter(({ sheet, name }) => sheet !== 'book' && /\.(pdf|csv)$/.test(name));
    const sheets = [...new Set(whole.map(({ sheet }) => sheet))];
    return sheets.map((sheet) => {
        const mine = whole.filter((file) => file.sheet === sheet);
        return h('li', {}, h('span', {}, mine[0].title), mine.map(({ title, name }) => {
            const form = name.replace(/.*\./, '').toUpperCase();
            return h('button', {
                'aria-label': `${title} as ${form}`,
                onclick: (/** @type {Event} */ event) => fetchFile(name, /** @type {HTMLButtonElement} */ (event.currentTarget)),
            }, form);
        }));
    });
}

/**
 * @param {Store} store
 * @param {string} path
 * @param {string} name
 * @param {HTMLButtonElement} button
 */
async function take(store, path, name, button) {
    button.disabled = true;
    try {
        save(await store.server.blob(path), name);
        store.say(`${name} is saved where your browser keeps what it fetches.`);
    } catch (problem) {
        store.say(problem instanceof Error ? problem.message : String(problem), { isWrong: true });
    } finally {
        button.disabled = false;
    }
}
