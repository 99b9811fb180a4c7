/* Every item and wire in two tables, to find, sort and choose from: the whole van for those who do not point at a drawing. */

import { h, setText } from './dom.js';
import { amps, volts } from './numbers.js';
import { itemWords } from './paint.js';
import { addFinder, addView, allCommands } from './views.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Reading} Reading */
/** @typedef {import('./types.js').Selection} Selection */

const WIRE_HEADS = ['Wire', 'From', 'To', 'Length', 'Size', 'Current', 'Voltage at from, to'];
/** What can be done from here. */
const LIST_COMMANDS = ['add-item', 'connect', 'add-circuit'];
const ITEM_HEADS = ['Item', 'Kind', 'Panel', 'Now'];

/**
 * @param {Store} store
 * @param {Selection} selection
 */
const choose = (store, selection) => store.set({ selection, shownPlaces: [`${selection.type} ${selection.id}`] });

/** @param {import('./types.js').Value|undefined} value */
const written = (value) => (value === undefined ? '' : typeof value === 'string' ? value : JSON.stringify(value));

/** Numbers within words compare as numbers: P9 before P10, 2.5 m before 12 m. */
const order = new Intl.Collator('en', { numeric: true });

/**
 * A table whose heads sort it; without one, its rows stand in the order of the file.
 * @param {string} title
 * @param {string[]} heads
 */
function sortedTable(title, heads) {
    let column = -1;
    let isDown = false;
    /** @type {HTMLTableRowElement[]} */
    let rows = [];
    let wanted = /** @type {string[]} */ ([]);
    const body = h('tbody');
    const count = h('small', {});
    const ths = heads.map((head, i) => h('th', { scope: 'col', 'aria-sort': 'none' }, h('button', { class: 'sorts', onclick: () => sortBy(i) }, head)));
    const words = (/** @type {HTMLTableRowElement} */ row, /** @type {number} */ i) => row.cells[i]?.textContent ?? '';

    /** @param {number} i */
    const sortBy = (i) => {
        if (column === i && isDown) column = -1;
        else [isDown, column] = [column === i, i];
        arrange();
    };
    const arrange = () => {
        const found = rows.filter((row) => wanted.every((word) => (row.textContent ?? '').toLowerCase().includes(word)));
        if (column >= 0) found.sort((a, b) => order.compare(words(a, column), words(b, column)) * (isDown ? -1 : 1));
        ths.forEach((th, i) => th.setAttribute('aria-sort', i !== column ? 'none' : isDown ? 'descending' : 'ascending'));
        setText(count, found.length === rows.length ? ` ${rows.length}` : ` ${found.length} of ${rows.length}`);
        body.replaceChildren(...found);
    };
    return {
        element: h('table', {}, h('caption', {}, title, count), h('thead', {}, h('tr', {}, ths)), body),
        /** @param {HTMLTableRowElement[]} now */
        show: (now) => {
            rows = now;
            arrange();
        },
        /** @param {string} text each word of it must be in a row */
        filter: (text) => {
            wanted = text.toLowerCase().split(/\s+/).filter(Boolean);
            arrange();
        },
    };
}

/**
 * @param {(HTMLElement|string)[]} cells the first is the head of the row
 * @param {string[]} heads
 * @param {{[name: string]: string}} data
 */
const tableRow = ([first, ...rest], heads, data) => h('tr', data, h('th', { scope: 'row' }, first),
    rest.map((cell) => (cell instanceof HTMLTableCellElement ? cell : h('td', {}, cell))).map((td, i) => {
        td.dataset.label = heads[i + 1];
        return td;
    }));

addView({
    id: 'list',
    title: 'List',
    key: '4',
    order: 40,
    isThere: (store) => store.state.van !== null,
    mount: (element, store) => {
        /** @type {{cell: Element, words: (reading: Reading) => string}[]} cells that follow the meter */
        let live = [];
        const itemTable = sortedTable('Items', ITEM_HEADS);
        const wireTable = sortedTable('Wires', WIRE_HEADS);
        const filter = h('input', { type: 'search', 'aria-label': 'Show only rows with these words', placeholder: 'Show only …', autocomplete: 'off' });
        filter.addEventListener('input', () => {
            itemTable.filter(filter.value);
            wireTable.filter(filter.value);
        });
        const doings = h('div', { class: 'list-doings', role: 'group', 'aria-label': 'What to do with the list' }, filter);
        for (const id of LIST_COMMANDS) {
            const command = allCommands().find((c) => c.id === id);
            if (command) doings.append(h('button', { onclick: () => command.run(store) }, command.name));
        }
        const inside = h('div', { class: 'lists', tabindex: 0, role: 'group', 'aria-label': 'Items and wires' }, itemTable.element, wireTable.element);
        element.append(doings, inside);
        const cell = (/** @type {(reading: Reading) => string} */ words) => {
            const td = h('td', { class: 'number' });
            live.push({ cell: td, words });
            return td;
        };
        const measure = () => {
            const { reading } = store.state;
            if (reading) for (const { cell: td, words } of live) setText(td, words(reading));
        };
        const build = () => {
            const { van, judged } = store.state;
            live = [];
            const sizes = judged?.judgement?.wires ?? {};
            itemTable.show((van?.items ?? []).map((item) => tableRow([
                h('button', { class: 'place', onclick: () => choose(store, { type: 'item', id: item.id }) }, item.name ? `${item.name} ` : '', h('code', {}, item.id)),
                item.kind, item.panel, cell((reading) => itemWords(reading.items[item.id] ?? {})),
            ], ITEM_HEADS, { 'data-item': item.id })));
            wireTable.show((van?.wires ?? []).map((wire) => tableRow([
                h('button', { class: 'place', onclick: () => choose(store, { type: 'wire', id: wire.label }) }, h('code', {}, wire.label), wire.is_proposed ? ' (proposed)' : ''),
                wire.from, wire.to, written(wire.given.length),
                sizes[wire.label]?.chosen ? `auto: ${sizes[wire.label].size ?? '?'}` : written(wire.given.size),
                cell((reading) => amps(reading.amps[wire.label])),
                cell((reading) => `${volts(reading.volts[wire.from])}, ${volts(reading.volts[wire.to])}`),
            ], WIRE_HEADS, { 'data-wire': wire.label })));
            measure();
            mark();
        };
        const mark = () => {
            const { selection } = store.state;
            for (const row of inside.querySelectorAll('tr[data-item], tr[data-wire]')) {
                const { item, wire } = /** @type {HTMLElement} */ (row).dataset;
                row.classList.toggle('chosen', selection?.id === (item ?? wire) && selection?.type === (item ? 'item' : 'wire'));
            }
        };
        const ends = [store.subscribe(['van', 'judged'], build), store.subscribe(['reading'], measure), store.subscribe(['selection'], mark)];
        return () => ends.forEach((end) => end());
    },
});

addFinder((store) => (store.state.van?.items ?? []).map((item) => ({
    words: `${item.name} ${item.id} ${item.kind} ${item.panel}`,
    says: `${item.name || item.id} (${item.id}, ${item.kind})`,
    run: (s) => choose(s, { type: 'item', id: item.id }),
})));
addFinder((store) => (store.state.van?.wires ?? []).map((wire) => ({
    words: `${wire.label} ${wire.from} ${wire.to}`,
    says: `${wire.label}: ${wire.from} to ${wire.to}`,
    run: (s) => choose(s, { type: 'wire', id: wire.label }),
})));
