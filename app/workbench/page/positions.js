/* Moving a switch: one step, or by a list of its positions, or along a slider. */

import { h } from './dom.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Item} Item */

/** What a person can move. @param {Item} item */
export const canMove = (item) => !item.moved_by_coil && (item.positions.length > 1 || item.dial !== null);

/**
 * @param {Store} store
 * @param {Item} item
 */
export function stepPosition(store, item) {
    if (!canMove(item)) return;
    const now = item.positions.indexOf(store.position(item.id) ?? '');
    store.setPosition(item.id, item.positions[(now + 1) % item.positions.length]);
}

/**
 * A slider for a dial, which tells its position as it moves.
 * @param {Store} store
 * @param {Item} item
 */
export function dialSlider(store, item) {
    const value = () => String(Math.round(parseFloat(store.position(item.id) ?? '0')));
    const slider = h('input', {
        type: 'range', min: 0, max: 100, step: 1, value: value(), 'aria-label': `${item.name || item.id}: ${item.dial}`,
        oninput: () => store.setPosition(item.id, `${slider.value}%`),
    });
    const words = h('output', {}, `${value()} %`);
    const end = store.subscribe(['positions', 'reading'], () => {
        if (document.activeElement !== slider || slider.value !== value()) slider.value = value();
        words.textContent = `${value()} %`;
        slider.setAttribute('aria-valuetext', `${value()} percent`);
    });
    return { element: h('span', { class: 'slider' }, slider, words), end };
}

/**
 * Buttons for the positions of a switch, of which one is pressed.
 * @param {Store} store
 * @param {Item} item
 * @param {() => void} [then]
 */
export function positionButtons(store, item, then) {
    const buttons = item.positions.map((word) =>
        h('button', { 'data-word': word, onclick: () => { store.setPosition(item.id, word); then?.(); } }, word));
    const end = store.subscribe(['positions', 'reading'], () => {
        const now = store.position(item.id);
        for (const button of buttons) button.setAttribute('aria-pressed', String(button.dataset.word === now));
    });
    return { element: h('span', { class: 'positions', role: 'group', 'aria-label': item.name || item.id }, buttons), end };
}

/**
 * A small sheet beside the item that asks where it is to stand.
 * @param {Store} store
 * @param {Item} item
 * @param {DOMRect} beside
 * @param {Element} opener has the focus back
 */
export function askPosition(store, item, beside, opener) {
    document.querySelector('dialog.position-sheet')?.remove();
    const sheet = h('dialog', { class: 'position-sheet', 'aria-label': `Position of ${item.name || item.id}` });
    const controls = item.dial ? dialSlider(store, item) : positionButtons(store, item, () => sheet.close());
    sheet.append(h('b', {}, item.name || item.id), controls.element);
    sheet.addEventListener('click', (event) => event.target === sheet && sheet.close());
    sheet.addEventListener('keydown', (event) => event.key === 'Enter' && item.dial && sheet.close());
    sheet.addEventListener('close', () => {
        controls.end();
        sheet.remove();
        if (opener instanceof SVGElement) opener.focus();
    });
    document.body.append(sheet);
    sheet.showModal();
    const { offsetWidth, offsetHeight } = sheet;
    sheet.style.left = `${Math.max(8, Math.min(beside.right + 8, innerWidth - offsetWidth - 8))}px`;
    sheet.style.top = `${Math.max(8, Math.min(beside.top, innerHeight - offsetHeight - 8))}px`;
}
