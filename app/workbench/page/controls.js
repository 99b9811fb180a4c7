/* Beside the drawing while nothing is chosen: how the van is measured, and every switch and dimmer by panel. Of a chosen item:
 * its switch, and what it does. */

import { h, isNarrow, setText } from './dom.js';
import { itemWords } from './paint.js';
import { canMove, dialSlider, positionButtons } from './positions.js';
import { addSection, addView } from './views.js';
import { mountAbout } from './shell.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Item} Item */

/** @param {number} celsius */
const degrees = (celsius) => `${celsius} °C (${Math.round(celsius * 1.8 + 32)} °F)`;

/**
 * @param {{label: string, min: number, max: number, step: number, value: number, words: (value: number) => string, told: (value: number) => void}} about
 */
function slider({ label, min, max, step, value, words, told }) {
    const output = h('output', {}, words(value));
    const input = h('input', {
        type: 'range', min, max, step, value, 'aria-label': label, 'aria-valuetext': words(value),
        oninput: () => {
            setText(output, words(Number(input.value)));
            input.setAttribute('aria-valuetext', words(Number(input.value)));
            told(Number(input.value));
        },
    });
    return h('label', { class: 'condition' }, h('span', {}, label), input, output);
}

addSection({
    id: 'conditions',
    order: 10,
    isAbout: (selection, store) => selection === null && store.state.van !== null,
    mount: (element, store) => {
        const { settings } = store.state;
        const reset = h('button', { onclick: () => store.setPositions({}) }, 'All to their first position');
        element.append(
            h('h2', {}, 'As measured'),
            slider({
                label: 'Charge', min: 0, max: 100, step: 1, value: parseFloat(settings.charge),
                words: (value) => `${value} %`, told: (value) => store.setSettings({ charge: `${value} %` }),
            }),
            slider({
                label: 'Temperature', min: -30, max: 70, step: 1, value: parseFloat(settings.ambient),
                words: degrees, told: (value) => store.setSettings({ ambient: `${value} degC` }),
            }),
            reset);
        return store.subscribe(['positions'], ({ positions }) => {
            reset.disabled = Object.keys(positions).length === 0;
        });
    },
});

addSection({
    id: 'switches',
    order: 20,
    isAbout: (selection, store) => selection === null && store.state.van !== null,
    mount: (element, store) => {
        /** @type {(() => void)[]} */
        let ends = [];
        let shown = '';
        const build = () => {
            const items = (store.state.van?.items ?? []).filter(canMove);
            const key = JSON.stringify(items.map(({ id, name, panel, positions, dial }) => [id, name, panel, positions, dial]));
            if (key === shown) return;
            shown = key;
            for (const end of ends) end();
            ends = [];
            const panels = [...new Set(items.map((item) => item.panel))];
            element.replaceChildren(...panels.map((panel) => panelPart(store, panel, items.filter((item) => item.panel === panel), ends)));
        };
        const end = store.subscribe(['van'], build);
        return () => {
            end();
            for (const other of ends) other();
        };
    },
});

/**
 * @param {Store} store
 * @param {string} panel
 * @param {Item[]} items
 * @param {(() => void)[]} ends
 */
function panelPart(store, panel, items, ends) {
    return h('section', { class: 'panel-part' }, h('h3', {}, panel ? `Panel: ${panel}` : 'Not on a panel'),
        h('ul', {}, items.map((item) => {
            const control = item.dial ? dialSlider(store, item) : positionButtons(store, item);
            const lamp = h('span', { class: 'lamp-word' });
            ends.push(control.end, store.subscribe(['reading'], ({ reading }) => {
                const state = reading?.items[item.id]?.lamp;
                setText(lamp, state ? `lamp ${state}` : '');
                lamp.classList.toggle('lit', state === 'lit');
            }));
            return h('li', { 'data-item': item.id },
                h('button', { class: 'name', onclick: () => store.set({ selection: { type: 'item', id: item.id }, shownPlaces: [`item ${item.id}`] }) }, item.name || item.id),
                lamp, control.element);
        })));
}

/* --- a chosen thing, measured --- */

addSection({
    id: 'measured',
    order: 15,
    isAbout: (selection, store) => selection?.type === 'item' && store.item(selection.id) !== null,
    mount: (element, store, selection) => {
        const item = store.item(selection?.id ?? '');
        if (!item) return () => {};
        const words = h('p', { class: 'state-words' });
        const control = canMove(item) ? (item.dial ? dialSlider(store, item) : positionButtons(store, item)) : null;
        element.append(h('h2', {}, 'Now'), words, ...(control ? [control.element] : []));
        const end = store.subscribe(['reading'], ({ reading }) => setText(words, itemWords(reading?.items[item.id] ?? {}) || 'nothing to measure'));
        return () => {
            end();
            control?.end();
        };
    },
});

/* On a narrow screen the words are a view of their own. */
addView({
    id: 'about',
    title: 'Controls',
    key: '3',
    order: 25,
    isThere: () => isNarrow.matches,
    mount: (element, store) => {
        const about = h('div', { class: 'about' });
        element.append(about);
        return mountAbout(about, store);
    },
});
