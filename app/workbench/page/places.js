/* Places of the van in words: "wire P3", "item pump", "terminal pump.neg" are chosen by a button that says them. */

import { h } from './dom.js';

/** @typedef {import('./types.js').Selection} Selection */

/**
 * @param {string} place
 * @returns {Selection|null}
 */
export function selectionOf(place) {
    const [type, id] = place.split(' ', 2);
    return type === 'wire' || type === 'item' || type === 'terminal' ? { type, id } : null;
}

/**
 * The item's name before its id, for people.
 * @param {import('./store.js').Store} store
 * @param {Selection} selection
 */
export function placeWords(store, { type, id }) {
    if (type === 'item') return store.item(id)?.name || id;
    return id;
}

/**
 * @param {import('./store.js').Store} store
 * @param {string} place
 */
export function placeButton(store, place) {
    const selection = selectionOf(place);
    if (!selection) return h('span', {}, place);
    return h('button', { class: 'place', onclick: () => store.set({ selection, shownPlaces: [place] }) },
        h('small', {}, selection.type), ' ', h('code', {}, selection.id));
}
