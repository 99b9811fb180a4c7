/* Every item and wire in two tables, to find and to choose from: the whole van for those who do not point at a drawing. */

import { h, setText } from './dom.js';
import { amps, volts } from './numbers.js';
import { itemWords } from './paint.js';
import { addFinder, addView } from './views.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Reading} Reading */
/** @typedef {import('./types.js').Selection} Selection */

const WIRE_HEADS = ['Wire', 'From', 'To', 'Length', 'Size', 'Current', 'Voltage at from, to'];
const ITEM_HEADS = ['Item', 'Kind', 'Panel', 'Now'];

/**
 * @param {Store} store
 * @param {Selection} selection
 */
const choose = (store, selection) => store.set({ selection, shownPlaces: [`${selection.type} ${selection.id}`] });

/** @param {import('./types.js').Value|undefined} value */
const written = (value) => (value === undefined ? '' : typeof value === 'string' ? value : JSON.stringify(value));

/**
 * @param {string} title
 * @param {string[]} heads
 * @param {HTMLTableRowElement[]} rows
 */
const table = (title, heads, rows) => h('table', {},
    h('caption', {}, title), h('thead', {}, h('tr', {}, heads.map((head) => h('th', { scope: 'col' }, head)))), h('tbody', {}, rows));

addView({
    id: 'list',
    title: 'List',
    key: '4',
    order: 40,
    isThere: (store) => store.state.van !== null,
    mount: (element, store) => {
        /** @type {{cell: Element, words: (reading: Reading) => string}[]} cells that follow the meter */
        let live = [];
        const inside = h('div', { class: 'lists', tabindex: 0, role: 'group', 'aria-label': 'Items and wires' });
        element.append(inside);
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
            const items = (van?.items ?? []).map((item) => h('tr', { 'data-item': item.id },
                h('th', { scope: 'row' }, h('button', { class: 'place', onclick: () => choose(store, { type: 'item', id: item.id }) }, item.name ? `${item.name} ` : '', h('code', {}, item.id))),
                h('td', {}, item.kind), h('td', {}, item.panel), cell((reading) => itemWords(reading.items[item.id] ?? {}))));
            const wires = (van?.wires ?? []).map((wire) => h('tr', { 'data-wire': wire.label },
                h('th', { scope: 'row' }, h('button', { class: 'place', onclick: () => choose(store, { type: 'wire', id: wire.label }) }, h('code', {}, wire.label), wire.is_proposed ? ' (proposed)' : '')),
                h('td', {}, wire.from), h('td', {}, wire.to), h('td', {}, written(wire.given.length)),
                h('td', {}, sizes[wire.label]?.chosen ? `auto: ${sizes[wire.label].size ?? '?'}` : written(wire.given.size)),
                cell((reading) => amps(reading.amps[wire.label])),
                cell((reading) => `${volts(reading.volts[wire.from])}, ${volts(reading.volts[wire.to])}`)));
            inside.replaceChildren(table('Items', ITEM_HEADS, items), table('Wires', WIRE_HEADS, wires));
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
