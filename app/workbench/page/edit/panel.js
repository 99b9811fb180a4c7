/* The words beside the drawing, as fields: everything that the file holds about the chosen thing. */
import { h } from '../dom.js';
import { addSection } from '../views.js';
import { addItem, changeKind } from './add.js';
import { addCircuit } from './circuits.js';
import { connectFrom, pickTerminal } from './connect.js';
import { copyItem, copyWire, dropItem, dropWire, itemName, movesOf, swapEnds } from './deeds.js';
import { inWords } from './field.js';
import { makeForm } from './form.js';
import { itemGroups, vanGroups, wireGroups } from './specs.js';
import { showText, wants } from './wants.js';
import { putOrDrop, troubleOf, wirePath, write } from './writer.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../store.js').State} State */
/** @typedef {import('../types.js').Edit} Edit */
/** @typedef {import('../types.js').Item} Item */
/** @typedef {import('../types.js').Selection} Selection */
/** @typedef {import('./field.js').Given} Given */
/** @typedef {import('./form.js').Group} Group */
/** @typedef {{says: string, edits: Edit[], then?: () => void}} Change */

/**
 * Keeps a form about a thing in step with the file.
 * @param {object} parts
 * @param {HTMLElement} parts.element
 * @param {Store} parts.store
 * @param {(state: State) => Group[]} parts.groups
 * @param {(key: string, value: Given) => Change|null} parts.change null: it is done in another way
 * @param {(state: State) => void} [parts.also] shows what is no field
 */
function mountForm({ element, store, groups, change, also }) {
    const form = makeForm({
        check: async (key, value, revision) => {
            const asked = change(key, value);
            return asked ? troubleOf(await store.ask(asked.says, asked.edits, revision)) : null;
        },
        written: 'written',
        commit: async (key, value, revision) => {
            const wanted = change(key, value);
            if (!wanted) return null;
            const trouble = await write(store, wanted.says, wanted.edits, revision);
            if (trouble === null) wanted.then?.();
            return trouble;
        },
    });
    element.append(form.element);
    const end = store.subscribe(['van', 'kinds', 'file'], (state) => {
        if (!state.van || !state.kinds) return;
        form.show(groups(state), state.file?.revision ?? 0);
        also?.(state);
    });
    if (wants.field) form.focus(wants.field);
    wants.field = null;
    return end;
}

/**
 * @param {string} name
 * @param {string} key
 * @param {Given} value
 */
const saysOf = (name, key, value) =>
    value === undefined ? `${name}: ${key.replaceAll('-', ' ')} no longer given` : `${name}: ${key.replaceAll('-', ' ')} ${inWords(value)}`;

/** @param {string} words @param {() => void} run @param {{[name: string]: unknown}} [more] */
const button = (words, run, more = {}) => h('button', { type: 'button', onclick: run, ...more }, words);

/* --- an item, or a terminal of it --- */

/** @param {Selection} selection */
const itemOf = (selection) => (selection.type === 'terminal' ? selection.id.slice(0, selection.id.indexOf('.')) : selection.id);

addSection({
    id: 'edit-item',
    order: 50,
    isAbout: (selection) => selection?.type === 'item' || selection?.type === 'terminal',
    mount(element, store, selection) {
        if (!selection) return () => {};
        const id = itemOf(selection);
        const deeds = h('div', { class: 'deeds', role: 'group', 'aria-label': `What to do with ${id}` });
        const terminals = h('section', { class: 'form-group' });
        element.append(deeds);
        const end = mountForm({
            element,
            store,
            groups: ({ kinds, van }) => {
                const item = store.item(id);
                return item && kinds && van ? itemGroups(kinds, van, item) : [];
            },
            change: (key, value) => changeItem(store, id, key, value),
            also: () => {
                const item = store.item(id);
                if (!item) return;
                showDeeds(deeds, [
                    button('Copy', () => copyItem(store, item)),
                    ...movesOf(store, item).map((move) => button(move.words, move.run, { title: move.says })),
                    button('Delete', () => dropItem(store, item), { class: 'danger', 'aria-keyshortcuts': 'Delete' }),
                ]);
                showTerminals(terminals, store, item);
            },
        });
        element.append(terminals);
        return end;
    },
});

/**
 * @param {Store} store
 * @param {string} id
 * @param {string} key
 * @param {Given} value
 * @returns {Change|null}
 */
function changeItem(store, id, key, value) {
    const item = store.item(id);
    if (!item) return null;
    if (key === 'id') {
        const to = typeof value === 'string' ? value : '';
        return {
            says: `rename ${id} to ${to}`,
            edits: [{ do: 'rename', path: ['items', id], to }],
            then: () => store.select({ type: 'item', id: to }),
        };
    }
    if (key === 'kind' && typeof value === 'string') {
        changeKind(store, item, value);
        return null;
    }
    return { says: saysOf(itemName(item), key, value), edits: [putOrDrop(['items', id, key], value)] };
}

