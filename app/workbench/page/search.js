/* Search over every item, wire, label and command: type, choose with the arrows, Enter. */

import { h } from './dom.js';
import { addCommands, allCommands, commandsPossible, everythingToFind, viewsThere } from './views.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {{words: string, says: string, hint?: string, run: (store: Store) => void}} Found */

const MOST = 30;

/** @param {Store} store @returns {Found[]} */
function everything(store) {
    const commands = commandsPossible(store).map((command) => ({
        words: `${command.name} ${command.group}`, says: command.name, hint: command.keys?.[0], run: command.run,
    }));
    const views = viewsThere(store).map((view) => ({ words: view.title, says: `Go to: ${view.title}`, hint: view.key.toUpperCase(), run: (/** @type {Store} */ s) => s.show(view.id) }));
    return [...everythingToFind(store), ...views, ...commands];
}

/**
 * Those that hold every word, best first: a beginning counts more than the middle.
 * @param {Found[]} all
 * @param {string} asked
 */
function matching(all, asked) {
    const parts = asked.toLowerCase().split(/\s+/).filter((part) => part);
    const scored = all.flatMap((found) => {
        const words = found.words.toLowerCase();
        if (!parts.every((part) => words.includes(part))) return [];
        const score = parts.reduce((sum, part) => sum + (words.split(/[\s.-]+/).includes(part) ? 3 : words.startsWith(part) ? 2 : 1), 0);
        return [{ found, score }];
    });
    return scored.sort((a, b) => b.score - a.score).slice(0, MOST).map(({ found }) => found);
}

/** @param {Store} store */
function openSearch(store) {
    const all = everything(store);
    const list = h('ul', { role: 'listbox', id: 'found', 'aria-label': 'What was found' });
    const input = h('input', { type: 'search', role: 'combobox', 'aria-expanded': 'true', 'aria-controls': 'found', 'aria-label': 'Search items, wires, labels and commands', placeholder: 'Item, wire, label or command', autocomplete: 'off', spellcheck: 'false' });
    const sheet = h('dialog', { class: 'search', 'aria-label': 'Search' }, input, list);
    /** @type {Found[]} */
    let found = [];
    let at = 0;
    const show = () => {
        list.replaceChildren(...found.map((one, i) => h('li', {
            role: 'option', id: `found-${i}`, 'aria-selected': String(i === at), onclick: () => take(i),
        }, h('span', {}, one.says), one.hint ? h('kbd', {}, one.hint) : null)));
        if (found.length === 0) list.replaceChildren(h('li', { role: 'option', 'aria-selected': 'false', 'aria-disabled': 'true', class: 'empty' }, 'Nothing of that name.'));
        input.setAttribute('aria-activedescendant', found.length ? `found-${at}` : '');
        list.children[at]?.scrollIntoView({ block: 'nearest' });
    };
    const look = () => {
        found = matching(all, input.value);
        at = 0;
        show();
    };
    const take = (/** @type {number} */ i) => {
        sheet.close();
        found[i]?.run(store);
    };
    input.addEventListener('input', look);
    input.addEventListener('keydown', (event) => {
        const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
        if (by && found.length) {
            event.preventDefault();
            at = (at + by + found.length) % found.length;
            show();
        } else if (event.key === 'Enter') {
            event.preventDefault();
            take(at);
        }
    });
    sheet.addEventListener('click', (event) => event.target === sheet && sheet.close());
    sheet.addEventListener('close', () => sheet.remove());
    document.body.append(sheet);
    sheet.showModal();
    look();
    input.focus();
}

/** Every command with its keys, by group. @param {Store} store */
function openCommands(store) {
    const commands = allCommands();
    const groups = [...new Set(commands.map((command) => command.group))];
    const close = h('button', { onclick: () => sheet.close() }, 'Close');
    const sheet = h('dialog', { class: 'commands', 'aria-labelledby': 'commands-title' },
        h('h2', { id: 'commands-title' }, 'What you can do, and its keys'),
        h('div', { class: 'groups', tabindex: 0, role: 'group', 'aria-label': 'Commands' },
            h('section', {}, h('h3', {}, 'On a drawing'), h('dl', {},
                keyRow('Tab, then arrows', 'go from part to part'), keyRow('Enter, Space', 'choose it; a switch moves'),
                keyRow('Shift + arrows', 'push the drawing'), keyRow('Wheel, two fingers', 'enlarge, push'))),
            h('section', {}, h('h3', {}, 'Views'), h('dl', {}, viewsThere(store).map((view) => keyRow(view.key.toUpperCase(), view.title)))),
            groups.map((group) => h('section', {}, h('h3', {}, group), h('dl', {},
                commands.filter((command) => command.group === group).map((command) => keyRow((command.keys ?? []).join(', '), command.name)))))),
        close);
    close.autofocus = true;
    sheet.addEventListener('click', (event) => event.target === sheet && sheet.close());
    sheet.addEventListener('close', () => sheet.remove());
    document.body.append(sheet);
    sheet.showModal();
}

/**
 * @param {string} keys
 * @param {string} says
 */
const keyRow = (keys, says) => h('div', {}, h('dt', {}, keys ? h('kbd', {}, keys) : ''), h('dd', {}, says));

addCommands(
    { id: 'search', name: 'Search', group: 'Page', keys: ['Ctrl+K', '/'], run: openSearch },
    { id: 'commands', name: 'Show all keys', group: 'Page', keys: ['?'], run: openCommands },
);
