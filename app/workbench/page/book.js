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
        const sheets = h('ul', { class: 'sheets' });
        const fetchBook = h('button', { class: 'main', onclick: () => take(store, `/api/book.pdf?paper=${paper.value}`, 'book.pdf', fetchBook) }, 'Save the book (PDF)');
        element.append(h('div', { class: 'reading-space', tabindex: 0, role: 'group', 'aria-label': 'The build book' },
            h('h2', {}, 'The build book'),
            h('p', {}, 'One PDF for the work in the van: gates, cautions, diagram, panels, connection list, labels, buying list, findings, index. It shows the file as it is now.'),
            h('p', {}, h('label', { for: 'paper' }, 'Paper '), paper, ' ', fetchBook),
            h('h3', {}, 'Single sheets'), sheets));
        store.server.get('/api/sheets').then((list) => {
            sheets.replaceChildren(...(list.sheets ?? list).map((/** @type {{name: string, title: string, forms?: string[]}} */ sheet) => h('li', {},
                h('span', {}, sheet.title ?? sheet.name), ' ',
                (sheet.forms ?? ['pdf']).map((form) => h('button', {
                    onclick: (/** @type {Event} */ event) => take(store, `/api/sheet/${sheet.name}.${form}?paper=${paper.value}`, `${sheet.name}.${form}`, /** @type {HTMLButtonElement} */ (event.currentTarget)),
                    'aria-label': `${sheet.title ?? sheet.name} as ${form.toUpperCase()}`,
                }, form.toUpperCase())))));
        }).catch((problem) => sheets.replaceChildren(h('li', { class: 'empty' }, problem.message)));
        return () => {};
    },
});

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