/**
 * The buttons change only when what they say does, so that the focus on one of them stays.
 * @param {HTMLElement} element
 * @param {HTMLElement[]} buttons
 */
function showDeeds(element, buttons) {
    const words = (/** @type {Iterable<Element>} */ each) => [...each].map((one) => one.textContent).join('|');
    const focused = [...element.children].indexOf(/** @type {Element} */ (document.activeElement));
    const isSame = words(element.children) === words(buttons);
    element.replaceChildren(...buttons);
    if (isSame && focused >= 0) buttons[focused].focus();
}

/**
 * @param {HTMLElement} element
 * @param {Store} store
 * @param {Item} item
 */
function showTerminals(element, store, item) {
    const looks = JSON.stringify(item.terminals);
    if (element.dataset.looks === looks) return;
    element.dataset.looks = looks;
    element.replaceChildren(h('h3', {}, 'Terminals'), h('ul', { class: 'terminal-list' }, item.terminals.map((terminal) =>
        h('li', {},
            h('span', { class: 'terminal-word' }, terminal.word),
            h('span', { class: 'terminal-wires' }, terminal.wires.length === 0
                ? terminal.open_allowed ? 'free' : 'nothing on it yet'
                : terminal.wires.map((label) => button(label, () => store.select({ type: 'wire', id: label }), { class: 'chip', 'aria-label': `wire ${label}` }))),
            button('Connect …', () => connectFrom(store, terminal.id), { class: 'quiet', 'aria-label': `Connect ${terminal.id} …` })))));
}

/* --- a wire --- */

addSection({
    id: 'edit-wire',
    order: 50,
    isAbout: (selection) => selection?.type === 'wire',
    mount(element, store, selection) {
        const label = selection?.id ?? '';
        const deeds = h('div', { class: 'deeds', role: 'group', 'aria-label': `What to do with ${label}` });
        element.append(h('h2', {}, `Wire ${label}`), deeds);
        return mountForm({
            element,
            store,
            groups: ({ kinds, van }) => {
                const wire = store.wire(label);
                return wire && kinds && van ? wireGroups(kinds, van, wire, (typed) => pickTerminal(store, 'Choose a terminal', typed)) : [];
            },
            change: (key, value) => store.state.van && ({
                says: saysOf(label, key, value),
                edits: [putOrDrop([...wirePath(store.state.van, label), key], value)],
            }),
            also: () => {
                const wire = store.wire(label);
                if (!wire) return;
                showDeeds(deeds, [
                    button('Copy', () => copyWire(store, wire)),
                    button('Swap ends', () => swapEnds(store, wire), { title: 'its current counts positive the other way' }),
                    button('Delete', () => dropWire(store, wire), { class: 'danger', 'aria-keyshortcuts': 'Delete' }),
                ]);
            },
        });
    },
});

/* --- the van --- */

addSection({
    id: 'edit-van',
    order: 50,
    isAbout: (selection, store) => selection === null && store.state.van !== null,
    mount(element, store) {
        const kinds = h('section', { class: 'form-group' });
        const end = mountForm({
            element,
            store,
            groups: (state) => (state.kinds && state.van ? vanGroups(state.kinds, state.van) : []),
            change: changeVan,
            also: () => showOwnKinds(kinds, store),
        });
        element.append(kinds);
        return end;
    },
});

/**
 * @param {string} key a path: `conditions/hottest`, `decided/0/why`
 * @param {Given} value
 * @returns {Change}
 */
function changeVan(key, value) {
    const path = key.split('/');
    if (path[0] === 'decided' && value === undefined) return { says: 'take back a decision', edits: [{ do: 'drop', path: path.slice(0, 2) }] };
    return { says: saysOf(path[0] === 'decided' ? 'a decision' : 'the van', path.at(-1) ?? key, value), edits: [putOrDrop(path, value)] };
}

/**
 * @param {HTMLElement} element
 * @param {Store} store
 */
function showOwnKinds(element, store) {
    const own = store.state.van?.kinds ?? [];
    element.hidden = own.length === 0;
    element.replaceChildren(h('h3', {}, 'Kinds of this van'), h('ul', {}, own.map((kind) => h('li', {}, h('strong', {}, kind.kind), ` ${kind.says}`))),
        button('Edit them as text', () => showText(store, 'kinds:'), { class: 'quiet' }));
}

addSection({
    id: 'edit-add',
    order: 40,
    isAbout: (selection, store) => selection === null && store.state.van !== null,
    mount(element, store) {
        element.append(h('div', { class: 'deeds' },
            button('Add a ready-made circuit …', () => addCircuit(store), { class: 'main' }), button('Add an item …', () => addItem(store))));
        return () => {};
    },
});
